package terminal

import (
	"io"
	"os"
)

// Watched is a writer that remembers its first error: help and lists are printed by code that does not look at errors,
// and what nobody could write must not end as if it stood there.
type Watched struct {
	W   io.Writer
	Err error
}

func (s *Watched) Write(b []byte) (int, error) {
	n, err := s.W.Write(b)
	if err != nil && s.Err == nil {
		s.Err = err
	}
	return n, err
}

// File gives the file behind a writer, if there is one.
func file(w io.Writer) (*os.File, bool) {
	if s, ok := w.(*Watched); ok {
		w = s.W
	}
	f, ok := w.(*os.File)
	return f, ok
}
