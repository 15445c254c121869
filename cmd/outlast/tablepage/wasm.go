package tablepage

import (
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
)

// A module of WebAssembly is eight bytes and then sections: a byte that tells the kind, the length, and that many bytes.
// Source: WebAssembly Core Specification, chapter 5 "Binary Format" (from memory).
const (
	wasmHead     = "\x00asm\x01\x00\x00\x00"
	customOf     = 0  // names and the like, which nothing runs by
	dataOf       = 11 // what the memory holds at first
	plainPiece   = 0  // a piece of data for the one memory, at a place that is a constant
	constantI32  = 0x41
	endOfPlace   = 0x0b
	joinOverGaps = 256 // zeros between two pieces that cost less than a new piece
)

// errWasm is the fault of a module that ends too early, or that is none.
var errWasm = errors.New("no module of WebAssembly, or of a kind that is not read here")

// A wasmReader reads the numbers of a module one after the other; what is read after a fault is nothing.
type wasmReader struct {
	rest   []byte
	broken bool
}

// take is the next n bytes.
func (r *wasmReader) take(n uint64) []byte {
	if r.broken || n > uint64(len(r.rest)) {
		r.broken, r.rest = true, nil
		return nil
	}
	out := r.rest[:n]
	r.rest = r.rest[n:]
	return out
}

// byte is the next byte.
func (r *wasmReader) byte() byte {
	if b := r.take(1); b != nil {
		return b[0]
	}
	return 0
}

// number is the next number without a sign.
func (r *wasmReader) number() uint64 {
	n, read := binary.Uvarint(r.rest)
	if read <= 0 {
		r.broken, r.rest = true, nil
		return 0
	}
	r.take(uint64(read))
	return n
}

// A dataPiece is what the memory holds from a place on.
type dataPiece struct {
	at   uint64
	text []byte
}

// end is the place behind a piece.
func (p dataPiece) end() uint64 { return p.at + uint64(len(p.text)) }

// joined writes a module with the pieces of its data put together where only a few zeros lie between, and without what
// nothing runs by. Go cuts its data at every few zeros, into a hundred thousand pieces: each has a place and a length, so
// that they pack worse than the zeros do, and the browser has to put each into its place.
func joined(wasm []byte) ([]byte, error) {
	r := wasmReader{rest: wasm}
	if string(r.take(uint64(len(wasmHead)))) != wasmHead {
		return nil, errWasm
	}
	out := []byte(wasmHead)
	for len(r.rest) > 0 {
		kind := r.byte()
		section := r.take(r.number())
		switch kind {
		case customOf:
			continue
		case dataOf:
			pieces, err := dataPieces(section)
			if err != nil {
				return nil, err
			}
			section = writePieces(joinPieces(pieces))
		}
		out = append(binary.AppendUvarint(append(out, kind), uint64(len(section))), section...)
	}
	if r.broken {
		return nil, errWasm
	}
	return out, nil
}

// dataPieces reads the section of data, in the order of the places.
func dataPieces(section []byte) ([]dataPiece, error) {
	r := wasmReader{rest: section}
	var pieces []dataPiece
	for range r.number() {
		if kind, constant := r.byte(), r.byte(); kind != plainPiece || constant != constantI32 {
			return nil, fmt.Errorf("%w: data of kind %d at a place of kind %#x", errWasm, kind, constant)
		}
		at := r.place()
		end := r.byte()
		text := r.take(r.number())
		if r.broken || end != endOfPlace {
			return nil, errWasm
		}
		pieces = append(pieces, dataPiece{at, text})
	}
	if r.broken || len(r.rest) > 0 {
		return nil, errWasm
	}
	slices.SortStableFunc(pieces, func(a, b dataPiece) int { return cmp.Compare(a.at, b.at) })
	for i := 1; i < len(pieces); i++ {
		if pieces[i].at < pieces[i-1].end() {
			return nil, fmt.Errorf("%w: data written twice at %d", errWasm, pieces[i].at)
		}
	}
	return pieces, nil
}

// place is the next number with a sign. What is below zero is of the upper half of the memory, which Go does not use.
func (r *wasmReader) place() uint64 {
	before := len(r.rest)
	n := r.number()
	if sign := 7*(before-len(r.rest)) - 1; sign < 0 || n>>sign != 0 {
		r.broken, r.rest = true, nil
	}
	return n
}

// joinPieces puts pieces together that lie close to each other.
func joinPieces(pieces []dataPiece) (out []dataPiece) {
	for _, p := range pieces {
		if len(out) == 0 || p.at-out[len(out)-1].end() > joinOverGaps {
			out = append(out, dataPiece{p.at, slices.Clone(p.text)})
			continue
		}
		last := &out[len(out)-1]
		last.text = append(append(last.text, make([]byte, p.at-last.end())...), p.text...)
	}
	return out
}

// writePieces writes the section of data.
func writePieces(pieces []dataPiece) []byte {
	out := binary.AppendUvarint(nil, uint64(len(pieces)))
	for _, p := range pieces {
		out = append(out, plainPiece, constantI32)
		place := binary.AppendUvarint(nil, p.at)
		if last := &place[len(place)-1]; *last&0x40 != 0 {
			// The highest bit is the sign: one more byte keeps it clear.
			*last |= 0x80
			place = append(place, 0)
		}
		out = append(append(out, place...), endOfPlace)
		out = append(binary.AppendUvarint(out, uint64(len(p.text))), p.text...)
	}
	return out
}
