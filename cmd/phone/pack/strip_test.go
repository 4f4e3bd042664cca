package main

import (
	"bytes"
	"testing"
)

// TestSlimRefuses: what is no program, and one whose tables lie elsewhere, is refused and
// left as it was.
func TestSlimRefuses(t *testing.T) {
	head := "\x00asm\x01\x00\x00\x00"
	for name, program := range map[string]string{
		"nothing": "", "no program": "MZ", "no data": head, "a section that is cut off": head + "\x0b\x7f",
		"data of another kind": head + "\x0b\x03\x01\x01\x41", "a piece that is cut off": head + "\x0b\x06\x01\x00\x41\x00\x0b\x7f",
		"no tables":               head + "\x0b\x09\x01\x00\x41\x00\x0b\x03abc",
		"tables that are cut off": head + "\x0b\x0e\x01\x00\x41\x00\x0b\x08" + string(pcMagic),
	} {
		was := []byte(program)
		got := bytes.Clone(was)
		if err := slim(got); err == nil || !bytes.Equal(got, was) {
			t.Errorf("%s: %v, and it is %q", name, err, got)
		}
	}
}

// TestSlimKeepsSteps: of a table of steps that two entries share nothing is lost.
func TestSlimKeepsSteps(t *testing.T) {
	tab := tables{mem: []byte{0, 0x80, 1, 2, 4, 6, 0, 9, 9}, used: make([]bool, 9)}
	if err := tab.mark(1, 0); err != nil {
		t.Fatal(err)
	}
	if want := "\x00\x01\x01\x01\x01\x01\x01\x00\x00"; !bytes.Equal(marks(tab.used), []byte(want)) {
		t.Errorf("marked %v", tab.used)
	}
	if err := tab.mark(7, 0); err == nil {
		t.Error("a table without an end is taken")
	}
}

func marks(used []bool) []byte {
	out := make([]byte, len(used))
	for i, u := range used {
		if u {
			out[i] = 1
		}
	}
	return out
}
