package tablepage

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"outlast/backup/browsertest"
	"outlast/backup/live"
	"outlast/catalog"
)

func TestMain(m *testing.M) {
	code := m.Run()
	browsertest.Stop()
	os.Exit(code)
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

// The page in one file answers what the command answers, number for number and word for word; it loads nothing, and its
// own policy lets it work.
func TestOneFile(t *testing.T) {
	ctx := browsertest.Tab(t, 1000, 800, 10*time.Minute) // machines of a build are busy
	w := browsertest.Watching(t, ctx)
	for _, home := range []string{"clinic", "cottage", "farmhouse", "overloaded", "split-phase", "town-flat"} {
		text, table := siteText(t, home)
		var page bytes.Buffer
		if err := WriteFile(ctx, &page, Carried{File: home + ".toml", Text: string(text)}, table, "en",
			[]string{"en"}); err != nil {
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
			{"answer", `{}`},
			{"answer",
				`{"lang":"de","changes":[{"do":"set","table":"outage","key":"autonomy_h","value":31}],"view":{"start_min":1110,"hours":60,"month":12}}`},
			{"weigh", `{"lang":"fr"}`}, {"words", `{"lang":"es"}`}, {"classes", `{"lang":"es"}`},
			{"why", `{"numbers":["at-once"]}`},
		} {
			script := fmt.Sprintf("table.ask(%q, %s).then(a => JSON.stringify(a))", q.kind, q.question)
			got, err := chromedp.Run(ctx, chromedp.Evaluate[string](script, chromedp.EvalAwaitPromise))
			if err != nil {
				t.Fatalf("%s: %s %s: %v; %q", home, q.kind, q.question, err, w.Complaints)
			}
			want := table.Do(context.Background(), q.kind, []byte(q.question))
			if where := differ(t, []byte(got), want); where != "" {
				t.Errorf("%s: %s %s: %s", home, q.kind, q.question, where)
			}
		}
	}
	for _, r := range w.Requests {
		if !strings.HasPrefix(r, "file://") && !strings.HasPrefix(r, "blob:") && !strings.HasPrefix(r, "data:") {
			t.Errorf("the page asked for %s", r)
		}
	}
	if len(w.Complaints) > 0 {
		t.Errorf("the browser complains: %q", w.Complaints)
	}
}

// What the page shows first was worked out when the file was made: it stands before the engine runs, and even where
// none can. Who then touches something is told.
func TestFirstPictureNeedsNoEngine(t *testing.T) {
	ctx := browsertest.Tab(t, 1000, 800, 2*time.Minute)
	text, table := siteText(t, "clinic")
	var page bytes.Buffer
	if err := WriteFile(ctx, &page, Carried{File: "clinic.toml", Text: string(text)}, table, "de",
		[]string{"en", "de"}); err != nil {
		t.Fatal(err)
	}
	before, rest, _ := strings.Cut(page.String(), `class="outlast-engine">`)
	_, behind, found := strings.Cut(rest, "</script>")
	if !found {
		t.Fatal("the file has no engine")
	}
	path := filepath.Join(t.TempDir(), "clinic.html")
	if err := os.WriteFile(path, []byte(before+`class="outlast-engine">zzzz</script>`+behind), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := chromedp.Do(ctx, chromedp.Navigate("file://"+path)); err != nil {
		t.Fatal(err)
	}
	// shown waits until something holds on the page, and gives the text of an element.
	shown := func(holds, selector string) string {
		t.Helper()
		text, err := chromedp.Run(ctx, chromedp.Evaluate[string](fmt.Sprintf(`new Promise((done, fail) => {
			const since = performance.now();
			(function look() {
				if (%s) return done(document.querySelector(%q).textContent);
				if (performance.now() - since > 20000) return fail(new Error(document.body.innerText.slice(0, 300)));
				setTimeout(look, 5);
			})();
		})`, holds, selector), chromedp.EvalAwaitPromise))
		if err != nil {
			t.Fatal(err)
		}
		return text
	}
	answer, err := table.Answer(ctx, live.Question{Lang: "de"})
	if err != nil {
		t.Fatal(err)
	}
	if got := shown("state.answer && !flight", "#hours"); got != answer.Promise.Text {
		t.Errorf("in large type stands %q, want %q", got, answer.Promise.Text)
	}
	if got := shown("true", "#strips"); !strings.Contains(got, answer.Circuits[0].Label) {
		t.Errorf("the strips are %q, want %q among them", got, answer.Circuits[0].Label)
	}
	// The engine is asked for what circuits cost, and there is none: the page says so and keeps its picture.
	if got := shown(`!document.querySelector("#problem").hidden`, "#problem"); got == "" {
		t.Error("nobody says that there is no engine")
	}
	if got := shown("true", "#hours"); got != answer.Promise.Text {
		t.Errorf("without an engine the picture says %q", got)
	}
}

// differ tells where two answers differ; "" if they do not. Numbers may by their last digits: exponentials are worked
// out by the machine on the one side, by Go on the other.
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
