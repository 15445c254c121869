package tablepage

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
)

// built holds the engine that go generate has made, if it has.
//
//go:generate go run ./makeengine
//go:embed built
var built embed.FS

// The files of an engine.
const (
	wasmName = "engine.wasm.gz" // compressed
	execName = "wasm_exec.js"   // what Go needs of JavaScript, of the same version
	madeName = "made-of"        // what it was made of, see [sourceHash]
)

// An engine answers the page inside a browser.
type engine struct{ wasm, exec []byte }

// engineOf is the engine of this program: the one that is part of it, or one that is built now from the source that it
// was built from.
//
// A release has it. A program that was built in a checkout finds the source, and if what go generate has made is of
// another state, or was never made, the go command builds it; what it built is kept in the user's folder for such
// things.
func engineOf(ctx context.Context) (engine, error) {
	root, known := sourceRoot()
	var hash string
	if known {
		var err error
		if hash, err = sourceHash(root); err != nil {
			return engine{}, err
		}
	}
	if e, of, err := readEngine(built, "built"); err == nil && (!known || of == hash) {
		return e, nil
	}
	if !known {
		return engine{},
			errors.New("this program was built without the engine for the page, and its source is not on this machine: run " +
				"go generate ./cmd/outlast/tablepage before go build")
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		return buildEngine(ctx, root)
	}
	kept := filepath.Join(cache, "outlast", "engine-"+hash[:16])
	if e, of, err := readEngine(os.DirFS(kept), "."); err == nil && of == hash {
		return e, nil
	}
	e, err := buildEngine(ctx, root)
	if err == nil {
		_ = e.write(kept, hash) // the next time it takes longer again
	}
	return e, err
}

// readEngine reads an engine from a folder, and tells what it was made of.
func readEngine(fsys fs.FS, folder string) (e engine, of string, err error) {
	read := func(name string) []byte {
		text, ferr := fs.ReadFile(fsys, strings.TrimPrefix(folder+"/"+name, "./"))
		err = errors.Join(err, ferr)
		return text
	}
	e = engine{read(wasmName), read(execName)}
	return e, string(read(madeName)), err
}

// write keeps an engine in a folder. What tells that it is whole comes last.
func (e engine) write(folder, of string) error {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	if err := os.RemoveAll(filepath.Join(folder, madeName)); err != nil {
		return err
	}
	for _, f := range []struct {
		name string
		text []byte
	}{{wasmName, e.wasm}, {execName, e.exec}, {madeName, []byte(of)}} {
		if err := os.WriteFile(filepath.Join(folder, f.name), f.text, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// Generate builds the engine into a folder, for a release.
func Generate(ctx context.Context, folder string) error {
	root, known := sourceRoot()
	if !known {
		return errors.New("the source is not on this machine")
	}
	hash, err := sourceHash(root)
	if err != nil {
		return err
	}
	if _, of, err := readEngine(os.DirFS(folder), "."); err == nil && of == hash {
		return nil
	}
	e, err := buildEngine(ctx, root)
	if err != nil {
		return err
	}
	return e.write(folder, hash)
}

// sourceRoot is the folder of the source that this program was built from, if it is there.
func sourceRoot() (root string, ok bool) {
	_, file, _, ok := runtime.Caller(0)
	if !ok || !filepath.IsAbs(file) {
		return "", false
	}
	root = filepath.Join(filepath.Dir(file), "..", "..", "..")
	if _, err := os.Stat(filepath.Join(root, "go.mod")); err != nil {
		return "", false
	}
	return root, true
}

// engineFolder is where the program of the engine stands.
const engineFolder = "cmd/outlast/tablepage/engine"

// sourceHash tells the states of the source of the engine apart.
func sourceHash(root string) (string, error) {
	var paths []string
	for _, folder := range []string{"backup", "battery", "catalog", "loads", engineFolder} {
		err := filepath.WalkDir(filepath.Join(root, filepath.FromSlash(folder)),
			func(path string, d fs.DirEntry, err error) error {
				switch {
				case err != nil:
					return err
				case d.IsDir() && d.Name() == "testdata":
					return filepath.SkipDir
				case !d.IsDir() && !strings.HasSuffix(path, "_test.go"):
					paths = append(paths, path)
				}
				return nil
			})
		if err != nil {
			return "", err
		}
	}
	slices.Sort(paths)
	h := sha256.New()
	fmt.Fprintln(h, runtime.Version(), compiled, joinOverGaps)
	for _, path := range append(paths, filepath.Join(root, "go.mod")) {
		text, err := os.ReadFile(path)
		if err != nil {
			return "", err
		}
		name, err := filepath.Rel(root, path)
		if err != nil {
			return "", err
		}
		fmt.Fprintf(h, "%s %d\n", filepath.ToSlash(name), len(text))
		h.Write(text)
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// compiled says how packages of the engine are compiled; of several that fit the last one holds. What makes sentences
// and reads texts is not inlined: the engine is smaller by a sixteenth so, and runs sooner. What counts in loops stays
// as it is.
var compiled = []string{"outlast/...=-l", "github.com/BurntSushi/toml=-l", "encoding/json=-l", "regexp/syntax=-l",
	"time=-l",
	"outlast/battery=", "outlast/loads=", "outlast/backup/outage=", "outlast/backup/solar=", "outlast/backup/allocate="}

// buildEngine builds the engine with the go command.
func buildEngine(ctx context.Context, root string) (e engine, err error) {
	dir, err := os.MkdirTemp("", "outlast-engine-")
	if err != nil {
		return e, err
	}
	defer os.RemoveAll(dir)
	out := filepath.Join(dir, "engine.wasm")
	args := []string{"build", "-trimpath", "-buildvcs=false", "-ldflags=-s -w -buildid="}
	for _, flags := range compiled {
		args = append(args, "-gcflags="+flags)
	}
	cmd := exec.CommandContext(ctx, "go", append(args, "-o", out, "./"+engineFolder)...)
	cmd.Dir = root
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "GOFLAGS=", "CGO_ENABLED=0")
	if text, err := cmd.CombinedOutput(); err != nil {
		if errors.Is(err, exec.ErrNotFound) {
			return e,
				errors.New("this program was built without the engine for the page, and there is no go command to build it now: " +
					"run go generate ./cmd/outlast/tablepage before go build")
		}
		return e, fmt.Errorf("the engine for the page cannot be built: %w\n%s", err, bytes.TrimSpace(text))
	}
	wasm, err := os.ReadFile(out)
	if err != nil {
		return e, err
	}
	if wasm, err = joined(wasm); err != nil {
		return e, err
	}
	if e.wasm, err = compressed(wasm); err != nil {
		return e, err
	}
	env := exec.CommandContext(ctx, "go", "env", "GOROOT")
	env.Dir = root
	goroot, err := env.Output()
	if err != nil {
		return e, err
	}
	e.exec, err = os.ReadFile(filepath.Join(strings.TrimSpace(string(goroot)), "lib", "wasm", execName))
	return e, err
}

// compressed makes a text as small as gzip can; equal texts give equal bytes.
func compressed(text []byte) ([]byte, error) {
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := io.Copy(z, bytes.NewReader(text)); err != nil {
		return nil, err
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
