package files

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"outlast/backup/sheet/paper/doc"
	"outlast/cmd/outlast/terminal"
)

// tablesOf are two tables whose text tells from which run they are.
func tablesOf(run string, names ...string) []doc.File {
	var out []doc.File
	for _, n := range names {
		out = append(out, doc.File{Name: n + ".csv", Data: []byte(n + "," + run + "\n")})
	}
	return out
}

// held is what a folder holds beside its manifest, by name.
func held(t *testing.T, folder string) map[string]string {
	t.Helper()
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	for _, e := range entries {
		if e.Name() == manifestName {
			continue
		}
		data, err := os.ReadFile(filepath.Join(folder, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		out[e.Name()] = string(data)
	}
	return out
}

// TestFolderKeepsWhatIsNotOurs: only tables that an earlier run wrote, and that nobody changed, are replaced or
// removed.
func TestFolderKeepsWhatIsNotOurs(t *testing.T) {
	ctx := context.Background()
	folder := filepath.Join(t.TempDir(), "tables")
	write := func(files []doc.File) error { return WriteFolder(ctx, folder, files) }
	want := func(when string, wanted map[string]string) {
		t.Helper()
		if got := held(t, folder); fmt.Sprint(got) != fmt.Sprint(wanted) {
			t.Errorf("%s the folder holds %q, want %q", when, got, wanted)
		}
	}
	refused := func(when, name string, err error) {
		t.Helper()
		var usage *terminal.UsageError
		if !errors.As(err, &usage) || !strings.Contains(usage.Msg, name) || !strings.Contains(usage.Hint, "as it was") {
			t.Errorf("%s: %v, want a refusal that names %s", when, err, name)
		}
	}
	if err := write(tablesOf("1", "bank", "checks", "starts")); err != nil {
		t.Fatal(err)
	}
	put(t, folder, "invoice.csv", "mine")
	put(t, folder, "notes.txt", "mine")
	if err := write(tablesOf("2", "bank", "checks")); err != nil {
		t.Fatal(err)
	}
	want("after a second run", map[string]string{"bank.csv": "bank,2\n", "checks.csv": "checks,2\n",
		"invoice.csv": "mine", "notes.txt": "mine"})

	// Somebody writes into a table: it is his now, whether it would be replaced or removed.
	put(t, folder, "checks.csv", "checks,2,looked at\n")
	refused("a table that was changed", "checks.csv", write(tablesOf("3", "bank", "checks")))
	want("after the refusal", map[string]string{"bank.csv": "bank,2\n", "checks.csv": "checks,2,looked at\n",
		"invoice.csv": "mine", "notes.txt": "mine"})
	if err := write(tablesOf("3", "bank")); err != nil {
		t.Fatal(err)
	}
	want("after a run without it", map[string]string{"bank.csv": "bank,3\n", "checks.csv": "checks,2,looked at\n",
		"invoice.csv": "mine", "notes.txt": "mine"})

	// A file of somebody else's under the name of a table stands in the way.
	refused("a foreign file", "invoice.csv", write(tablesOf("4", "bank", "invoice")))
	want("after that refusal", map[string]string{"bank.csv": "bank,3\n", "checks.csv": "checks,2,looked at\n",
		"invoice.csv": "mine", "notes.txt": "mine"})

	// A folder of somebody else's gets no file at all when a table cannot be written.
	other := t.TempDir()
	put(t, other, "bank.csv", "mine")
	refused("a foreign folder", "bank.csv", WriteFolder(ctx, other, tablesOf("1", "bank", "checks")))
	if entries, err := os.ReadDir(other); err != nil || len(entries) != 1 {
		t.Errorf("the foreign folder holds %v (%v), want bank.csv alone", entries, err)
	}

	// A manifest cannot lead out of its folder.
	outside := filepath.Join(t.TempDir(), "outside.csv")
	put(t, filepath.Dir(outside), "outside.csv", "mine")
	rel, err := filepath.Rel(folder, outside)
	if err != nil {
		t.Fatal(err)
	}
	put(t, folder, manifestName, entry(rel, []byte("mine"))+"\n"+entry("bank.csv", []byte("bank,3\n"))+"\n")
	if err := write(tablesOf("5", "starts")); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(outside); err != nil {
		t.Errorf("a file outside the folder: %v", err)
	}
	want("after that", map[string]string{"starts.csv": "starts,5\n", "checks.csv": "checks,2,looked at\n",
		"invoice.csv": "mine", "notes.txt": "mine"})
}

// TestFolderOfTwoRuns: runs that write into one folder at the same time all succeed, and what stays is from one of
// them.
func TestFolderOfTwoRuns(t *testing.T) {
	for round := range 10 {
		folder := filepath.Join(t.TempDir(), fmt.Sprint("tables", round))
		const runs = 6
		errs := make([]error, runs)
		var all sync.WaitGroup
		for i := range runs {
			all.Go(func() {
				names := []string{"bank", "checks", "starts", "working"}[:2+i%3]
				errs[i] = WriteFolder(context.Background(), folder, tablesOf(fmt.Sprint(i), names...))
			})
		}
		all.Wait()
		if err := errors.Join(errs...); err != nil {
			t.Fatal(err)
		}
		got := held(t, folder)
		from := map[string]bool{}
		for _, text := range got {
			_, run, _ := strings.Cut(strings.TrimSpace(text), ",")
			from[run] = true
		}
		if len(from) != 1 || len(got) < 2 {
			t.Errorf("the folder holds %q, want the tables of one run", got)
		}
		// What the last run left is known as ours: the next one replaces it.
		if err := WriteFolder(context.Background(), folder, tablesOf("last", "bank")); err != nil {
			t.Error(err)
		}
		if got := held(t, folder); fmt.Sprint(got) != fmt.Sprint(map[string]string{"bank.csv": "bank,last\n"}) {
			t.Errorf("after the last run the folder holds %q", got)
		}
	}
}

// TestFolderLockCanBeLeft: who waits for a folder that another run holds can be stopped.
func TestFolderLockCanBeLeft(t *testing.T) {
	folder := t.TempDir()
	held, err := lockFile(context.Background(), filepath.Join(folder, manifestName))
	if err != nil {
		t.Fatal(err)
	}
	defer held.Close()
	ctx, cancel := context.WithTimeout(context.Background(), 3*lockEvery)
	defer cancel()
	if f, err := lockFile(ctx, filepath.Join(folder, manifestName)); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("a second lock: %v, %v, want the end of the wait", f, err)
	}
}

func put(t *testing.T, folder, name, text string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}
