package files

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"outlast/cmd/outlast/terminal"
)

// WriteNew writes a file that is not there yet, whole or not at all.
func WriteNew(path string, text []byte) error {
	err := PutNew(path, text)
	switch {
	case errors.Is(err, fs.ErrExist):
		return ThereAlready(path)
	case err != nil:
		return terminal.Usage(fmt.Sprintf("%s cannot be written: %s", path, terminal.Cause(err)), "")
	}
	return nil
}

// PutNew is WriteNew for who has own words for what went wrong: a file that is there is [fs.ErrExist]. It writes under
// another name and then gives the file its own as well: a rename would take the place of a file that has come meanwhile.
func PutNew(path string, text []byte) error {
	if _, err := os.Lstat(path); err == nil {
		return fs.ErrExist
	}
	f, err := beginFile(path)
	if err != nil {
		return err
	}
	defer f.abandon()
	if _, err := f.Write(text); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	if err := os.Link(f.Name(), path); err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	// Some drives know no second names.
	there, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	_, err = there.Write(text)
	if cerr := there.Close(); err == nil {
		err = cerr
	}
	if err != nil {
		os.Remove(path) // ours: it did not exist before
	}
	return err
}

// ThereAlready refuses to write a file that is there.
func ThereAlready(path string) error {
	return terminal.Usage(path+" is there already and is left as it is", "name another file")
}

// Replace writes a file so that it appears whole or not at all. The error is the system's.
func Replace(path string, data []byte) error {
	f, err := beginFile(path)
	if err != nil {
		return err
	}
	defer f.abandon()
	if _, err := f.Write(data); err != nil {
		return err
	}
	return f.commit()
}

// mostCopies is how many copies of a file are kept beside it; then the page asks to tidy up, and overwrites none.
const mostCopies = 999

// KeepCopy keeps what stood in a file beside it, under a name that is free: home.toml.bak, home.toml.bak2. A copy that
// is there already with the same text is enough.
func KeepCopy(path string, old []byte) (copied string, err error) {
	for n := 1; n <= mostCopies; n++ {
		copied = path + ".bak"
		if n > 1 {
			copied = fmt.Sprintf("%s.bak%d", path, n)
		}
		there, err := os.ReadFile(copied)
		switch {
		case err == nil && bytes.Equal(there, old):
			return copied, nil
		case err == nil:
		case errors.Is(err, fs.ErrNotExist):
			if err := WriteNew(copied, old); err != nil {
				return "", err
			}
			if info, err := os.Stat(path); err == nil { // who may not read the file may not read its copy
				if err := os.Chmod(copied, info.Mode().Perm()); err != nil {
					return "", terminal.Usage(fmt.Sprintf("%s cannot be kept from others: %s", copied, terminal.Cause(err)), "")
				}
			}
			return copied, nil
		default:
			return "", terminal.Usage(fmt.Sprintf("%s cannot be opened: %s", copied, terminal.Cause(err)), "")
		}
	}
	return "", terminal.Usage(fmt.Sprintf("%s has %d copies beside it", path, mostCopies), "take some away")
}
