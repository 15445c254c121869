//go:build !js

// Package browsertest opens pages in a real browser, for tests only. It wants Debian's package chromium; tests skip
// without it unless OUTLAST_BROWSER says that it has to be there, and in short mode.
package browsertest

import (
	"context"
	"os"
	"os/exec"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// The one browser of all tests of a package.
var (
	browser  context.Context
	stop     = func() {}
	startErr error
	once     sync.Once
)

// Stop ends the browser, if one was started: TestMain calls it behind the last test.
func Stop() { stop() }

// Tab gives a tab of its own in the one browser, whose window is that wide and high in pixels from the first test on.
// It is closed when the test ends, or after the given time.
func Tab(t testing.TB, wide, high int, most time.Duration) context.Context {
	t.Helper()
	if testing.Short() {
		t.Skip("a browser takes its time: not in short mode")
	}
	path, err := exec.LookPath("chromium")
	if err != nil {
		if os.Getenv("OUTLAST_BROWSER") != "" {
			t.Fatalf("OUTLAST_BROWSER is set, but chromium is not installed: %v", err)
		}
		t.Skip("chromium is not installed: install Debian's package of that name to run this")
	}
	once.Do(func() {
		opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path),
			chromedp.WindowSize(wide, high))
		if os.Geteuid() == 0 {
			opts = append(opts, chromedp.NoSandbox) // the sandbox refuses root
		}
		alloc, stopAlloc := chromedp.NewExecAllocator(context.Background(), opts...)
		ctx, stopBrowser := chromedp.NewContext(alloc)
		stop = func() { stopBrowser(); stopAlloc() }
		browser, startErr = ctx, chromedp.Do(ctx)
	})
	if startErr != nil {
		t.Fatalf("chromium does not start: %v", startErr)
	}
	ctx, stopTab := chromedp.NewContext(browser)
	t.Cleanup(stopTab)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	ctx, stopTab = context.WithTimeout(ctx, most)
	t.Cleanup(stopTab)
	return ctx
}

// A Watch notes what a page asks for and what it complains of. Who reads it while the page lives locks it.
type Watch struct {
	sync.Mutex
	Requests, Complaints []string
}

// Watching begins to note what happens in a tab.
func Watching(t testing.TB, ctx context.Context) *Watch {
	t.Helper()
	w := &Watch{}
	err := chromedp.Listen(ctx, func(ev any) {
		w.Lock()
		defer w.Unlock()
		switch ev := ev.(type) {
		case *network.EventRequestWillBeSent:
			w.Requests = append(w.Requests, ev.Request.URL)
		case *log.EventEntryAdded:
			w.Complaints = append(w.Complaints, ev.Entry.Text+" "+ev.Entry.URL)
		case *runtime.EventConsoleAPICalled:
			text := "console:"
			for _, a := range ev.Args {
				text += " " + string(a.Value) + a.Description
			}
			w.Complaints = append(w.Complaints, text)
		case *runtime.EventExceptionThrown:
			text := ev.ExceptionDetails.Text
			if ev.ExceptionDetails.Exception != nil {
				text += " " + ev.ExceptionDetails.Exception.Description
			}
			w.Complaints = append(w.Complaints, text)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	return w
}
