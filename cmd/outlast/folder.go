package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"outlast/backup/sheet/paper"
)

// writeFolder writes a folder so that it appears whole or not at all: it is filled under another name beside its place and then put
// there. A folder that is there already is replaced if it holds nothing but tables of an earlier run; anything else in it is somebody's
// work, and stays.
func writeFolder(path string, files []paper.File) error {
	refuse := func(format string, args ...any) error {
		return &usageError{fmt.Sprintf(format, args...), "the folder is as it was"}
	}
	path = filepath.Clean(path)
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	entries, err := os.ReadDir(path)
	exists := err == nil
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return refuse("%s cannot be written: %s", path, cause(err))
	}
	for _, e := range entries {
		if e.IsDir() || !strings.HasSuffix(e.Name(), ".csv") {
			return refuse("%s holds %s, which is no table: name another folder", path, e.Name())
		}
	}
	fresh, err := os.MkdirTemp(filepath.Dir(path), "."+filepath.Base(path)+"-*")
	if err != nil {
		return refuse("%s cannot be written: %s", path, cause(err))
	}
	defer os.RemoveAll(fresh) // what is in place by then is not there any more
	for _, f := range files {
		if err := os.WriteFile(filepath.Join(fresh, f.Name), f.Data, 0o644); err != nil {
			return refuse("%s cannot be written: %s", path, cause(err))
		}
	}
	if err := os.Chmod(fresh, 0o755); err != nil {
		return refuse("%s cannot be written: %s", path, cause(err))
	}
	if !exists {
		if err := os.Rename(fresh, path); err != nil {
			return refuse("%s cannot be written: %s", path, cause(err))
		}
		return nil
	}
	old := fresh + "-old"
	if err := os.Rename(path, old); err != nil {
		return refuse("%s cannot be replaced: %s", path, cause(err))
	}
	if err := os.Rename(fresh, path); err != nil {
		return errors.Join(refuse("%s cannot be replaced: %s", path, cause(err)), os.Rename(old, path))
	}
	return os.RemoveAll(old)
}
