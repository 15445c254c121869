package tablepage

import (
	"bytes"
	"errors"
	"testing"
)

// section writes a section of a module.
func section(kind byte, text []byte) []byte {
	return append([]byte{kind, byte(len(text))}, text...)
}

// Pieces that lie close are one afterwards, with zeros between; places keep their sign, and what nothing runs by goes.
// The bytes follow the format as the specification gives it, written by hand.
func TestJoined(t *testing.T) {
	module := func(sections ...[]byte) []byte {
		return append([]byte("\x00asm\x01\x00\x00\x00"), bytes.Join(sections, nil)...)
	}
	piece := func(place []byte, text string) []byte {
		return append(append(append([]byte{0, 0x41}, place...), 0x0b, byte(len(text))), text...)
	}
	data := func(n byte, pieces ...[]byte) []byte {
		return section(11, append([]byte{n}, bytes.Join(pieces, nil)...))
	}
	at63, at64, at600 := []byte{63}, []byte{0xc0, 0}, []byte{0xd8, 4}
	for _, tt := range []struct {
		what       string
		give, want []byte // no want: refused
	}{
		{"other sections stay", module(section(1, []byte{9, 8}), section(10, []byte{7})), module(section(1, []byte{9, 8}), section(10, []byte{7}))},
		{"names go", module(section(0, []byte("\x04name")), section(1, []byte{9})), module(section(1, []byte{9}))},
		{"joined over zeros", module(data(2, piece([]byte{2}, "ab"), piece([]byte{6}, "c"))), module(data(1, piece([]byte{2}, "ab\x00\x00c")))},
		{"neighbours", module(data(2, piece(at63, "a"), piece(at64, "b"))), module(data(1, piece(at63, "ab")))},
		{"a place whose highest bit is no sign", module(data(1, piece(at64, "b"))), module(data(1, piece(at64, "b")))},
		{"far apart", module(data(2, piece([]byte{2}, "ab"), piece(at600, "c"))), module(data(2, piece([]byte{2}, "ab"), piece(at600, "c")))},
		{"in the order of the places", module(data(2, piece([]byte{6}, "c"), piece([]byte{2}, "ab"))), module(data(1, piece([]byte{2}, "ab\x00\x00c")))},
		{"no module", []byte("\x00asx\x01\x00\x00\x00"), nil},
		{"a place below zero", module(data(1, piece([]byte{0x7f}, "a"))), nil},
		{"written twice", module(data(2, piece([]byte{2}, "ab"), piece([]byte{3}, "c"))), nil},
		{"data that waits until it is asked for", module(section(11, []byte{1, 1, 1, 'a'})), nil},
		{"more pieces than there are", module(data(3, piece([]byte{2}, "ab"))), nil},
		{"more than the pieces", module(section(11, append(append([]byte{1}, piece([]byte{2}, "ab")...), 5))), nil},
	} {
		got, err := joined(tt.give)
		if tt.want == nil {
			if !errors.Is(err, errWasm) {
				t.Errorf("%s: %q and %v, want it refused", tt.what, got, err)
			}
			continue
		}
		if err != nil || !bytes.Equal(got, tt.want) {
			t.Errorf("%s: %q and %v, want %q", tt.what, got, err, tt.want)
		}
	}
	whole := module(section(1, []byte{9, 8}), data(2, piece([]byte{2}, "ab"), piece(at600, "c")))
	for n := range whole {
		if n == 8 || n == 12 { // behind the head and behind the first section
			continue
		}
		if got, err := joined(whole[:n]); !errors.Is(err, errWasm) {
			t.Errorf("cut off after %d bytes: %q and %v, want it refused", n, got, err)
		}
	}
}
