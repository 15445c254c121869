package main

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/css"
	"github.com/chromedp/cdproto/dom"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"outlast/backup/browsertest"
	"outlast/backup/sheet/paper/words"
	"outlast/catalog"
	"outlast/cmd/outlast/tablepage"
)

// Tests of the page in a real browser.

func tab(t testing.TB) context.Context {
	t.Helper()
	return browsertest.Tab(t, 1280, 900, 2*time.Minute)
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
	*browsertest.Watch
	wasm bool // figures are worked out in the browser
}

// sit opens a link and waits for the first picture.
func sit(t testing.TB, link string, width, height int64) *kitchen {
	t.Helper()
	k := &kitchen{TB: t, ctx: tab(t)}
	k.Watch = browsertest.Watching(t, k.ctx)
	do(t, k.ctx, chromedp.EmulateViewport(width, height), chromedp.Navigate(link))
	k.settled()
	t.Cleanup(func() {
		k.Lock()
		defer k.Unlock()
		for _, c := range k.Complaints {
			t.Errorf("the browser complains: %s", c)
		}
		origin := strings.Join(strings.SplitN(link, "/", 4)[:3], "/")
		for _, r := range k.Requests {
			if !strings.HasPrefix(r, origin) && !strings.HasPrefix(r, "data:") && !strings.HasPrefix(r, "blob:") &&
				r != "about:blank" {
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
	return js[string](k, k.ctx, fmt.Sprintf(`(document.querySelector(%q)?.textContent ?? "nothing is " + %[1]q).trim()`,
		selector))
}

func (k *kitchen) has(selector string) bool {
	k.Helper()
	return js[bool](k, k.ctx, fmt.Sprintf(`(e => !!e && e.getClientRects().length > 0)(document.querySelector(%q))`,
		selector))
}

// at is where the middle of an element can be touched; what covers it is a fault.
func (k *kitchen) at(selector string) (x, y float64) {
	k.Helper()
	p := js[[]float64](k, k.ctx, fmt.Sprintf(`(async () => {
		const e = document.querySelector(%q);
		if (!e) return [0, 0, 0];
		let x, y, still = 0;
		for (let n = 0; n < 60; n++) { // the browser may still be scrolling to what is typed in, and marks come in late
			if (!e.closest("#band")) e.scrollIntoView({ block: "center", behavior: "instant" });
			await new Promise(requestAnimationFrame);
			const r = (e.querySelector(".grip") ?? e).getBoundingClientRect();
			const [wasX, wasY] = [x, y];
			x = r.x + r.width / 2;
			y = r.y + r.height / 2;
			still = x === wasX && y === wasY ? still + 1 : 0;
			const top = document.elementFromPoint(x, y);
			if (still >= 3 && (e.contains(top) || top?.contains(e) || top?.closest("label")?.contains(e))) return [x, y, 1];
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

// open opens a part that is folded. On a busy machine the page may move between the look and the finger, and a hand
// would press again.
func (k *kitchen) open(selector string) {
	k.Helper()
	for range 3 {
		k.touch(selector + " > summary")
		if k.has(selector + "[open]") {
			return
		}
	}
	k.Fatalf("%s does not open", selector)
}

// drag takes an element along.
func (k *kitchen) drag(selector string, dx, dy float64) {
	k.Helper()
	x, y := k.at(selector)
	do(k, k.ctx, chromedp.MouseEvent(chromedp.MousePressed, x, y, chromedp.ButtonType(input.MouseButtonLeft)))
	const steps = 8
	for i := 1; i <= steps; i++ {
		do(k, k.ctx, chromedp.MouseEvent(chromedp.MouseMoved, x+dx*float64(i)/steps, y+dy*float64(i)/steps,
			chromedp.ButtonType(input.MouseButtonLeft)))
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
	js[bool](k, k.ctx,
		`[...document.querySelectorAll(".circuit, .load")].forEach(li => li.dataset.called = li.querySelector(".name").textContent), true`)
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
	case want.Verdict != "fail" && (got.Promise == nil || !k.same(got.Promise.Hours, want.Bank.LeastH)):
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
			if c.Demand == nil || c.Limit == nil || !k.same(l.Value, *c.Demand) || !k.same(l.Limit, *c.Limit) {
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

// same says whether two figures are the same: to the last digit, but in the browser exponentials are worked out by Go,
// on this machine by itself, which may move the last ones.
func (k *kitchen) same(got, want float64) bool {
	return got == want || k.wasm && math.Abs(got-want) <= 1e-9*math.Abs(want)
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
			if got := js[string](t, k.ctx,
				`document.querySelector('.handle[data-kind="begin"]').getAttribute("aria-valuetext")`); got != fmt.Sprintf("%02d:%02d",
				(was-75+1440)%1440/60, (was-75+1440)%60) {
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
			k.open("#add")
			k.until("#classes button")
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
			k.until(`#trial:not([hidden])`)
			if got := k.text("#trial"); !strings.Contains(got, "the inverter switches off") &&
				!strings.Contains(got, "The inverter switches off") {
				t.Errorf("while it is held the page says %q", got)
			}
			if !js[bool](t, k.ctx,
				`document.querySelector('#limits [data-bar="at-once"]').classList.contains("broken")`) {
				t.Error("the bar of what runs at once is not broken by the kettle")
			}
			do(t, k.ctx, chromedp.MouseEvent(chromedp.MouseReleased, x, y, chromedp.ButtonType(input.MouseButtonLeft)))
			if k.has("#trial") || js[bool](t, k.ctx,
				`document.querySelector('#limits [data-bar="at-once"]').classList.contains("broken")`) ||
				js[int](t, k.ctx, "list().length") != 0 {
				t.Error("let go, the trial stays")
			}

			// Two variants side by side.
			k.touch("#variants label:last-child")
			k.touch(k.mark("Living room and bedroom sockets") + " .switch")
			js[bool](t, k.ctx,
				`new Promise(done => { (function look() { state.others ? done(true) : setTimeout(look, 5); })(); })`)
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
			k.until(`#limits [data-bar=start] .steps li`)
			microwave := k.mark("Microwave oven")
			k.touch(microwave + " .step:last-child")
			k.focus(microwave + ` .number:nth-of-type(1) input`)
			k.touch(k.mark("Shed: fence energiser and washing machine") + " .switch")

			// Saved: what was touched has changed in the file, and nothing else.
			k.touch("#save")
			k.until(`#kept:not([hidden])`)
			k.settled()
			saved, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if got := changedLines(string(first), string(saved)); !slices.Equal(got,
				[]string{"-board = \"backup\"", "+board = \"main\"", "+quantity = 2"}) {
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
			k.until(`#conflict:not([hidden])`)
			if got := k.text("#conflict"); !strings.Contains(got, "- altitude_m = 655") ||
				!strings.Contains(got, "+ altitude_m = 640") || !strings.Contains(got, `+ board = "main"`) {
				t.Errorf("the two files are not both shown: %q", got)
			}
			if now, err := os.ReadFile(path); err != nil || string(now) != other {
				t.Error("a conflict wrote the file")
			}
			k.touch("#conflict button:first-of-type")
			k.touch("#save")
			k.until(`#kept:not([hidden])`)
			k.settled()
			if now, err := os.ReadFile(path); err != nil || !slices.Equal(changedLines(other, string(now)),
				[]string{"-board = \"backup\"", "+board = \"main\""}) {
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

// farmText is a farm of 60 circuits with 300 loads on three phases, with a solar array.
func farmText() string {
	r := rand.New(rand.NewPCG(60, 300))
	var b strings.Builder
	b.WriteString("[site]\nname = \"Sixty circuits\"\nnominal_v = 230\nphases = 3\ncoldest_c = 10\nlatitude = 48.1\n\n[outage]\nautonomy_h = 12\n\n[inverter]\nuse = \"three-15k-400\"\n\n[bank]\nuse = \"lfp-102-50\"\nstrings = 6\n\n")
	for i := range 60 {
		board := "backup"
		if i%5 == 4 {
			board = "main"
		}
		fmt.Fprintf(&b, "[[circuit]]\nid = \"c%d\"\nlabel = \"Circuit %d\"\nbreaker_a = 16\nphase = %d\nboard = %q\n\n",
			i, i, i%3+1, board)
	}
	for i := range 300 {
		fmt.Fprintf(&b,
			"[[load]]\nname = \"Load %d\"\ncircuit = \"c%d\"\nrunning_w = %d\npower_factor = 0.9\nhours_per_day = %g\npriority = %d\n",
			i, i%60, 5+r.IntN(120), 0.25*float64(1+r.IntN(8)), 1+r.IntN(5))
		if r.IntN(3) > 0 {
			start := r.IntN(1380)
			end := (start + 150 + r.IntN(600)) % 1440
			fmt.Fprintf(&b, "when = [\"%02d:%02d-%02d:%02d\"]\n", start/60, start%60, end/60, end%60)
		}
		if r.IntN(4) == 0 {
			fmt.Fprintf(&b, "starting_va = %d\nstarting_s = %d\n", 400+r.IntN(800), 1+r.IntN(3))
		}
		if r.IntN(12) == 0 {
			b.WriteString("held_off = true\n")
		}
		b.WriteByte('\n')
	}
	b.WriteString("[[array]]\nuse = \"mono-440\"\nmodules_per_string = 16\nstrings = 1\ntilt_deg = 30\nazimuth_deg = 180\ninput = 1\nmonthly_kwh_m2_day = [1.0, 1.8, 3.0, 4.2, 5.1, 5.4, 5.5, 4.7, 3.5, 2.1, 1.2, 0.8]\n")
	return b.String()
}

// touchesScript touches what a hand would touch, and gives for each how long it took from the touch until the picture
// was drawn and laid out, in ms. Two touches in three are switches, the others another month. Its numbers are how many
// touches, for how many ms a finger, a button or a key stays down on a switch before it is lifted, which is when the time
// begins (0: it is not, as when a program switches), and for how many ms somebody looks at the page before the first.
const touchesScript = `(async (n, pressed, looks) => {
	const took = { whole: [], answered: [], drawn: [] };
	const ask = table.ask;
	let answered = 0;
	table.ask = async (kind, ...rest) => {
		const answer = await ask(kind, ...rest);
		if (kind === "answer") answered = performance.now();
		return answer;
	};
	let drawn = 0;
	const laidOut = () => {
		document.body.getBoundingClientRect();
		drawn = performance.now();
	};
	drawers.push(laidOut); // the last
	const idle = async () => { while (flight || waiting) await new Promise(requestAnimationFrame); };
	await new Promise(done => setTimeout(done, looks));
	for (let i = 0; i < n; i++) {
		await idle();
		await new Promise(done => setTimeout(done, 250)); // a hand takes its time
		const switches = document.querySelectorAll(".circuit > .line input");
		const months = document.querySelectorAll("#months input");
		const what = i %% 3 < 2 ? switches[(i * 7) %% switches.length] : months[(i * 5 + (months[(i * 5) %% 12].checked ? 1 : 0)) %% 12];
		if (pressed && i %% 3 < 2) {
			what.closest("label").dispatchEvent(new PointerEvent("pointerdown", { button: 0, bubbles: true }));
			await new Promise(done => setTimeout(done, pressed));
		}
		const begun = performance.now();
		const last = state.answer;
		what.click();
		while (state.answer === last) await new Promise(done => setTimeout(done, 1));
		took.whole.push(drawn - begun);
		took.answered.push(Math.max(0, answered - begun));
		took.drawn.push(drawn - Math.max(begun, answered));
	}
	drawers.pop();
	table.ask = ask;
	return took;
})(%d, %d, %d)`

// A finger or a key stays down for about so many ms (from memory: 50 to 150).
const tapMs = 80

// touchTimes are how long touches took, in ms: until the answer was there, from then on until the picture was drawn and
// laid out, and both together.
type touchTimes struct{ Whole, Answered, Drawn []float64 }

func (t *touchTimes) add(more touchTimes) {
	t.Whole, t.Answered = append(t.Whole, more.Whole...), append(t.Answered, more.Answered...)
	t.Drawn = append(t.Drawn, more.Drawn...)
}

func (t *touchTimes) report(b *testing.B) {
	for _, part := range []struct {
		name string
		took []float64
	}{{"", t.Whole}, {"answered-", t.Answered}, {"drawn-", t.Drawn}} {
		slices.Sort(part.took)
		b.ReportMetric(part.took[len(part.took)/2], part.name+"ms-median")
		b.ReportMetric(part.took[len(part.took)*95/100], part.name+"ms-p95")
	}
}

// sitAlone opens a page that is to be measured, without the browser's tools for developers, which chromedp turns on in
// every tab: that of the network alone delays the picture of the page in one file by half.
func sitAlone(b *testing.B, link string, width, height int64, slowed float64) *kitchen {
	b.Helper()
	k := &kitchen{TB: b, ctx: tab(b)}
	do(b, k.ctx, chromedp.EmulateViewport(width, height))
	_, err := chromedp.Call(k.ctx, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: slowed})
	for _, watches := range []cdp.Command[cdp.Empty, cdp.Empty]{css.Disable, dom.Disable, network.Disable, log.Disable} {
		_, failed := chromedp.Call(k.ctx, watches, cdp.Empty{})
		err = cmp.Or(err, failed)
	}
	if err != nil {
		b.Fatal(err)
	}
	time.Sleep(time.Second) // until the browser has a process ready for the page, as it has while somebody looks for the file
	do(b, k.ctx, chromedp.Navigate(link))
	k.settled()
	return k
}

// BenchmarkTouchInBrowser measures from a touch until the picture has changed, in a browser that asks a server of this
// machine: the farm of 60 circuits, and a cottage.
func BenchmarkTouchInBrowser(b *testing.B) {
	cottage, err := os.ReadFile("../../testdata/sites/cottage.toml")
	if err != nil {
		b.Fatal(err)
	}
	for _, home := range []struct {
		name, text string
		pressedMs  int
	}{{"farm", farmText(), tapMs}, {"farm-at-once", farmText(), 0}, {"cottage", string(cottage), tapMs}} {
		b.Run(home.name, func(b *testing.B) {
			path := filepath.Join(b.TempDir(), home.name+".toml")
			if err := os.WriteFile(path, []byte(home.text), 0o644); err != nil {
				b.Fatal(err)
			}
			k := sitAlone(b, servedFile(b, path, "en"), 1280, 860, 1)
			var took touchTimes
			for b.Loop() {
				took.add(js[touchTimes](b, k.ctx, fmt.Sprintf(touchesScript, 60, home.pressedMs, 2000)))
			}
			took.report(b)
		})
	}
}

// scheme lets the browser say that its owner wants the page light or dark.
func (k *kitchen) scheme(name string) {
	k.Helper()
	p := emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme",
		Value: name}}}
	if _, err := chromedp.Call(k.ctx, emulation.SetEmulatedMedia, p); err != nil {
		k.Fatal(err)
	}
}

// What axe-core finds fault with: contrast, names, order of headings and the rest, in both colour schemes, of a home
// that passes, one that fails, and one that somebody's life depends on, with everything opened.
func TestKitchenTableIsAccessible(t *testing.T) {
	axe, err := os.ReadFile("../../.ci/node_modules/axe-core/axe.min.js")
	if err != nil {
		if os.Getenv("OUTLAST_BROWSER") != "" {
			t.Fatalf("OUTLAST_BROWSER is set, but axe-core is not installed: npm ci --prefix .ci (%v)", err)
		}
		t.Skip("axe-core is not installed: npm ci --prefix .ci")
	}
	for i, home := range []string{"cottage", "overloaded", "clinic"} {
		t.Run(home, func(t *testing.T) {
			_, link := served(t, home, words.Languages()[i])
			k := sit(t, link, screens[i].width, screens[i].height)
			js[bool](t, k.ctx, string(axe)+"; true")
			js[bool](t, k.ctx,
				`document.querySelectorAll("details").forEach(d => d.open = true), document.querySelector("#save-as").click(), true`)
			k.touch(".circuit .switch")
			for _, scheme := range []string{"light", "dark"} {
				k.scheme(scheme)
				// Transitions have their time, and the working is written.
				js[bool](t, k.ctx, `new Promise(done => setTimeout(() => done(true), 400))`)
				got := js[struct {
					Passes     int
					Violations []string
				}](t, k.ctx, `axe.run(document, {resultTypes: ["violations"]}).then(r => ({passes: r.passes.length,
					violations: r.violations.map(v => v.id + ": " + v.help + ": " + v.nodes.slice(0, 3).map(n => n.html.slice(0, 160) + (n.any[0]?.message ?? "")).join(" | "))}))`)
				if got.Passes < 25 {
					t.Errorf("%s: only %d rules were met at all: the test asks nothing", scheme, got.Passes)
				}
				for _, v := range got.Violations {
					t.Errorf("%s: %s", scheme, v)
				}
			}
		})
	}
}

// layoutScript says what hangs over the edge, what is too small for a thumb, and which two words of the picture lie on
// each other.
const layoutScript = `(wide => {
	const out = [];
	const named = e => e.tagName + "#" + e.id + "." + (e.getAttribute("class") ?? "") + " " + e.textContent.trim().slice(0, 40);
	if (document.documentElement.scrollWidth > wide) out.push("the page is " + document.documentElement.scrollWidth + " px wide");
	const seen = e => e.getClientRects().length > 0 && !e.closest(".ears");
	for (const e of document.querySelectorAll("body *")) {
		if (!seen(e) || e.closest("svg") && e.tagName != "svg" || e.closest("pre")) continue;
		const r = e.getBoundingClientRect();
		if (r.width > 1 && (r.right > wide + 0.5 || r.left < -0.5)) out.push(named(e) + " from " + r.left + " to " + r.right);
	}
	for (const e of document.querySelectorAll("button, select, summary, input:not([type=radio]):not([type=checkbox]), label:has(input[type=radio]), .switch, .mover, .handle .hit")) {
		if (!seen(e)) continue;
		const r = e.getBoundingClientRect();
		if (r.height < 43.5 || r.width < 43.5) out.push(named(e) + " is " + r.width + " by " + r.height + " px: too small for a thumb");
	}
	const texts = [...document.querySelectorAll(".drawing text")].map(t => [t.textContent, t.getBoundingClientRect()]);
	const frame = document.querySelector(".drawing").getBoundingClientRect();
	texts.forEach(([a, r], i) => {
		if (r.left < frame.left - 1 || r.right > frame.right + 1) out.push("'" + a + "' is cut off");
		for (const [b, s] of texts.slice(i + 1)) {
			if (Math.min(r.right, s.right) - Math.max(r.left, s.left) > 1 && Math.min(r.bottom, s.bottom) - Math.max(r.top, s.top) > 3) out.push("'" + a + "' and '" + b + "' lie on each other");
		}
	});
	return out;
})(%d)`

// Nothing hangs over the edge, everything can be touched by a thumb, from 320 px on, and with text twice as large.
func TestKitchenTableFits(t *testing.T) {
	for _, c := range []struct {
		home, lang          string
		width, height, text int64
	}{
		{"cottage", "en", 320, 640, 16}, {"overloaded", "de", 390, 844, 16}, {"clinic", "fr", 820, 1180, 16},
		{"split-phase", "es", 1280, 860, 16},
		{"town-flat", "de", 390, 844, 32}, {"cottage", "fr", 820, 1180, 32}, {"six-lines", "de", 1280, 860, 32},
	} {
		t.Run(fmt.Sprintf("%s %s %d px, text of %d", c.home, c.lang, c.width, c.text), func(t *testing.T) {
			_, link := served(t, c.home, c.lang)
			k := sit(t, link, c.width, c.height)
			if _, err := chromedp.Call(k.ctx, page.SetFontSizes,
				page.SetFontSizesParams{FontSizes: &page.FontSizes{Standard: c.text}}); err != nil {
				t.Fatal(err)
			}
			js[bool](t, k.ctx,
				`new Promise(done => { document.querySelector(".circuit details").open = true; setTimeout(() => done(true), 300); })`)
			for _, fault := range js[[]string](t, k.ctx, fmt.Sprintf(layoutScript, c.width)) {
				t.Error(fault)
			}
		})
	}
}

// A plan that fails says so first and promises nothing; somebody who depends on a machine stands on top.
func TestKitchenTableWarns(t *testing.T) {
	_, link := served(t, "overloaded", "en")
	k := sit(t, link, 390, 844)
	first := js[string](t, k.ctx,
		`[...document.querySelectorAll(".picture p, .picture .medical")].find(e => e.getClientRects().length && e.textContent.trim()).textContent`)
	if !strings.HasPrefix(first, "This plan does not meet what you asked for yet. Do not build it as it stands.") {
		t.Errorf("a plan that fails opens with %q", first)
	}
	if !k.has("#no-promise") || js[bool](t, k.ctx, `document.querySelector("#which [value=promised]").checked`) {
		t.Error("a plan that fails promises hours")
	}
	if large := js[float64](t, k.ctx,
		`parseFloat(getComputedStyle(document.querySelector("#hours")).fontSize)`); large > 20 ||
		k.text("#hours") != "This power cut: 0 min" {
		t.Errorf("of a plan that fails %q stands there in letters of %g px", k.text("#hours"), large)
	}
	if got := js[int](t, k.ctx, `document.querySelectorAll("#limits .broken .over").length`); got < 4 {
		t.Errorf("%d bars are broken, want all four", got)
	}
	if got := k.text("#safety"); !strings.Contains(got, "licensed people") {
		t.Errorf("in the foot of the picture stands %q", got)
	}
	k.sameAsPlan("../../testdata/sites/overloaded.toml")

	path, link := served(t, "clinic", "en")
	k = sit(t, link, 820, 1180)
	first = js[string](t, k.ctx,
		`[...document.querySelectorAll(".picture p, .picture .medical")].find(e => e.getClientRects().length && e.textContent.trim()).textContent`)
	if !strings.Contains(first, "Oxygen concentrator: It keeps its power") {
		t.Errorf("above all stands %q", first)
	}
	k.sameAsPlan(path)
}

// What a row says is what its switch gives, also where the planner then moves another circuit: the row names it before the
// touch, the head after it.
func TestKitchenTableNamesWhatThePlannerMoves(t *testing.T) {
	text, err := os.ReadFile("../../backup/live/testdata/hillside.toml")
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "hillside.toml")
	if err := os.WriteFile(path, text, 0o644); err != nil {
		t.Fatal(err)
	}
	k := sit(t, servedFile(t, path, "en"), 390, 844)
	if k.has("#planner") && k.text("#planner") != "" {
		t.Errorf("before any touch the head says %q", k.text("#planner"))
	}
	row := k.mark("Lights")
	minutes := func() float64 { return js[float64](t, k.ctx, "(o => o.promise.hours * 60)(state.answer.outage)") }
	k.until(row + " .then:not([hidden]):not(.stale)")
	cost, then, was := k.text(row+" .cost"), k.text(row+" .then"), minutes()
	if !strings.HasSuffix(cost, " less without it") || then != "The plan then also keeps on: Freezers." {
		t.Errorf("the row says %q, %q", cost, then)
	}
	k.touch(row + " .switch")
	if got := k.text("#planner"); minutes() >= was || got != "The plan by itself now also keeps on: Freezers." {
		t.Errorf("from %g to %g min, and the head says %q", was, minutes(), got)
	}
	if !k.has(k.mark("Freezers") + " .how.moved") {
		t.Error("the row of what the planner moved is not marked")
	}
	k.touch("#undo")
	if got := k.text("#planner"); minutes() != was || !strings.Contains(got, "main board: Freezers.") {
		t.Errorf("undone: %g min, was %g; the head says %q", minutes(), was, got)
	}
	k.touch(`#months label:nth-of-type(3)`)
	if got := k.text("#planner"); got != "" {
		t.Errorf("after a touch that moves nothing the head says %q", got)
	}
}

// By keys alone: nothing of a conversation wants a pointer.
func TestKitchenTableByKeys(t *testing.T) {
	path, link := served(t, "cottage", "en")
	k := sit(t, link, 1280, 860)
	// to goes on with the Tab key until something has the focus.
	to := func(selector string) {
		t.Helper()
		for range 400 {
			k.keys(kb.Tab)
			if js[bool](t, k.ctx, fmt.Sprintf(`document.activeElement.matches(%q)`, selector)) {
				if !js[bool](t, k.ctx, `(e => e.matches(":focus-visible"))(document.activeElement)`) {
					t.Errorf("the focus on %s is not to be seen", selector)
				}
				return
			}
		}
		t.Fatalf("the Tab key never comes to %s", selector)
	}
	hours := k.text("#hours")
	to(`.handle[data-kind="begin"]`)
	k.keys(kb.ArrowRight)
	to(`.handle[data-kind="asked"]`)
	k.keys(kb.ArrowRight)
	if got := js[float64](t, k.ctx, "state.answer.required_h"); got != 25 {
		t.Errorf("a key to the right asks for %g h", got)
	}
	to(`#months input`)
	k.keys(kb.ArrowRight)
	if got := js[int](t, k.ctx, "state.answer.outage.month"); got != 8 {
		t.Errorf("a key to the right of July is month %d", got)
	}
	lights := k.mark("Lights")
	to(lights + " .mover")
	k.keys(kb.ArrowDown)
	if got := js[int](t, k.ctx, `state.answer.circuits.find(c => c.id === "lights").priority`); got != 2 {
		t.Errorf("moved down the lights have priority %d", got)
	}
	if !js[bool](t, k.ctx, fmt.Sprintf(`document.activeElement.closest(%q) !== null`, lights)) {
		t.Error("the row moved from under the hand")
	}
	to(lights + " .switch input")
	k.keys(" ")
	if k.text("#hours") == hours {
		t.Error("the lights are off and the hours are as before")
	}
	kitchen := k.mark("Kitchen sockets")
	to(kitchen + " summary")
	k.keys(kb.Enter)
	kettle := k.mark("Electric kettle")
	to(kettle + " .try")
	do(t, k.ctx, chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := chromedp.Call(ctx, input.DispatchKeyEvent,
			input.DispatchKeyEventParams{Type: input.DispatchKeyEventTypeKeyDown, Key: " ", Code: "Space",
				WindowsVirtualKeyCode: 32, Text: " "})
		return err
	}))
	k.until(`#trial:not([hidden])`)
	do(t, k.ctx, chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := chromedp.Call(ctx, input.DispatchKeyEvent,
			input.DispatchKeyEventParams{Type: input.DispatchKeyEventTypeKeyUp, Key: " ", Code: "Space",
				WindowsVirtualKeyCode: 32})
		return err
	}))
	if k.has("#trial") {
		t.Error("the key is up and the trial stays")
	}
	to("#add > summary")
	k.keys(kb.Enter)
	to("#search")
	k.keys("Wasserkocher")
	to("#classes button")
	k.keys(kb.Enter)
	if got := k.text("#changes li:last-child"); !strings.HasSuffix(got, ": added") {
		t.Errorf("the list ends with %q", got)
	}
	k.keys("z", chromedp.KeyModifiers(chromedp.ModifierCtrl))
	to("#save")
	k.keys(kb.Enter)
	k.until(`#kept:not([hidden])`)
	k.settled()
	k.sameAsPlan(path)
	saved, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"autonomy_h = 25", "a second freezer is being talked about"} {
		if !strings.Contains(string(saved), want) {
			t.Errorf("the saved file lacks %q", want)
		}
	}
	// What was spoken ends with what stands there.
	js[bool](t, k.ctx, `new Promise(done => setTimeout(() => done(true), 800))`)
	if got := k.text("#spoken"); got == "" {
		t.Error("nothing was spoken")
	}
}

// A row is carried to another priority.
func TestKitchenTablePriority(t *testing.T) {
	_, link := served(t, "cottage", "en")
	k := sit(t, link, 1280, 1400)
	row := k.mark("Fridge and freezer")
	dy := js[float64](t, k.ctx,
		fmt.Sprintf(
			`document.querySelector("#rows section[data-priority='2'] li").getBoundingClientRect().y + 20 - document.querySelector(%q).getBoundingClientRect().y`,
			row+" .mover"))
	k.drag(row+" .mover", 0, dy)
	if got := js[int](t, k.ctx, `state.answer.circuits.find(c => c.id === "pantry").priority`); got != 2 {
		t.Errorf("carried to the second priority the freezer has %d", got)
	}
	if got := k.text("#changes"); got != "Fridge and freezer: priority 2" {
		t.Errorf("the list says %q", got)
	}
	if !js[bool](t, k.ctx, fmt.Sprintf(`document.querySelector(%q).closest("section").dataset.priority === "2"`, row)) {
		t.Error("the row is not among those of its priority")
	}
	k.touch("#undo")
	if got := js[int](t, k.ctx, `state.answer.circuits.find(c => c.id === "pantry").priority`); got != 1 {
		t.Errorf("undone it has %d", got)
	}
}

// Whoever takes the last load of a circuit away has an empty row, and can take that back. A home without any circuit
// opens too.
func TestKitchenTableOfNothing(t *testing.T) {
	_, link := served(t, "cottage", "en")
	k := sit(t, link, 1280, 1400)
	k.open(k.mark("Bore pump") + " details")
	k.touch(`.circuit[data-called="Bore pump"] .load .fields .quiet`)
	if got := k.text("#changes"); got != "Bore pump: taken away" {
		t.Errorf("the list says %q", got)
	}
	if got := k.text(`.circuit[data-called="Bore pump"] summary .what span`); got != "What is on it: 0" {
		t.Errorf("the row says %q", got)
	}
	if !js[bool](t, k.ctx, `document.activeElement === document.querySelector('.circuit[data-called="Bore pump"] .switch input')`) {
		t.Error("the hand is not on the switch of the circuit that is empty now")
	}
	k.touch("#undo")
	if !k.has(`.circuit[data-called="Bore pump"] .load`) {
		t.Error("taken back, the pump is not there again")
	}

	path := filepath.Join(t.TempDir(), "bare.toml")
	bare := "[site]\nname = \"Bare\"\nnominal_v = 230\n[outage]\nautonomy_h = 12\n" +
		"[inverter]\nuse = \"inverter-5k-48\"\n[bank]\nuse = \"lfp-51-100\"\nstrings = 2\n"
	if err := os.WriteFile(path, []byte(bare), 0o644); err != nil {
		t.Fatal(err)
	}
	k = sit(t, servedFile(t, path, "en"), 1280, 860)
	if got := k.text("#verdict") + " " + k.text("#reason"); !strings.HasPrefix(got, "This plan supplies nothing") ||
		!strings.Contains(got, "nothing on the backup board is used") {
		t.Errorf("a home without a load opens with %q", got)
	}
	if got := k.text("#hours") + k.text("#until"); got != "nothing is supplied" {
		t.Errorf("of a home without a load the page says how long: %q", got)
	}
	if got := k.text(`#rows section[data-priority="1"] h3`); got != "Priority 1: nothing" {
		t.Errorf("a priority that no circuit has is headed %q", got)
	}
	if got := k.text("#points"); !strings.Contains(got, "no load to supply") {
		t.Errorf("a home without a load is told %q", got)
	}
}
