package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// half is what nobody who presses Ctrl-C should have to wait longer for.
const half = 500 * time.Millisecond

// stoppedAll is what an interrupted command says that came to its end by itself: everything it was in looked at its
// context.
const stoppedAll = "outlast: stopped, nothing was written\n"

// stopAfter runs a command, interrupts it after some time, and tells how long it went on. What the machine does besides
// may hold it up, so the best of several runs counts.
func stopAfter(t *testing.T, after time.Duration, args ...string) {
	t.Helper()
	var took time.Duration
	for range 5 {
		ctx, cancel := context.WithCancel(t.Context())
		var out, errw bytes.Buffer
		stopped := make(chan time.Time, 1)
		time.AfterFunc(after, func() { stopped <- time.Now(); cancel() })
		status := runUntil(ctx, args, strings.NewReader(""), &out, &errw)
		if ctx.Err() == nil {
			t.Fatalf("%q was over, with %d, before it was interrupted: %s", args, status, errw.String())
		}
		took = time.Since(<-stopped)
		if status == exitStopped && errw.String() == stoppedAll && out.Len() == 0 && took <= half {
			return
		}
		if status != exitStopped || out.Len() > 0 {
			t.Fatalf("%q: status %d, stderr %q, stdout of %d bytes", args, status, errw.String(), out.Len())
		}
	}
	t.Errorf("%q went on for %v after %v, five times; want half a second at most", args, took, after)
}

// largeSite writes a site of many circuits and loads, so many of them open, that keeps every command busy for seconds.
func largeSite(t *testing.T, phases, circuits, open, loads int, bank string, strs int) string {
	t.Helper()
	var b strings.Builder
	inverter := map[int]string{1: "hybrid-8k-48", 3: "three-15k-400"}[phases]
	fmt.Fprintf(&b,
		"[site]\nname = \"Large\"\nnominal_v = 230\nphases = %d\ncoldest_c = 10\n[outage]\nautonomy_h = 14\n[inverter]\nuse = %q\n",
		phases, inverter)
	fmt.Fprintf(&b, "[bank]\nuse = %q\nstrings = %d\n[board]\nways = %d\n", bank, strs, circuits-open/3)
	for i := range circuits {
		board, phase := "backup", "1"
		if i >= circuits-open {
			board = "either"
		}
		if phases == 3 && i%2 == 1 {
			phase = `"any"`
		}
		fmt.Fprintf(&b, "[[circuit]]\nid = \"c%d\"\nbreaker_a = 20\nphase = %s\nboard = %q\n", i, phase, board)
		for j := range loads {
			n := i*loads + j
			from, hours := n*7%20, 1+n*3%3
			fmt.Fprintf(&b,
				"[[load]]\nname = \"l%d\"\ncircuit = \"c%d\"\nrunning_w = %d\nhours_per_day = %g\n"+
					"when = [\"%02d:%02d-%02d:00\"]\npriority = %d\n",
				n, i, 5+n*n%597, 0.7*float64(hours), from, n*11%60, from+hours+1, 1+n%5)
			if n%3 == 0 {
				fmt.Fprint(&b, "starting_va = 2500\nstarting_s = 1\ncycle = { on_min = 7, off_min = 11 }\n")
			}
		}
	}
	path := filepath.Join(t.TempDir(), "large.toml")
	if err := os.WriteFile(path, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// TestStopAtWork: whatever a command is at, the search for circuits, a simulation, the questions that only a sheet
// asks, it ends within half a second of an interruption, by itself, says so, and writes nothing.
func TestStopAtWork(t *testing.T) {
	search := largeSite(t, 3, 150, 140, 2, "lfp-102-50", 4)
	loads := largeSite(t, 1, 60, 0, 14, "lfp-51-100", 0)
	lead := largeSite(t, 1, 60, 0, 8, "flooded-2-1000", 4)
	for _, c := range []struct {
		after time.Duration // in the search or the plan; later in what follows from it
		args  []string
	}{
		{100 * time.Millisecond, []string{"plan", search}},
		{700 * time.Millisecond, []string{"plan", search}},
		{100 * time.Millisecond, []string{"report", search}},
		{700 * time.Millisecond, []string{"plan", "--sensitivity", loads}},
		{300 * time.Millisecond, []string{"plan", "--hours-wished", "100", loads}},
		{100 * time.Millisecond, []string{"size", "--max-count", "100", "--autonomy", "1,2,3,4,5,6,7,8,9,10,11,12",
			loads}},
		{400 * time.Millisecond, []string{"outage", "--hours", "8760", loads}},
		{700 * time.Millisecond, []string{"outage", "--every-start", "--step", "1", "--reserve", "--target", "300",
			"--hours", "8760", lead}},
	} {
		stopAfter(t, c.after, c.args...)
	}
}

// waiting is standard input that nobody types into; asked is closed by the first read.
type waiting struct {
	asked chan struct{}
	never chan struct{}
}

func (w *waiting) Read([]byte) (int, error) {
	close(w.asked)
	<-w.never
	return 0, io.EOF
}

// TestStopAtInput: Ctrl-C ends a command that waits for its input.
func TestStopAtInput(t *testing.T) {
	for _, args := range [][]string{
		{"check", "-"}, {"plan", "-"}, {"size", "-"}, {"outage", "-"}, {"report", "-"}, {"catalog", "--catalog", "-"},
	} {
		ctx, cancel := context.WithCancel(t.Context())
		in := &waiting{make(chan struct{}), make(chan struct{})}
		var from time.Time
		go func() {
			<-in.asked
			from = time.Now()
			cancel()
		}()
		var out, errw bytes.Buffer
		status := runUntil(ctx, args, in, &out, &errw)
		if took := time.Since(from); status != exitStopped || errw.String() != stoppedAll || out.Len() > 0 ||
			took > half {
			t.Errorf("%q after %v: status %d, stderr %q, stdout %q", args, took, status, errw.String(), out.String())
		}
		close(in.never)
	}
}

// TestInterrupt sends the signal itself.
func TestInterrupt(t *testing.T) {
	self, err := os.FindProcess(os.Getpid())
	if err != nil {
		t.Fatal(err)
	}
	in := &waiting{make(chan struct{}), make(chan struct{})}
	defer close(in.never)
	sent := make(chan error, 1)
	go func() {
		<-in.asked // by now the signal is caught
		err := self.Signal(os.Interrupt)
		if err != nil {
			in.never <- struct{}{}
		}
		sent <- err
	}()
	var out, errw bytes.Buffer
	status := run([]string{"plan", "-"}, in, &out, &errw)
	if err := <-sent; err != nil {
		t.Skipf("this system cannot send it: %v", err)
	}
	if status != exitStopped || errw.String() != stoppedAll {
		t.Errorf("status %d, stderr %q", status, errw.String())
	}
}

// stuck is an output that takes nothing.
type stuck struct{ never chan struct{} }

func (s stuck) Write([]byte) (int, error) {
	<-s.never
	return 0, io.ErrClosedPipe
}

// TestStopAtOutput: a command that hangs where no context reaches it is not waited for, and does not claim that nothing
// was written.
func TestStopAtOutput(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	out := stuck{make(chan struct{})}
	defer close(out.never)
	var from time.Time
	time.AfterFunc(300*time.Millisecond, func() { from = time.Now(); cancel() })
	var errw bytes.Buffer
	status := runUntil(ctx, []string{"check", "../../testdata/sites/cottage.toml"}, strings.NewReader(""), out, &errw)
	if took := time.Since(from); status != exitStopped || errw.String() != "outlast: stopped\n" || took > 2*half {
		t.Errorf("after %v: status %d, stderr %q", took, status, errw.String())
	}
}
