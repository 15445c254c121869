package main

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/target"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// fingers makes the screen one that is touched.
func (k *kitchen) fingers() {
	k.Helper()
	if _, err := chromedp.Call(k.ctx, emulation.SetTouchEmulationEnabled,
		emulation.SetTouchEmulationEnabledParams{Enabled: true, MaxTouchPoints: 1}); err != nil {
		k.Fatal(err)
	}
}

// finger is put on the screen at a point, or taken away.
func (k *kitchen) finger(what input.DispatchTouchEventType, x, y float64) {
	k.Helper()
	p := input.DispatchTouchEventParams{Type: what, TouchPoints: []*input.TouchPoint{}}
	if what != input.DispatchTouchEventTypeTouchEnd {
		p.TouchPoints = append(p.TouchPoints, &input.TouchPoint{X: x, Y: y})
	}
	if _, err := chromedp.Call(k.ctx, input.DispatchTouchEvent, p); err != nil {
		k.Fatal(err)
	}
}

// tap touches an element with a finger.
func (k *kitchen) tap(selector string) {
	k.Helper()
	x, y := k.at(selector)
	k.finger(input.DispatchTouchEventTypeTouchStart, x, y)
	k.finger(input.DispatchTouchEventTypeTouchEnd, x, y)
	k.settled()
}

// What a switch asks is asked when the finger comes down on it, and once; a finger that slides away has changed nothing.
func TestKitchenTableForesees(t *testing.T) {
	_, link := served(t, "cottage", "en")
	k := sit(t, link, 1280, 860)
	js[bool](t, k.ctx, `(ask => { window.answers = 0; table.ask = (kind, ...rest) => {
		if (kind === "answer") window.answers++;
		return ask(kind, ...rest);
	}; return true; })(table.ask)`)
	mouse := func(what input.DispatchMouseEventType, x, y float64) {
		do(t, k.ctx, chromedp.MouseEvent(what, x, y, chromedp.ButtonType(input.MouseButtonLeft), chromedp.ClickCount(1)))
	}
	asked := func(when string, answers, touches int) {
		t.Helper()
		if got := js[[]int](t, k.ctx, `[window.answers, list().length]`); got[0] != answers || got[1] != touches {
			t.Errorf("%s: asked %d times after %d touches, want %d after %d", when, got[0], got[1], answers, touches)
		}
	}
	hours := k.text("#hours")
	x, y := k.at(k.mark("Fridge and freezer") + " .switch")
	mouse(chromedp.MousePressed, x, y)
	asked("with the finger down", 1, 0)
	mouse(chromedp.MouseReleased, x, y)
	k.settled()
	asked("with the finger lifted", 1, 1)
	if k.text("#hours") == hours {
		t.Errorf("without the freezer it is %q too", hours)
	}
	k.asPlanned()
	mouse(chromedp.MousePressed, x, y)
	mouse(chromedp.MouseMoved, 400, 5)
	mouse(chromedp.MouseReleased, 400, 5)
	asked("slid away", 2, 1)
	k.touch("#undo")
	asked("taken back", 3, 0)
	k.focus(k.mark("Fridge and freezer") + " .switch input")
	key := func(what input.DispatchKeyEventType) {
		p := input.DispatchKeyEventParams{Type: what, Key: " ", Code: "Space", Text: " ", WindowsVirtualKeyCode: 32}
		if _, err := chromedp.Call(k.ctx, input.DispatchKeyEvent, p); err != nil {
			t.Fatal(err)
		}
	}
	key(input.DispatchKeyEventTypeKeyDown)
	asked("with the key down", 4, 0)
	key(input.DispatchKeyEventTypeKeyUp)
	k.settled()
	asked("with the key up", 4, 1)
	k.touch("#undo")
	if got := k.text("#hours"); got != hours {
		t.Errorf("taken back it is %q, was %q", got, hours)
	}
}

// With fingers alone: a switch, a trial that holds as long as the finger, a copy under another name, and the papers.
func TestKitchenTableByTouch(t *testing.T) {
	for _, size := range screens[:2] {
		t.Run(size.name, func(t *testing.T) {
			path, link := served(t, "cottage", "de")
			k := sit(t, link, size.width, size.height)
			k.fingers()
			hours := k.text("#hours")
			k.tap(k.mark("Fridge and freezer") + " .switch")
			without := k.text("#hours")
			if without == hours {
				t.Errorf("without the freezer it is %q too", without)
			}

			// A trial: the bars move while the finger is there, and nothing is changed by it.
			k.tap(k.mark("Kitchen sockets") + " summary")
			kettle := k.mark("Electric kettle")
			x, y := k.at(kettle + " .try")
			k.finger(input.DispatchTouchEventTypeTouchStart, x, y)
			k.until("#trial:not([hidden])")
			if got := k.text("#trial"); !strings.Contains(got, "Wechselrichter") {
				t.Errorf("while the finger is there the page says %q", got)
			}
			if !k.has(`#limits [data-bar="at-once"].broken`) {
				t.Error("the bar of what runs at once is not broken by the kettle")
			}
			k.finger(input.DispatchTouchEventTypeTouchEnd, x, y)
			k.settled()
			if k.has("#trial") || k.has(`#limits [data-bar="at-once"].broken`) || k.text("#hours") != without {
				t.Error("the finger is away, and the trial stays")
			}

			// Another name: one that is taken, one that will not do, and one that does; all told in German.
			as := func(name, says string) {
				t.Helper()
				if !k.has("#name") {
					k.tap("#save-as")
				}
				js[bool](t, k.ctx, `(e => { e.focus(); e.select(); return true; })(document.querySelector("#name"))`)
				k.keys(name + kb.Enter)
				js[bool](t, k.ctx, `new Promise(done => { (function look() {
					const p = document.querySelector("#kept:not([hidden])");
					p && p.textContent.includes(`+"`"+says+"`"+`) ? done(true) : setTimeout(look, 5); })(); })`)
			}
			as("cottage.toml", "gibt es schon")
			as("sub/other.toml", "ohne Ordner")
			as("anders.toml", "anders.toml")
			other, err := os.ReadFile(filepath.Join(filepath.Dir(path), "anders.toml"))
			if err != nil {
				t.Fatal(err)
			}
			first, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if got := strings.Join(changedLines(string(first), string(other)),
				" "); got != `-board = "backup" +board = "main"` {
				t.Errorf("beside the file stands one with %q", got)
			}
			k.sameAsPlan(filepath.Join(filepath.Dir(path), "anders.toml"))

			// The papers come in a tab of their own, and are about what is on the screen.
			opened := chromedp.WaitNewTarget(k.ctx,
				func(info *target.Info) bool { return strings.Contains(info.URL, "/papers") })
			x, y = k.at("#papers")
			k.finger(input.DispatchTouchEventTypeTouchStart, x, y)
			k.finger(input.DispatchTouchEventTypeTouchEnd, x, y)
			var id target.ID
			select {
			case id = <-opened:
			case <-time.After(20 * time.Second):
				t.Fatal("no papers come")
			}
			ctx, away := chromedp.NewContext(k.ctx, chromedp.WithTargetID(id))
			defer away()
			papers := readPapers(t, ctx)
			whole, _, _ := strings.Cut(strings.ReplaceAll(without, "\u00a0", " "), " ") // hours
			papers = strings.ReplaceAll(papers, "\u00a0", " ")
			for _, want := range []string{"Wattle Bend cottage", "Ersatzstromplan", "etwa " + whole + " Stunden"} {
				if !strings.Contains(papers, want) {
					t.Errorf("the papers do not say %q: %.600s", want, papers)
				}
			}
			// Two of the names were refused, which the browser notes.
			k.Lock()
			defer k.Unlock()
			k.Complaints = slices.DeleteFunc(k.Complaints,
				func(c string) bool { return strings.Contains(c, "/save-as?") })
		})
	}
}

// readPapers waits until the papers stand in a tab, and reads them.
func readPapers(t *testing.T, ctx context.Context) string {
	t.Helper()
	return js[string](t, ctx, `new Promise((done, fail) => {
		const since = performance.now();
		(function look() {
			if (document.readyState === "complete" && document.body && document.body.innerText.length > 200) return done(document.body.innerText);
			if (performance.now() - since > 20000) return fail(new Error("no papers: " + document.documentElement.outerHTML.slice(0, 300)));
			setTimeout(look, 20);
		})();
	})`)
}

// What is refused is told where it is seen, wherever the page was scrolled to, and nothing is changed by it.
func TestKitchenTableTellsRefusals(t *testing.T) {
	for _, size := range screens {
		t.Run(size.name, func(t *testing.T) {
			_, link := served(t, "cottage", "de")
			k := sit(t, link, size.width, size.height)
			hours := k.text("#hours")
			k.touch(k.mark("Kitchen sockets") + " summary")
			js[bool](t, k.ctx, `(e => { e.value = "30"; e.dispatchEvent(new Event("change")); return true; })(
				document.querySelector('[data-called="Kitchen sockets"] .load .fields > .number input'))`)
			js[bool](t, k.ctx, `new Promise(done => { (function look() {
				document.querySelector("#problem").hidden || flight ? setTimeout(look, 5) : done(true); })(); })`)
			if got := k.text("#problem"); !strings.HasPrefix(got, "Das geht nicht: Stunden am Tag: 30") {
				t.Errorf("hours that no day has are refused with %q", got)
			}
			if !js[bool](t, k.ctx, `(r => { const at = document.elementFromPoint(r.x + 12, r.y + r.height / 2);
				return at !== null && document.querySelector("#problem").contains(at); })(document.querySelector("#problem").getBoundingClientRect())`) {
				t.Error("the refusal is not to be seen from where the figure was typed")
			}
			if got := js[int](t, k.ctx, "list().length"); got != 0 || k.text("#hours") != hours {
				t.Errorf("a refused change leaves %d changes and %q", got, k.text("#hours"))
			}
			js[bool](t, k.ctx, `(e => { byId("problem").hidden = true; e.value = "0"; e.dispatchEvent(new Event("change")); return true; })(
				document.querySelector('[data-called="Kitchen sockets"] .load .counted input'))`)
			js[bool](t, k.ctx, `new Promise(done => { const since = performance.now(); (function look() {
				(document.querySelector("#problem").hidden || flight) && performance.now() - since < 5000 ? setTimeout(look, 5) : done(true); })(); })`)
			if got := k.text("#problem"); !k.has("#problem") || !strings.HasPrefix(got, "Das geht nicht: Anzahl: 0") {
				t.Errorf("a number of 0 is refused with %q", got)
			}
			if got := js[string](t, k.ctx, `document.querySelector('[data-called="Kitchen sockets"] .load .counted input').value`); got != "1" {
				t.Errorf("refused, %q is left in the field of the number", got)
			}
			k.touch(k.mark("Lights") + " .switch")
			if k.has("#problem") {
				t.Error("the next touch leaves the refusal there")
			}
		})
	}
}
