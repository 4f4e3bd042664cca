package main

import (
	"bytes"
	"errors"
)

// memory is what a program's memory begins as: the pieces of its data section, where they
// will lie.
type memory struct {
	bytes  []byte
	pieces []piece
}

// piece is a run of bytes: where it lies in memory, and in the file.
type piece struct{ at, file, length int }

var errProgram = errors.New("not a WebAssembly program as Go writes them")

const (
	dataSection = 11
	headBytes   = 8
	constI32    = 0x41
	endOfConst  = 0x0b
	mostMemory  = 256 << 20
)

// reader reads a program from a place on.
type reader struct {
	b  []byte
	at int
}

// number is one of seven bits a byte (LEB128). The addresses here are below 2³¹, so that
// with a sign and without one they are read alike.
func (r *reader) number() (int, error) {
	v := 0
	for shift := 0; shift < 35; shift += 7 {
		if r.at >= len(r.b) {
			return 0, errProgram
		}
		c := r.b[r.at]
		r.at++
		v |= int(c&0x7f) << shift
		if c < 0x80 {
			return v, nil
		}
	}
	return 0, errProgram
}

// expect reads one byte that has to be there.
func (r *reader) expect(c byte) error {
	if r.at >= len(r.b) || r.b[r.at] != c {
		return errProgram
	}
	r.at++
	return nil
}

// readMemory reads a program's data section.
func readMemory(program []byte) (*memory, error) {
	if !bytes.HasPrefix(program, []byte("\x00asm\x01\x00\x00\x00")) {
		return nil, errProgram
	}
	r := &reader{program, headBytes}
	for r.at < len(program) {
		kind := program[r.at]
		r.at++
		n, err := r.number()
		if err != nil || r.at+n > len(program) {
			return nil, errProgram
		}
		if kind == dataSection {
			return readPieces(r)
		}
		r.at += n
	}
	return nil, errProgram
}

func readPieces(r *reader) (*memory, error) {
	m := &memory{}
	n, err := r.number()
	for ; n > 0 && err == nil; n-- {
		var p piece
		if p, err = readPiece(r); err == nil {
			if grow := p.at + p.length - len(m.bytes); grow > 0 {
				m.bytes = append(m.bytes, make([]byte, grow)...)
			}
			copy(m.bytes[p.at:], r.b[p.file:p.file+p.length])
			m.pieces = append(m.pieces, p)
		}
	}
	return m, err
}

func readPiece(r *reader) (piece, error) {
	var p piece
	err := r.expect(0) // of the one memory there is
	if err == nil {
		err = r.expect(constI32)
	}
	if err != nil {
		return p, err
	}
	if p.at, err = r.number(); err != nil {
		return p, err
	}
	if err = r.expect(endOfConst); err != nil {
		return p, err
	}
	if p.length, err = r.number(); err != nil {
		return p, err
	}
	p.file = r.at
	if p.file+p.length > len(r.b) || p.at+p.length > mostMemory {
		return p, errProgram
	}
	r.at += p.length
	return p, nil
}

func (m *memory) find(what []byte) int { return bytes.Index(m.bytes, what) }

// writeBack puts memory into the program again. What no piece holds was nought and has to
// be still.
func (m *memory) writeBack(program []byte) {
	for _, p := range m.pieces {
		copy(program[p.file:p.file+p.length], m.bytes[p.at:])
	}
}
