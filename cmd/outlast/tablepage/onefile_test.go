package tablepage

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"outlast/backup/live"
	"outlast/catalog"
)

// browser gives a tab in a browser of its own.
func browser(t *testing.T) context.Context {
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
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.WindowSize(1000, 800))
	if os.Geteuid() == 0 {
		opts = append(opts, chromedp.NoSandbox) // the sandbox refuses root
	}
	alloc, stopAlloc := chromedp.NewExecAllocator(context.Background(), opts...)
	t.Cleanup(stopAlloc)
	ctx, stop := chromedp.NewContext(alloc)
	t.Cleanup(stop)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("chromium does not start: %v", err)
	}
	ctx, stop = context.WithTimeout(ctx, 10*time.Minute) // machines of a build are busy
	t.Cleanup(stop)
	return ctx
}

// A watch notes what a page asks for and what it complains of.
type watch struct {
	sync.Mutex
	requests, complaints []string
}

func watching(t *testing.T, ctx context.Context) *watch {
	t.Helper()
	w := &watch{}
	err := chromedp.Listen(ctx, func(ev any) {
		w.Lock()
		defer w.Unlock()
		switch ev := ev.(type) {
		case *network.EventRequestWillBeSent:
			w.requests = append(w.requests, ev.Request.URL)
		case *log.EventEntryAdded:
			w.complaints = append(w.complaints, ev.Entry.Text)
		case *runtime.EventConsoleAPICalled:
			w.complaints = append(w.complaints, fmt.Sprint("console: ", ev.Type))
		case *runtime.EventExceptionThrown:
			w.complaints = append(w.complaints, ev.ExceptionDetails.Text)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// sites is the folder of the invented homes.
var sites = filepath.Join("..", "..", "..", "testdata", "sites")

// siteText is one of the invented homes, and the table with it.
func siteText(t testing.TB, home string) ([]byte, *live.Table) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(sites, home+".toml"))
	if err != nil {
		t.Fatal(err)
	}
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	table, err := live.New(live.Home{File: home + ".toml", Text: text, Catalog: cat})
	if err != nil {
		t.Fatal(err)
	}
	return text, table
}

// mostFileBytes is how large the page for the owner may be.
const mostFileBytes = 4_000_000

// The page in one file answers what the command answers, number for number and word for word; it loads nothing, and its own policy lets it work.
func TestOneFile(t *testing.T) {
	ctx := browser(t)
	w := watching(t, ctx)
	for _, home := range []string{"clinic", "cottage", "farmhouse", "overloaded", "split-phase", "town-flat"} {
		text, table := siteText(t, home)
		var page bytes.Buffer
		if err := WriteFile(ctx, &page, Carried{File: home + ".toml", Text: string(text)}, "en", []string{"en"}); err != nil {
			t.Fatal(err)
		}
		if page.Len() > mostFileBytes {
			t.Errorf("%s: %d bytes, want at most %d", home, page.Len(), mostFileBytes)
		}
		path := filepath.Join(t.TempDir(), home+".html")
		if err := os.WriteFile(path, page.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
		if err := chromedp.Do(ctx, chromedp.Navigate("file://"+path)); err != nil {
			t.Fatal(err)
		}
		for _, q := range []struct{ kind, question string }{
			{"answer", `{}`}, {"answer", `{"lang":"de","changes":[{"do":"set","table":"outage","key":"autonomy_h","value":31}],"view":{"start_min":1110,"hours":60,"month":12}}`},
			{"weigh", `{"lang":"fr"}`}, {"words", `{"lang":"es"}`}, {"why", `{"numbers":["at-once"]}`},
		} {
			script := fmt.Sprintf("table.ask(%q, %s).then(a => JSON.stringify(a))", q.kind, q.question)
			got, err := chromedp.Run(ctx, chromedp.Evaluate[string](script, chromedp.EvalAwaitPromise))
			if err != nil {
				t.Fatalf("%s: %s %s: %v; %q", home, q.kind, q.question, err, w.complaints)
			}
			want := table.Do(context.Background(), q.kind, []byte(q.question))
			if where := differ(t, []byte(got), want); where != "" {
				t.Errorf("%s: %s %s: %s", home, q.kind, q.question, where)
			}
		}
	}
	for _, r := range w.requests {
		if !strings.HasPrefix(r, "file://") && !strings.HasPrefix(r, "blob:") && !strings.HasPrefix(r, "data:") {
			t.Errorf("the page asked for %s", r)
		}
	}
	if len(w.complaints) > 0 {
		t.Errorf("the browser complains: %q", w.complaints)
	}
}

// differ tells where two answers differ; "" if they do not. Numbers may by their last digits: exponentials are worked out by the machine on the one
// side, by Go on the other.
func differ(t testing.TB, got, want []byte) string {
	t.Helper()
	var a, b any
	for _, v := range []struct {
		text []byte
		into *any
	}{{got, &a}, {want, &b}} {
		if err := json.Unmarshal(v.text, v.into); err != nil {
			t.Fatalf("%v: %.200s", err, v.text)
		}
	}
	return differing("answer", a, b)
}

func differing(at string, got, want any) string {
	switch want := want.(type) {
	case map[string]any:
		got, ok := got.(map[string]any)
		if !ok || len(got) != len(want) {
			return fmt.Sprintf("%s is %v, want %v", at, got, want)
		}
		for key := range want {
			if where := differing(at+"."+key, got[key], want[key]); where != "" {
				return where
			}
		}
		return ""
	case []any:
		got, ok := got.([]any)
		if !ok || len(got) != len(want) {
			return fmt.Sprintf("%s is %v, want %v", at, got, want)
		}
		for i := range want {
			if where := differing(fmt.Sprintf("%s[%d]", at, i), got[i], want[i]); where != "" {
				return where
			}
		}
		return ""
	case float64:
		if got, ok := got.(float64); ok && math.Abs(got-want) <= 1e-9*math.Abs(want) {
			return ""
		}
	default:
		if got == want {
			return ""
		}
	}
	return fmt.Sprintf("%s is %v, want %v", at, got, want)
}
