package main

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"

	"outlast/backup/site"
	"outlast/catalog"
	"outlast/catalog/strict"
)

// standardInput is what messages call it.
const standardInput = "standard input"

// readFile takes the text of a file, or of standard input for "-". name is what messages call it.
func readFile(ctx context.Context, in io.Reader, path string) (name string, src []byte, err error) {
	if name = path; path == "-" {
		name = standardInput
	}
	src, err = interruptible(ctx, func() ([]byte, error) { return readNow(in, path, name) })
	return name, src, err
}

// interruptible does something that may block without looking at ctx, such as a read, and does not wait for it once ctx
// is done.
func interruptible[T any](ctx context.Context, do func() (T, error)) (T, error) {
	type outcome struct {
		value T
		err   error
	}
	done := make(chan outcome, 1)
	go func() {
		value, err := do()
		done <- outcome{value, err}
	}()
	select {
	case o := <-done:
		return o.value, o.err
	case <-ctx.Done():
		var none T
		return none, ctx.Err()
	}
}

// readNow reads a file, or standard input for "-".
func readNow(in io.Reader, path, name string) ([]byte, error) {
	if path == "-" {
		return strict.Read(name, in)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, strict.Problems{{File: path, Msg: "cannot be opened: " + cause(err)}}
	}
	defer f.Close()
	if info, err := f.Stat(); err == nil && info.IsDir() {
		return nil, strict.Problems{{File: path, Msg: "is a folder, want a file"}}
	}
	return strict.Read(path, f)
}

// cause is why a file operation failed, without the name that the message gives already.
func cause(err error) string {
	var pe *os.PathError
	if errors.As(err, &pe) {
		return pe.Err.Error()
	}
	return err.Error()
}

// readCatalog reads the generic catalog and lays the user's files over it.
func readCatalog(ctx context.Context, in io.Reader, files []string) (*catalog.Catalog, error) {
	cat, err := catalog.Generic()
	if err != nil {
		return nil, err
	}
	var problems strict.Problems
	for _, path := range files {
		name, src, err := readFile(ctx, in, path)
		if err == nil {
			var own *catalog.Catalog
			if own, err = catalog.Read(name, src); err == nil {
				cat.Add(own)
				continue
			}
		}
		if err := gather(&problems, err); err != nil {
			return nil, err
		}
	}
	if problems != nil {
		return nil, problems
	}
	return cat, nil
}

// readSite reads one site file, and gives its text as well.
func readSite(ctx context.Context, in io.Reader, path string, cat *catalog.Catalog) (s *site.Site, src []byte,
	err error) {
	name, src, err := readFile(ctx, in, path)
	if err != nil {
		return nil, nil, err
	}
	s, err = interruptible(ctx, func() (*site.Site, error) {
		s, err := site.Read(name, src, cat)
		if err != nil {
			return nil, err
		}
		if err := s.ReadWeather(besideFile(path)); err != nil {
			return nil, err
		}
		return s, readSiteMeter(ctx, path, s)
	})
	return s, src, err
}

// besideFile opens files that a site file names: relative names start from the site file's folder.
func besideFile(path string) func(string) (io.ReadCloser, error) {
	return func(name string) (io.ReadCloser, error) {
		f, err := os.Open(besidePath(path, name))
		if err != nil {
			return nil, errors.New(cause(err))
		}
		return f, nil
	}
}

// besidePath is where a file stands that the site file at path names.
func besidePath(path, name string) string {
	if filepath.IsAbs(name) || path == "-" || path == standardInput {
		return name
	}
	return filepath.Join(filepath.Dir(path), name)
}

// gather adds the problems in err to all; any other error comes back.
func gather(all *strict.Problems, err error) error {
	var ps strict.Problems
	if !errors.As(err, &ps) {
		return err
	}
	*all = append(*all, ps...)
	return nil
}
