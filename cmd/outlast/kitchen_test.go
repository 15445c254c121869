package main

import (
	"context"
	"encoding/json"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"outlast/catalog"
	"outlast/cmd/outlast/tablepage"
)

// Tests of the page in a real browser. They want Debian's package chromium, and skip without it unless OUTLAST_BROWSER says that it has to be there.

var (
	browserCtx  context.Context
	browserStop = func() {}
	browserErr  error
	browserOnce sync.Once
)

// tab gives a tab of its own in the one browser of all tests.
func tab(t testing.TB) context.Context {
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
	browserOnce.Do(func() {
		opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.WindowSize(1280, 900))
		if os.Geteuid() == 0 {
			opts = append(opts, chromedp.NoSandbox) // the sandbox refuses root
		}
		alloc, stopAlloc := chromedp.NewExecAllocator(context.Background(), opts...)
		ctx, stop := chromedp.NewContext(alloc)
		browserStop = func() { stop(); stopAlloc() }
		browserCtx, browserErr = ctx, chromedp.Do(ctx)
	})
	if browserErr != nil {
		t.Fatalf("chromium does not start: %v", browserErr)
	}
	ctx, stop := chromedp.NewContext(browserCtx)
	t.Cleanup(stop)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	ctx, stop = context.WithTimeout(ctx, 2*time.Minute)
	t.Cleanup(stop)
	return ctx
}

// served copies a sample site into a folder of its own and serves it. It gives the path of the copy and the link.
func served(t testing.TB, name, lang string) (path, link string) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("../../testdata/sites", name+".toml"))
	if err != nil {
		t.Fatal(err)
	}
	path = filepath.Join(t.TempDir(), name+".toml")
	if err := os.WriteFile(path, text, 0o644); err != nil {
		t.Fatal(err)
	}
	return path, servedFile(t, path, lang)
}

func servedFile(t testing.TB, path, lang string) (link string) {
	t.Helper()
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	server, err := tablepage.New(servedHome(path, filepath.Base(path), cat, lang))
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- server.Serve(ctx, l) }()
	t.Cleanup(func() {
		stop()
		if err := <-done; err != nil {
			t.Error(err)
		}
	})
	return "http://" + l.Addr().String() + server.Path()
}

// seen notes what a page asks for and what it complains of.
type seen struct {
	sync.Mutex
	requests, complaints []string
}

func watching(t testing.TB, ctx context.Context) *seen {
	t.Helper()
	w := &seen{}
	err := chromedp.Listen(ctx, func(ev any) {
		w.Lock()
		defer w.Unlock()
		switch ev := ev.(type) {
		case *network.EventRequestWillBeSent:
			w.requests = append(w.requests, ev.Request.URL)
		case *log.EventEntryAdded:
			w.complaints = append(w.complaints, ev.Entry.Text+" "+ev.Entry.URL)
		case *runtime.EventConsoleAPICalled:
			text := "console:"
			for _, a := range ev.Args {
				text += " " + string(a.Value) + a.Description
			}
			w.complaints = append(w.complaints, text)
		case *runtime.EventExceptionThrown:
			text := ev.ExceptionDetails.Text
			if ev.ExceptionDetails.Exception != nil {
				text += " " + ev.ExceptionDetails.Exception.Description
			}
			w.complaints = append(w.complaints, text)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func do(t testing.TB, ctx context.Context, actions ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	if err := chromedp.Do(ctx, actions...); err != nil {
		t.Fatal(err)
	}
}

// js asks the page. A promise is waited for.
func js[T any](t testing.TB, ctx context.Context, script string) T {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](script, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatalf("%s: %v", script, err)
	}
	return v
}

// screens are the sizes at which people sit around the page.
var screens = []struct {
	name          string
	width, height int64
}{{"phone", 390, 844}, {"tablet", 820, 1180}, {"desk", 1280, 860}}

// A kitchen is the page in a browser.
type kitchen struct {
	testing.TB
	ctx context.Context
	*seen
}

// sit opens a link and waits for the first picture.
func sit(t testing.TB, link string, width, height int64) *kitchen {
	t.Helper()
	k := &kitchen{t, tab(t), nil}
	k.seen = watching(t, k.ctx)
	do(t, k.ctx, chromedp.EmulateViewport(width, height), chromedp.Navigate(link))
	k.settled()
	t.Cleanup(func() {
		k.Lock()
		defer k.Unlock()
		for _, c := range k.complaints {
			t.Errorf("the browser complains: %s", c)
		}
		origin := strings.Join(strings.SplitN(link, "/", 4)[:3], "/")
		for _, r := range k.requests {
			if !strings.HasPrefix(r, origin) && !strings.HasPrefix(r, "data:") && r != "about:blank" {
				t.Errorf("the page asks elsewhere: %s", r)
			}
		}
	})
	return k
}

// settled waits until every touch has its answer.
func (k *kitchen) settled() {
	k.Helper()
	js[bool](k, k.ctx, `new Promise((done, fail) => {
		const since = performance.now();
		(function look() {
			if (typeof state === "object" && state.answer && !flight && !waiting) return requestAnimationFrame(() => done(true));
			if (performance.now() - since > 20000) return fail(new Error("no answer: " + document.body.innerText.slice(0, 300)));
			setTimeout(look, 5);
		})();
	})`)
}

// text is what stands in an element.
func (k *kitchen) text(selector string) string {
	k.Helper()
	return js[string](k, k.ctx, fmt.Sprintf(`(document.querySelector(%q)?.textContent ?? "nothing is " + %[1]q).trim()`, selector))
}

func (k *kitchen) has(selector string) bool {
	k.Helper()
	return js[bool](k, k.ctx, fmt.Sprintf(`(e => !!e && e.getClientRects().length > 0)(document.querySelector(%q))`, selector))
}

// at is where the middle of an element can be touched; what covers it is a fault.
func (k *kitchen) at(selector string) (x, y float64) {
	k.Helper()
	p := js[[]float64](k, k.ctx, fmt.Sprintf(`(async () => {
		const e = document.querySelector(%q);
		if (!e) return [0, 0, 0];
		let x, y;
		for (let n = 0; n < 20; n++) { // the browser may still be scrolling to what is typed in
			if (!e.closest("#band")) e.scrollIntoView({ block: "center", behavior: "instant" });
			await new Promise(requestAnimationFrame);
			const r = (e.querySelector(".grip") ?? e).getBoundingClientRect();
			x = r.x + r.width / 2;
			y = r.y + r.height / 2;
			const top = document.elementFromPoint(x, y);
			if (e.contains(top) || top?.contains(e) || top?.closest("label")?.contains(e)) return [x, y, 1];
		}
		return [x, y, 0];
	})()`, selector))
	if p[2] != 1 {
		k.Fatalf("%s cannot be touched at %v", selector, p[:2])
	}
	return p[0], p[1]
}

// touch presses and lets go.
func (k *kitchen) touch(selector string) {
	k.Helper()
	x, y := k.at(selector)
	do(k, k.ctx, chromedp.MouseClickXY(x, y))
	k.settled()
}

// drag takes an element along.
func (k *kitchen) drag(selector string, dx, dy float64) {
	k.Helper()
	x, y := k.at(selector)
	do(k, k.ctx, chromedp.MouseEvent(chromedp.MousePressed, x, y, chromedp.ButtonType(input.MouseButtonLeft)))
	const steps = 8
	for i := 1; i <= steps; i++ {
		do(k, k.ctx, chromedp.MouseEvent(chromedp.MouseMoved, x+dx*float64(i)/steps, y+dy*float64(i)/steps, chromedp.ButtonType(input.MouseButtonLeft)))
	}
	do(k, k.ctx, chromedp.MouseEvent(chromedp.MouseReleased, x+dx, y+dy, chromedp.ButtonType(input.MouseButtonLeft)))
	k.settled()
}

// keys types on what has the focus.
func (k *kitchen) keys(keys string, opts ...chromedp.KeyOption) {
	k.Helper()
	do(k, k.ctx, chromedp.KeyEvent(keys, opts...))
	k.settled()
}

func (k *kitchen) focus(selector string) {
	k.Helper()
	js[bool](k, k.ctx, fmt.Sprintf(`document.querySelector(%q).focus(), true`, selector))
}

// mark finds a row of the house by its name.
func (k *kitchen) mark(label string) (row string) {
	k.Helper()
	js[bool](k, k.ctx, fmt.Sprintf(`[...document.querySelectorAll(".circuit, .load")].forEach(li => li.dataset.called = li.querySelector(".name").textContent), true`))
	row = fmt.Sprintf(`[data-called="%s"]`, label)
	if !js[bool](k, k.ctx, fmt.Sprintf(`!!document.querySelector(%q)`, row)) {
		k.Fatalf("no row is called %q", label)
	}
	return row
}

// sameAsPlan holds the figures on the page against those of plan --format json of a file.
func (k *kitchen) sameAsPlan(path string) {
	k.Helper()
	var out, errs strings.Builder
	if code := run([]string{"plan", "--format", "json", path}, strings.NewReader(""), &out, &errs); code > 1 {
		k.Fatalf("plan ends with %d: %s", code, errs.String())
	}
	var want struct {
		Verdict string
		Bank    struct {
			Strings int
			LeastH  float64 `json:"autonomy_least_h"`
		}
		Checks []struct {
			ID            string
			Status        string
			Demand, Limit *float64
		}
	}
	if err := json.Unmarshal([]byte(out.String()), &want); err != nil {
		k.Fatal(err)
	}
	got := js[struct {
		Verdict struct{ Status string }
		Promise *struct {
			Hours float64
			Text  string
		}
		Limits []struct {
			ID           string
			Bar          string
			Value, Limit float64
			Text         string
		}
		Choices struct{ Strings int }
	}](k, k.ctx, "state.answer")
	if got.Verdict.Status != want.Verdict {
		k.Errorf("the page says %q, the plan %q", got.Verdict.Status, want.Verdict)
	}
	switch {
	case want.Verdict == "fail" && got.Promise != nil:
		k.Errorf("a plan that fails promises %v", got.Promise)
	case want.Verdict != "fail" && (got.Promise == nil || got.Promise.Hours != want.Bank.LeastH):
		k.Errorf("the page promises %+v, the plan %v h", got.Promise, want.Bank.LeastH)
	case got.Promise != nil && k.text("#hours") != got.Promise.Text:
		k.Errorf("in large type stands %q, the answer is %q", k.text("#hours"), got.Promise.Text)
	}
	if got.Choices.Strings != want.Bank.Strings {
		k.Errorf("the page has %d strings, the plan %d", got.Choices.Strings, want.Bank.Strings)
	}
	compared := 0
	for _, l := range got.Limits {
		for _, c := range want.Checks {
			if c.ID != l.ID || l.Bar == "energy" { // energy is in Wh on the page, in Ah in the plan
				continue
			}
			compared++
			if c.Demand == nil || c.Limit == nil || *c.Demand != l.Value || *c.Limit != l.Limit {
				k.Errorf("%s: the page has %v of %v, the plan %v of %v", l.ID, l.Value, l.Limit, c.Demand, c.Limit)
			}
		}
		if shown := k.text(`#limits [data-bar="` + l.Bar + `"] .text`); !strings.HasPrefix(shown, l.Text) {
			k.Errorf("%s: %q is shown, the answer is %q", l.Bar, shown, l.Text)
		}
	}
	if compared < 3 {
		k.Errorf("only %d limits were compared", compared)
	}
}

// A whole conversation: what an owner tries in a quarter of an hour, at each size.
func TestKitchenTable(t *testing.T) {
	for _, size := range screens {
		t.Run(size.name, func(t *testing.T) {
			path, link := served(t, "cottage", "en")
			first, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			k := sit(t, link, size.width, size.height)
			if got := k.text("#site"); got != "Wattle Bend cottage" {
				t.Errorf("the page is headed %q", got)
			}
			k.sameAsPlan(path)
			hours := k.text("#hours")

			// A circuit is switched off: the hours change, and are underlined until the next touch.
			k.touch(k.mark("Fridge and freezer") + " .switch")
			without := k.text("#hours")
			if without == hours || !k.has("#hours.moved") {
				t.Errorf("without the freezer: %q after %q, underlined: %v", without, hours, k.has("#hours.moved"))
			}
			if !js[bool](t, k.ctx, `document.querySelector(".ghost").getAttribute("d").length > 20`) {
				t.Error("the charge before the touch is not drawn")
			}
			k.touch("#undo")
			if got := k.text("#hours"); got != hours || !k.has("#hours.moved") {
				t.Errorf("undone: %q, before %q", got, hours)
			}
			k.touch("#redo")
			if got := k.text("#hours"); got != without {
				t.Errorf("redone: %q, want %q", got, without)
			}
			k.touch("#undo")
			k.touch(`#which label:last-child`)
			if k.has("#hours.moved") == (k.text("#hours") == hours) {
				t.Errorf("the figure of this power cut is %q, the promised one %q", k.text("#hours"), hours)
			}
			k.touch(`#which label:first-of-type`)

			// The band: its left end is the hour, its right end the length, by pointer and by keys.
			was := js[int](t, k.ctx, "state.answer.outage.from_min")
			k.drag(`.handle[data-kind="begin"]`, 70, 3)
			if got := js[int](t, k.ctx, "state.answer.outage.from_min"); got == was || got%15 != 0 {
				t.Errorf("dragged from minute %d to %d of the day", was, got)
			}
			if got := js[int](t, k.ctx, "list().length"); got != 0 {
				t.Errorf("looking at another hour made %d changes to the file", got)
			}
			was = js[int](t, k.ctx, "state.answer.outage.from_min")
			k.focus(`.handle[data-kind="begin"]`)
			k.keys(kb.ArrowLeft)
			k.keys(kb.PageDown)
			if got := js[int](t, k.ctx, "state.answer.outage.from_min"); got != (was-75+1440)%1440 {
				t.Errorf("a quarter of an hour and an hour back from %d is %d", was, got)
			}
			if got := js[string](t, k.ctx, `document.querySelector('.handle[data-kind="begin"]').getAttribute("aria-valuetext")`); got != fmt.Sprintf("%02d:%02d", (was-75+1440)%1440/60, (was-75+1440)%60) {
				t.Errorf("the left end is spoken as %q", got)
			}
			k.touch("#worst")
			k.drag(`.handle[data-kind="asked"]`, 30, 0)
			asked := js[float64](t, k.ctx, "state.answer.required_h")
			if asked <= 24 || k.text("#changes li:last-child") != fmt.Sprintf("Asked for: %g h", asked) {
				t.Errorf("dragged to %g h; the list says %q", asked, k.text("#changes"))
			}
			k.keys(kb.ArrowLeft)
			k.keys(kb.ArrowLeft)
			if got := js[float64](t, k.ctx, "state.answer.required_h"); got != asked-2 {
				t.Errorf("two keys from %g h lead to %g h", asked, got)
			}
			k.touch("#undo")
			k.touch("#undo")
			if got := js[int](t, k.ctx, "list().length"); got != 0 {
				t.Errorf("%d changes are left: keys one after the other are one touch, and a drag is one", got)
			}

			// Another month moves the curve and no figure of the plan.
			k.touch(`#months label:nth-of-type(1)`)
			if got := k.text("#scene"); !strings.Contains(got, "January") {
				t.Errorf("in January the page says %q", got)
			}
			k.touch(`#skies label:nth-of-type(1)`)
			k.touch(`#months label:nth-of-type(7)`)
			k.touch(`#skies label:nth-of-type(2)`)

			// Adding is one touch; owners call things as they do, in whichever language.
			k.touch("#add > summary")
			k.focus("#search")
			k.keys("congelador coffre"[:10])
			k.touch("#classes li:not([hidden]) button")
			if got := k.text("#changes li:last-child"); !strings.HasSuffix(got, ": added") {
				t.Errorf("after adding the list says %q", got)
			}
			k.touch("#undo")

			// A trial holds as long as the finger.
			kitchen := k.mark("Kitchen sockets")
			k.touch(kitchen + " summary")
			kettle := k.mark("Electric kettle")
			x, y := k.at(kettle + " .try")
			do(t, k.ctx, chromedp.MouseEvent(chromedp.MousePressed, x, y, chromedp.ButtonType(input.MouseButtonLeft)))
			js[bool](t, k.ctx, `new Promise(done => { (function look() { document.querySelector("#trial:not([hidden])") ? done(true) : setTimeout(look, 5); })(); })`)
			if got := k.text("#trial"); !strings.Contains(got, "the inverter switches off") && !strings.Contains(got, "The inverter switches off") {
				t.Errorf("while it is held the page says %q", got)
			}
			if !js[bool](t, k.ctx, `document.querySelector('#limits [data-bar="at-once"]').classList.contains("broken")`) {
				t.Error("the bar of what runs at once is not broken by the kettle")
			}
			do(t, k.ctx, chromedp.MouseEvent(chromedp.MouseReleased, x, y, chromedp.ButtonType(input.MouseButtonLeft)))
			if k.has("#trial") || js[bool](t, k.ctx, `document.querySelector('#limits [data-bar="at-once"]').classList.contains("broken")`) || js[int](t, k.ctx, "list().length") != 0 {
				t.Error("let go, the trial stays")
			}

			// Two variants side by side.
			k.touch("#variants label:last-child")
			k.touch(k.mark("Living room and bedroom sockets") + " .switch")
			js[bool](t, k.ctx, `new Promise(done => { (function look() { state.others ? done(true) : setTimeout(look, 5); })(); })`)
			if got := k.text("#other"); got != "Variant A: "+hours {
				t.Errorf("beside B stands %q", got)
			}
			if got := k.text("#key"); !strings.Contains(got, "Variant B") || !strings.Contains(got, "Variant A") {
				t.Errorf("the curves are called %q", got)
			}
			k.touch("#variants label:first-of-type")
			if got := k.text("#hours"); got != hours {
				t.Errorf("A says %q, want %q", got, hours)
			}

			// Working, and figures of the house.
			k.touch(`#limits [data-bar="start"] summary`)
			js[bool](t, k.ctx, `new Promise(done => { (function look() { document.querySelector('#limits [data-bar="start"] .steps li') ? done(true) : setTimeout(look, 5); })(); })`)
			microwave := k.mark("Microwave oven")
			k.touch(microwave + " .step:last-child")
			k.focus(microwave + ` .number:nth-of-type(1) input`)
			k.touch(k.mark("Shed: fence energiser and washing machine") + " .switch")

			// Saved: what was touched has changed in the file, and nothing else.
			k.touch("#save")
			js[bool](t, k.ctx, `new Promise(done => { (function look() { document.querySelector("#kept:not([hidden])") ? done(true) : setTimeout(look, 5); })(); })`)
			k.settled()
			saved, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if got := changedLines(string(first), string(saved)); !slices.Equal(got, []string{"-board = \"backup\"", "+board = \"main\"", "+quantity = 2"}) {
				t.Errorf("saving changed %q", got)
			}
			if kept, err := os.ReadFile(path + ".bak"); err != nil || string(kept) != string(first) {
				t.Errorf("the old file is not kept beside the new one: %v", err)
			}
			k.sameAsPlan(path)

			// Meanwhile somebody else changes the file: both are shown, and neither is lost.
			other := strings.Replace(string(saved), "altitude_m = 640", "altitude_m = 655", 1)
			if err := os.WriteFile(path, []byte(other), 0o644); err != nil {
				t.Fatal(err)
			}
			k.touch(k.mark("Lights") + " .switch")
			k.touch("#save")
			js[bool](t, k.ctx, `new Promise(done => { (function look() { document.querySelector("#conflict:not([hidden])") ? done(true) : setTimeout(look, 5); })(); })`)
			if got := k.text("#conflict"); !strings.Contains(got, "- altitude_m = 655") || !strings.Contains(got, "+ altitude_m = 640") || !strings.Contains(got, `+ board = "main"`) {
				t.Errorf("the two files are not both shown: %q", got)
			}
			if now, err := os.ReadFile(path); err != nil || string(now) != other {
				t.Error("a conflict wrote the file")
			}
			k.touch("#conflict button:first-of-type")
			k.touch("#save")
			js[bool](t, k.ctx, `new Promise(done => { (function look() { document.querySelector("#kept:not([hidden])") ? done(true) : setTimeout(look, 5); })(); })`)
			k.settled()
			if now, err := os.ReadFile(path); err != nil || !slices.Equal(changedLines(other, string(now)), []string{"-board = \"backup\"", "+board = \"main\""}) {
				t.Errorf("both changes together: %q", changedLines(other, string(now)))
			}
			k.sameAsPlan(path)
		})
	}
}

// changedLines are the lines that only one of two texts has, with - and +, in which equal lines stand as often in both.
func changedLines(a, b string) (out []string) {
	count := map[string]int{}
	for _, l := range strings.Split(b, "\n") {
		count[strings.TrimSpace(l)]++
	}
	for _, l := range strings.Split(a, "\n") {
		if l = strings.TrimSpace(l); count[l] > 0 {
			count[l]--
		} else {
			out = append(out, "-"+l)
		}
	}
	for _, l := range strings.Split(b, "\n") {
		if l = strings.TrimSpace(l); count[l] > 0 {
			count[l]--
			out = append(out, "+"+l)
		}
	}
	return out
}
