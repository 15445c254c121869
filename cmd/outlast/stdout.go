package main

import (
	"io"
	"os"
)

// watched is a writer that remembers its first error: help and lists are printed by code that does not look at errors,
// and what nobody could write must not end as if it stood there.
type watched struct {
	w   io.Writer
	err error
}

func (s *watched) Write(b []byte) (int, error) {
	n, err := s.w.Write(b)
	if err != nil && s.err == nil {
		s.err = err
	}
	return n, err
}

// file gives the file behind a writer, if there is one.
func file(w io.Writer) (*os.File, bool) {
	if s, ok := w.(*watched); ok {
		w = s.w
	}
	f, ok := w.(*os.File)
	return f, ok
}
