package files

import (
	"os"
	"path/filepath"
)

// A pendingFile is written beside the file whose place it takes, whole or not at all.
type pendingFile struct {
	*os.File
	path string
}

func beginFile(path string) (pendingFile, error) {
	f, err := os.CreateTemp(filepath.Dir(path), filepath.Base(path)+".*.tmp")
	return pendingFile{f, path}, err
}

// commit puts the file in its place.
func (f pendingFile) commit() error {
	if err := f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), f.path)
}

// abandon leaves the old file as it is; after commit there is nothing to remove.
func (f pendingFile) abandon() {
	f.Close()
	os.Remove(f.Name())
}
