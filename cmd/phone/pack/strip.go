package main

import (
	"encoding/binary"
	"errors"
	"fmt"
)

// A Go program carries, for its stack traces, the name of every function and the line of
// every instruction: a tenth of what goes over the wire. Nobody reads a trace in a phone,
// so slim empties them. What the program itself needs of those tables, how deep a stack is
// and where its pointers are, stays.

// The tables' beginning (runtime/symtab.go, pcHeader): a magic, the smallest step, the size
// of a pointer; then as many words of eight bytes.
var pcMagic = []byte{0xf1, 0xff, 0xff, 0xff, 0, 0, 1, 8}

// The words after that.
const (
	wordFuncs = iota
	wordFiles
	_
	wordNames
	wordUnits
	wordFiletab
	wordSteps
	wordEntries
	words
)

// The words of a function's entry (runtime/runtime2.go, _func), four bytes each; after
// them a byte each of id, flags, nothing and how many funcdata there are; then its tables
// of steps.
const (
	fieldName   = 1
	fieldStack  = 4
	fieldFile   = 5
	fieldLine   = 6
	fieldTables = 7 // how many
	fieldUnit   = 8
	fieldStart  = 9
	entryBytes  = 44
)

var errLayout = errors.New("the tables of functions do not lie where they are looked for")

// slim empties the names and lines in a program, in its place. It fails where they do not
// lie as the release of Go it was written for puts them.
func slim(program []byte) error {
	m, err := readMemory(program)
	if err != nil {
		return err
	}
	at := m.find(pcMagic)
	if at < 0 || at+8+8*words > len(m.bytes) {
		return errLayout
	}
	t := tables{mem: m.bytes[at:]}
	if err := t.slim(); err != nil {
		return err
	}
	emptyCurve(m)
	m.writeBack(program)
	return nil
}

// curve begins the table of multiples of the P-256 curve's base point (FIPS 186-5; as
// crypto/internal/fips140/nistec keeps it): 43 windows of 32 points of 64 bytes.
var curve = []byte{0x3c, 0x14, 0xa9, 0x18, 0xd4, 0x30, 0xe7, 0x79, 0x01, 0xb6, 0xed, 0x5f, 0xfc, 0x95, 0xba, 0x75}

const curveBytes = 43 * 32 * 64

// emptyCurve empties that table: net/http brings it along for encryption, it does not
// compress, and a program that asks no network never reads it.
func emptyCurve(m *memory) {
	if at := m.find(curve); at >= 0 && at+curveBytes <= len(m.bytes) {
		clear(m.bytes[at : at+curveBytes])
	}
}

// tables are the tables of functions; offsets are from their beginning.
type tables struct {
	mem []byte
	// used marks the bytes of steps that are still needed.
	used []bool
}

func (t *tables) word(i int) int { return int(binary.LittleEndian.Uint64(t.mem[8+8*i:])) }

func (t *tables) slim() error {
	names, units, steps, entries := t.word(wordNames), t.word(wordUnits), t.word(wordSteps), t.word(wordEntries)
	n := t.word(wordFuncs)
	if names >= units || units >= steps || steps >= entries || n <= 0 || entries+8*n > len(t.mem) {
		return errLayout
	}
	t.used = make([]bool, entries-steps)
	for i := range n {
		at := int(binary.LittleEndian.Uint32(t.mem[entries+8*i+4:]))
		if err := t.function(entries+at, steps); err != nil {
			return fmt.Errorf("function %d of %d: %w", i, n, err)
		}
	}
	clear(t.mem[names:steps]) // and of files, which no entry names any more
	for i, used := range t.used {
		if !used {
			t.mem[steps+i] = 0
		}
	}
	return nil
}

// function empties what an entry says of names and lines, and marks what else it uses.
func (t *tables) function(at, steps int) error {
	if at+entryBytes > len(t.mem) {
		return errLayout
	}
	field := func(i int) []byte { return t.mem[at+4*i:] }
	for _, i := range []int{fieldName, fieldFile, fieldLine, fieldUnit, fieldStart} {
		binary.LittleEndian.PutUint32(field(i), 0)
	}
	uses := []uint32{binary.LittleEndian.Uint32(field(fieldStack))}
	for i := range binary.LittleEndian.Uint32(field(fieldTables)) {
		if at+entryBytes+4*int(i)+4 > len(t.mem) || i > 16 {
			return errLayout
		}
		uses = append(uses, binary.LittleEndian.Uint32(t.mem[at+entryBytes+4*int(i):]))
	}
	for _, u := range uses {
		if err := t.mark(int(u), steps); err != nil {
			return err
		}
	}
	return nil
}

// mark marks a table of steps: pairs of numbers of seven bits a byte, until a pair but
// the first begins with nought.
func (t *tables) mark(at, steps int) error {
	if at == 0 {
		return nil // none
	}
	for first := true; ; first = false {
		end := at < len(t.used) && t.mem[steps+at] == 0 && !first
		var ok bool
		if at, ok = t.number(at, steps); !ok {
			return errLayout
		}
		if end {
			return nil
		}
		if at, ok = t.number(at, steps); !ok {
			return errLayout
		}
	}
}

// number marks the bytes of a number, and gives what follows it.
func (t *tables) number(at, steps int) (next int, ok bool) {
	for ; at < len(t.used); at++ {
		t.used[at] = true
		if t.mem[steps+at] < 0x80 {
			return at + 1, true
		}
	}
	return at, false
}
