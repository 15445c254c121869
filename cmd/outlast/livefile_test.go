package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

// takenHome writes the page of a sample site as one file, as the command does, and opens it without a server.
func takenHome(t testing.TB, name, lang string, width, height int64) *kitchen {
	t.Helper()
	k := sit(t, takenFile(t, sampleSite(name), lang), width, height)
	k.wasm = true
	return k
}

// takenFile is the link to the page of a home in one file.
func takenFile(t testing.TB, site, lang string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "home.html")
	var out, errs strings.Builder
	if code := run([]string{"report", "--live", "--lang", lang, "-o", path, site}, strings.NewReader(""), &out,
		&errs); code > 1 {
		t.Fatalf("report --live ends with %d: %s", code, errs.String())
	}
	return "file://" + path
}

func sampleSite(name string) string {
	return filepath.Join("..", "..", "testdata", "sites", name+".toml")
}

// asPlanned holds the page against the command on the file that the page would save.
func (k *kitchen) asPlanned() {
	k.Helper()
	text := js[string](k, k.ctx, `table.ask("text", { changes: changesOf(list()) }).then(a => a.text)`)
	path := filepath.Join(k.TempDir(), "changed.toml")
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		k.Fatal(err)
	}
	k.sameAsPlan(path)
}

// Of every sample site the page in one file says what the command says: as it is opened, after a circuit is switched,
// after more hours are asked for, and after both are taken back.
func TestLiveFileIsThePlan(t *testing.T) {
	sites, err := filepath.Glob(sampleSite("*"))
	if err != nil || len(sites) < 6 {
		t.Fatalf("sample sites %q, %v", sites, err)
	}
	for _, site := range sites {
		name := strings.TrimSuffix(filepath.Base(site), ".toml")
		t.Run(name, func(t *testing.T) {
			k := takenHome(t, name, "en", 1280, 860)
			k.sameAsPlan(site)
			k.touch("#rows .circuit .switch")
			if got := js[int](t, k.ctx, "list().length"); got != 1 {
				t.Fatalf("a touch makes %d changes", got)
			}
			k.asPlanned()
			k.focus(`.handle[data-kind="asked"]`)
			k.keys("\ue014") // the arrow to the right
			k.asPlanned()
			k.touch("#undo")
			k.touch("#undo")
			if got := js[int](t, k.ctx, "list().length"); got != 0 {
				t.Errorf("taken back, %d changes are left", got)
			}
			k.sameAsPlan(site)
		})
	}
}

// A whole conversation at home, without a server.
func TestLiveFileConversation(t *testing.T) {
	for _, size := range screens {
		t.Run(size.name, func(t *testing.T) {
			k := takenHome(t, "cottage", "en", size.width, size.height)
			if k.has("#papers") {
				t.Error("without a server nobody can make papers, and they are offered")
			}
			hours := k.text("#hours")
			k.touch(k.mark("Fridge and freezer") + " .switch")
			without := k.text("#hours")
			if without == hours || !k.has("#hours.moved") {
				t.Errorf("without the freezer: %q after %q, underlined: %v", without, hours, k.has("#hours.moved"))
			}
			k.asPlanned()
			k.touch("#undo")
			if got := k.text("#hours"); got != hours {
				t.Errorf("undone: %q, before %q", got, hours)
			}
			k.touch("#redo")
			if got := k.text("#hours"); got != without {
				t.Errorf("redone: %q, want %q", got, without)
			}
			k.touch("#undo")

			was := js[int](t, k.ctx, "state.answer.outage.from_min")
			k.drag(`.handle[data-kind="begin"]`, 70, 3)
			if got := js[int](t, k.ctx, "state.answer.outage.from_min"); got == was || got%15 != 0 {
				t.Errorf("dragged from minute %d to %d of the day", was, got)
			}
			k.touch("#worst")
			k.touch(`#months label:nth-of-type(1)`)
			if got := k.text("#scene"); !strings.Contains(got, "January") {
				t.Errorf("in January the page says %q", got)
			}
			k.touch(`#months label:nth-of-type(7)`)

			k.touch(k.mark("Kitchen sockets") + " summary")
			kettle := k.mark("Electric kettle")
			x, y := k.at(kettle + " .try")
			do(t, k.ctx, chromedp.MouseEvent(chromedp.MousePressed, x, y, chromedp.ButtonType(input.MouseButtonLeft)))
			k.until("#trial:not([hidden])")
			if got := k.text("#trial"); !strings.Contains(strings.ToLower(got), "the inverter switches off") {
				t.Errorf("while it is held the page says %q", got)
			}
			do(t, k.ctx, chromedp.MouseEvent(chromedp.MouseReleased, x, y, chromedp.ButtonType(input.MouseButtonLeft)))
			if k.has("#trial") || js[int](t, k.ctx, "list().length") != 0 {
				t.Error("let go, the trial stays")
			}

			k.open("#add")
			k.until("#classes button")
			k.focus("#search")
			k.keys("Wasserkocher")
			k.touch("#classes li:not([hidden]) button")
			if got := k.text("#changes li:last-child"); !strings.HasSuffix(got, ": added") {
				t.Errorf("after adding the list says %q", got)
			}
			k.asPlanned()
			k.touch("#undo")

			k.touch("#variants label:last-child")
			k.touch(k.mark("Living room and bedroom sockets") + " .switch")
			js[bool](t, k.ctx,
				`new Promise(done => { (function look() { state.others ? done(true) : setTimeout(look, 5); })(); })`)
			if got := k.text("#other"); got != "Variant A: "+hours {
				t.Errorf("beside B stands %q", got)
			}
			k.touch("#variants label:first-of-type")

			js[bool](t, k.ctx, `speakLanguage("de").then(() => true)`)
			k.settled()
			if got := k.text("#undo"); got != "Rückgängig" {
				t.Errorf("in German the page says %q", got)
			}
			k.sameAsPlan(sampleSite("cottage"))

			// The browser would mend these names in its own way, and the page would tell of files that are not there.
			for name, says := range map[string]string{"CON.toml": "für ein Gerät", "a/b.toml": "ohne Ordner", "b.txt": "auf .toml"} {
				got := js[string](t, k.ctx, fmt.Sprintf(`table.saveAs(%q, []).then(() => "saved", faultWords)`, name))
				if !strings.Contains(got, says) {
					t.Errorf("saved as %s: %q, want %q", name, got, says)
				}
			}
		})
	}
}

// until waits until there is such an element.
func (k *kitchen) until(selector string) {
	k.Helper()
	js[bool](k, k.ctx, fmt.Sprintf(`new Promise((done, fail) => {
		const since = performance.now();
		(function look() {
			if (document.querySelector(%q)) return done(true);
			if (performance.now() - since > 20000) return fail(new Error("there is no " + %[1]q));
			setTimeout(look, 5);
		})();
	})`, selector))
}

// BenchmarkLiveFile measures the page in one file, in ms from the beginning of its load: until the picture stands,
// until the engine runs, and then sixty touches of a hand, of which the first finds an engine that has hardly run: of
// the cottage, and of the farm of 60 circuits. The thread of the page is slowed as many times as is said; that of the
// engine is not, as the browser slows no worker.
func BenchmarkLiveFile(b *testing.B) {
	farm := filepath.Join(b.TempDir(), "farm.toml")
	if err := os.WriteFile(farm, []byte(farmText()), 0o644); err != nil {
		b.Fatal(err)
	}
	for _, c := range []struct {
		name, site string
		slowed     float64
	}{{"cottage", sampleSite("cottage"), 1}, {"cottage-slowed", sampleSite("cottage"), 4}, {"farm", farm, 1}} {
		b.Run(c.name, func(b *testing.B) {
			link := takenFile(b, c.site, "en")
			var picture, engine, first []float64
			var took touchTimes
			for b.Loop() {
				// As somebody opens it: no other page has to be closed first.
				k := sitAlone(b, link, 390, 844, c.slowed)
				at := js[[]float64](b, k.ctx, `(async () => {
					const drawn = performance.getEntriesByName("touch")[0];
					await table.runs;
					return [drawn.startTime + drawn.duration, performance.now()];
				})()`)
				picture, engine = append(picture, at[0]), append(engine, at[1])
				touches := js[touchTimes](b, k.ctx, fmt.Sprintf(touchesScript, 60, tapMs, 0))
				first = append(first, touches.Whole[0])
				took.add(touches)
				do(b, k.ctx, chromedp.Navigate("about:blank")) // its engine ends
			}
			for name, took := range map[string][]float64{"picture": picture, "engine": engine, "first": first} {
				slices.Sort(took)
				b.ReportMetric(took[len(took)/2], name+"-ms-median")
			}
			took.report(b)
		})
	}
}
