package files

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"outlast/backup/sheet/paper/doc"
	"outlast/cmd/outlast/terminal"
)

// manifestName is the file in a folder of tables that remembers what this program wrote there, by name and SHA-256.
// Only that is ever replaced or removed, and only as long as nobody has changed it: a table in which somebody made
// notes is his work.
const manifestName = ".outlast-tables"

const manifestHead = "# What outlast wrote here, by SHA-256 and name. It replaces and removes nothing else.\n"

// A manifest is what was written, as "hash name".
type manifest map[string]bool

func (m manifest) has(name string, data []byte) bool { return m[entry(name, data)] }

// entry is a line of a manifest.
func entry(name string, data []byte) string {
	hash := sha256.Sum256(data)
	return hex.EncodeToString(hash[:]) + " " + name
}

func readManifest(r io.Reader) (manifest, error) {
	data, err := io.ReadAll(r)
	m := manifest{}
	for line := range strings.Lines(string(data)) {
		if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "#") {
			m[line] = true
		}
	}
	return m, err
}

// names are the files of a manifest.
func (m manifest) names() map[string]bool {
	out := map[string]bool{}
	for line := range m {
		if _, name, ok := strings.Cut(line, " "); ok && name == filepath.Base(name) {
			out[name] = true
		}
	}
	return out
}

// WriteFolder writes tables into a folder: all of them or none. A folder that is not there appears whole. In one that
// is there, tables of an earlier run are replaced, and those that are no longer made are removed; whatever else is in
// it stays, and a file that stands in the way is an error. Runs that write into one folder wait for each other.
func WriteFolder(ctx context.Context, path string, files []doc.File) error {
	path = filepath.Clean(path)
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	refuse := func(err error) error {
		var usage *terminal.UsageError
		switch {
		case errors.As(err, &usage):
			return err
		case errors.Is(err, context.Canceled):
			return context.Canceled // before anything was written: only the wait for the lock looks at ctx
		}
		return terminal.Usage(fmt.Sprintf("%s cannot be written: %s", path, terminal.Cause(err)), "the folder is as it was")
	}
	if _, err := os.Lstat(path); errors.Is(err, fs.ErrNotExist) {
		made, err := newFolder(path, files)
		if err != nil {
			return refuse(err)
		}
		if made {
			return nil
		}
	}
	if _, err := os.ReadDir(path); err != nil {
		return refuse(err)
	}
	if _, err := os.Lstat(filepath.Join(path, manifestName)); errors.Is(err, fs.ErrNotExist) {
		if err := inTheWay(path, files, nil); err != nil { // before a manifest appears beside somebody's files
			return refuse(err)
		}
	}
	if err := intoFolder(ctx, path, files); err != nil {
		return refuse(err)
	}
	return nil
}

// SparesTables refuses an output that would take the place of one of the tables that the same run writes.
func (o Output) SparesTables(folder string, files []doc.File) error {
	if o.Path == "" || o.Path == "-" {
		return nil
	}
	out, err := filepath.Abs(o.Path)
	if err != nil {
		return terminal.Usage(fmt.Sprintf("%s cannot be written: %s", o.Path, terminal.Cause(err)), "")
	}
	for _, f := range files {
		if there, err := filepath.Abs(filepath.Join(folder, f.Name)); err == nil && there == out {
			return terminal.Usage(fmt.Sprintf("-o %s is the name of one of the tables", o.Path), "name another file")
		}
	}
	return nil
}

// newFolder fills a folder under another name beside its place and then puts it there. It says whether it was put
// there: another run may have been faster.
func newFolder(path string, files []doc.File) (made bool, err error) {
	fresh, err := os.MkdirTemp(filepath.Dir(path), "."+filepath.Base(path)+"-*")
	if err != nil {
		return false, err
	}
	defer os.RemoveAll(fresh) // what is in place by then is not there any more
	var lines bytes.Buffer
	lines.WriteString(manifestHead)
	for _, f := range files {
		if err := os.WriteFile(filepath.Join(fresh, f.Name), f.Data, 0o644); err != nil {
			return false, err
		}
		lines.WriteString(entry(f.Name, f.Data) + "\n")
	}
	if err := os.WriteFile(filepath.Join(fresh, manifestName), lines.Bytes(), 0o644); err != nil {
		return false, err
	}
	if err := os.Chmod(fresh, 0o755); err != nil {
		return false, err
	}
	if err := os.Rename(fresh, path); err != nil {
		if _, there := os.Lstat(path); there == nil {
			return false, nil
		}
		return false, err
	}
	return true, nil
}

// lockEvery is how often a run looks whether the one before it is done with the folder: a matter of milliseconds.
const lockEvery = 20 * time.Millisecond

// intoFolder writes tables into a folder that is there. Its manifest is locked meanwhile, and names the new tables
// before they are put in place and the old ones until they are gone: what a run leaves that was killed is still known
// for its own.
func intoFolder(ctx context.Context, path string, files []doc.File) error {
	list, err := lockFile(ctx, filepath.Join(path, manifestName))
	if err != nil {
		return err
	}
	defer list.Close() // which gives the lock back
	known, err := readManifest(list)
	if err != nil {
		return err
	}
	if err := inTheWay(path, files, known); err != nil {
		return err
	}
	staged, err := stage(path, files)
	defer func() {
		for _, name := range staged {
			os.Remove(name) // those that are in place are not there any more
		}
	}()
	if err != nil {
		return err
	}
	var added, after strings.Builder
	if len(known) == 0 {
		added.WriteString(manifestHead)
	}
	after.WriteString(manifestHead)
	for _, f := range files {
		added.WriteString(entry(f.Name, f.Data) + "\n")
		after.WriteString(entry(f.Name, f.Data) + "\n")
	}
	if _, err := list.Seek(0, io.SeekEnd); err != nil {
		return err
	}
	if _, err := list.WriteString(added.String()); err != nil {
		return err
	}
	made := map[string]bool{}
	for i, f := range files {
		if err := os.Rename(staged[i], filepath.Join(path, f.Name)); err != nil {
			return err
		}
		made[f.Name] = true
	}
	for name := range known.names() {
		old := filepath.Join(path, name)
		if data, err := os.ReadFile(old); !made[name] && err == nil && known.has(name, data) {
			if err := os.Remove(old); err != nil {
				return err
			}
		}
	}
	if err := list.Truncate(0); err != nil {
		return err
	}
	_, err = list.WriteAt([]byte(after.String()), 0)
	return err
}

// inTheWay refuses tables that would take the place of a file which this program did not write, or which was changed
// since.
func inTheWay(path string, files []doc.File, known manifest) error {
	for _, f := range files {
		there := filepath.Join(path, f.Name)
		info, err := os.Lstat(there)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return err
		}
		if info.Mode().IsRegular() {
			data, err := os.ReadFile(there)
			if err != nil {
				return err
			}
			if known.has(f.Name, data) || bytes.Equal(data, f.Data) {
				continue
			}
		}
		return terminal.Usage(there+" was not written by outlast, or was changed since, and would be replaced",
			"name another folder, or move the file; the folder is as it was")
	}
	return nil
}

// stage writes the tables under other names, so that what can fail has failed before the first is put in its place.
func stage(path string, files []doc.File) (names []string, err error) {
	for _, f := range files {
		t, err := os.CreateTemp(path, manifestName+"-*")
		if err != nil {
			return names, err
		}
		names = append(names, t.Name())
		_, err = t.Write(f.Data)
		if cerr := t.Close(); err == nil {
			err = cerr
		}
		if err == nil {
			err = os.Chmod(t.Name(), 0o644)
		}
		if err != nil {
			return names, err
		}
	}
	return names, nil
}
