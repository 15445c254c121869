package paper_test

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"outlast/backup"
	"outlast/backup/browsertest"
	"outlast/backup/drawnhome"
	"outlast/backup/sheet/paper"
	"outlast/backup/sheet/paper/words"
	"outlast/backup/study"
	"outlast/backup/verdict"
)

// Tests in a real browser: what is right in the text may still hang over the edge of a phone.

func TestMain(m *testing.M) {
	code := m.Run()
	browsertest.Stop()
	os.Exit(code)
}

func browser(t *testing.T) context.Context {
	t.Helper()
	return browsertest.Tab(t, 1000, 800, 2*time.Minute)
}

// open writes a page to a file and opens it.
func open(t *testing.T, ctx context.Context, html string) (url string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "report.html")
	if err := os.WriteFile(path, []byte(html), 0o644); err != nil {
		t.Fatal(err)
	}
	url = "file://" + path
	if err := chromedp.Do(ctx, chromedp.Navigate(url)); err != nil {
		t.Fatal(err)
	}
	return url
}

// The layout of a page, asked in the page itself: what is wider than the paper, what of a drawing hangs over its edge,
// and which two texts of a drawing lie on each other. The width is handed in: a phone makes its window as wide as what
// hangs over.
const layoutScript = `(wide => {
  const out = [];
  if (document.documentElement.scrollWidth > wide) out.push("the page is " + document.documentElement.scrollWidth + " px wide");
  for (const e of document.querySelectorAll("body *")) {
    if (e.closest(".scroll") && !e.matches(".scroll")) continue;
    if (e.closest("svg") && e.tagName != "svg") continue;
    if (e.closest("thead") && getComputedStyle(e.closest("thead")).position == "absolute") continue; // for ears only
    const r = e.getBoundingClientRect();
    if (r.width > 1 && (r.right > wide + 0.5 || r.left < -0.5)) out.push(e.tagName + "." + e.getAttribute("class") + " from " + r.left + " to " + r.right + ": " + e.textContent.slice(0, 60));
  }
  for (const svg of document.querySelectorAll("svg")) {
    const box = svg.getBoundingClientRect();
    if (box.width == 0) continue;
    const texts = [...svg.querySelectorAll("text")].map(t => [t.textContent, t.getBoundingClientRect()]);
    const name = svg.querySelector("title").id;
    // The points of the lines that mean something; grids, leaders and areas lie under words.
    const points = [];
    for (const e of svg.querySelectorAll(".limit, .line, .dotted, .bus, .wire:not(.hollow)")) {
      const m = e.getScreenCTM(), long = e.getTotalLength();
      for (let at = 0; at <= long; at += 2) {
        const p = e.getPointAtLength(at);
        points.push([p.x * m.a + p.y * m.c + m.e, p.x * m.b + p.y * m.d + m.f]);
      }
    }
    texts.forEach(([s, r], i) => {
      // Of a line box the middle half is sure to be letters.
      const lies = points.find(([x, y]) => x > r.left + 1 && x < r.right - 1 && y > r.top + r.height / 4 && y < r.bottom - r.height / 4);
      if (lies) out.push(name + ": on a line: " + s);
      if (r.left < box.left - 1.5 || r.right > box.right + 1.5 || r.top < box.top - 1.5 || r.bottom > box.bottom + 1.5) out.push(name + ": over the edge: " + s);
      texts.slice(i + 1).forEach(([s2, q]) => {
        // A line box is higher than its letters: a third of it may overlap.
        const dx = Math.min(r.right, q.right) - Math.max(r.left, q.left), dy = Math.min(r.bottom, q.bottom) - Math.max(r.top, q.top);
        if (dx > 1.5 && dy > 0.34 * Math.min(r.height, q.height)) out.push(name + ": on each other: " + s + " | " + s2);
      });
    });
  }
  return out;
})`

// sizes are the papers and screens on which a report is read.
var sizes = []struct {
	name   string
	width  int64
	height int64
	phone  bool
	print  bool
}{
	{"phone", 360, 740, true, false},
	{"tablet", 800, 1100, true, false},
	{"desk", 1400, 900, false, false},
	{"A4", 688, 1000, false, true},    // 210 mm less the margins, at 96 px an inch
	{"Letter", 710, 940, false, true}, // 8.5 in
}

func checkLayout(t *testing.T, ctx context.Context, html string) {
	t.Helper()
	w := browsertest.Watching(t, ctx)
	var url string
	for _, size := range sizes {
		var opts []chromedp.EmulateViewportOption
		if size.phone {
			opts = append(opts, chromedp.EmulateMobile)
		}
		media := ""
		if size.print {
			media = "print"
		}
		if err := chromedp.Do(ctx, chromedp.EmulateViewport(size.width, size.height, opts...)); err != nil {
			t.Fatal(err)
		}
		if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia,
			emulation.SetEmulatedMediaParams{Media: media}); err != nil {
			t.Fatal(err)
		}
		if url == "" {
			url = open(t, ctx, html)
		}
		got, err := chromedp.Run(ctx, chromedp.Evaluate[[]string](fmt.Sprintf("%s(%d)", layoutScript, size.width)))
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range got[:min(len(got), 12)] {
			t.Errorf("%s: %s", size.name, s)
		}
	}
	w.Lock()
	defer w.Unlock()
	for _, r := range w.Requests {
		if r != url {
			t.Errorf("the page asks for %s", r)
		}
	}
	if len(w.Requests) == 0 {
		t.Error("no request was seen, not even that for the page: the test watches nothing")
	}
	if len(w.Complaints) > 0 {
		t.Errorf("the browser complains: %q", w.Complaints)
	}
}

// TestLayout opens every report at every size: nothing hangs over the edge, no label lies on another, nothing is loaded
// and nothing complained of.
func TestLayout(t *testing.T) {
	for _, home := range homes {
		t.Run(home, func(t *testing.T) {
			ctx := browser(t)
			p := planOf(t, home)
			checkLayout(t, ctx, write(t, p, paper.Options{Date: "2026-05-04", Program: "outlast",
				Source: home + ".toml", Revision: strings.Repeat("0123456789abcdef", 4), Year: yearOf(t, p)}))
		})
	}
}

// TestLayoutOfLargeAndFailingHomes: sixty circuits on three phases and on one, tight and far too much, as they stand on
// the drawings.
func TestLayoutOfLargeAndFailingHomes(t *testing.T) {
	ctx := browser(t)
	for _, tt := range []struct {
		phases int
		watts  float64
	}{{1, 60}, {1, 900}, {3, 60}, {3, 400}} {
		p := planText(t, sixtyCircuits(tt.phases, tt.watts))
		if fails := p.Verdict() == verdict.Fail; fails != (tt.watts > 100) {
			t.Errorf("%d phases, %g W a load: the plan fails: %t", tt.phases, tt.watts, fails)
		}
		for _, reader := range []string{"electrician", "file"} {
			checkLayout(t, ctx, write(t, p, paper.Options{For: reader, Year: yearOf(t, p)}))
		}
	}
	for seed := range uint64(6) {
		if p, err := planIfAny(t, string(drawnhome.Draw(seed))); err == nil {
			checkLayout(t, ctx, write(t, p, paper.Options{For: "file", Lang: words.Languages()[seed%4]}))
		}
	}
}

// sixtyCircuits is a home of so many circuits on its backup board, and some more on the main one, each with a load that
// starts.
func sixtyCircuits(phases int, watts float64) string {
	var b strings.Builder
	fmt.Fprintf(&b, `[site]
name = "Sixty circuits"
nominal_v = 230
phases = %d
latitude = 50
[outage]
autonomy_h = 5
[inverter]
use = "hybrid-8k-48"
count = %d
[bank]
use = "lfp-51-200"
strings = 6
[board]
ways = 60
[[array]]
use = "mono-440"
modules_per_string = 8
tilt_deg = 30
azimuth_deg = 180
monthly_kwh_m2_day = [1,2,3,4,5,6,6,5,4,3,2,1]
[generator]
rated_va = 12000
power_factor = 0.8
`, phases, phases)
	for i := range 75 {
		board, phase := "backup", 1
		if i%5 == 4 {
			board = "main"
		}
		if phases > 1 {
			phase = i % (phases + 1)
		}
		if watts > 100 && phase == 3 { // far more on the second than on the third
			phase = 2
		}
		fmt.Fprintf(&b,
			"[[circuit]]\nid = \"c%d\"\nlabel = \"Circuit %d of the household and all that hangs on it\"\n"+
				"breaker_a = 10\nboard = %q\nphase = %d\n",
			i, i, board, phase)
		fmt.Fprintf(&b,
			"[[load]]\nname = \"Load %d with a rather long name\"\ncircuit = \"c%d\"\nrunning_w = %g\n"+
				"starting_va = %g\nstarting_s = %g\nhours_per_day = 4\nwhen = [\"%02d:00-%02d:00\"]\n",
			i, i, watts, 2*watts+float64(i)*17, []float64{0.2, 0.5, 1, 1, 3, 8}[i%6], i%16, i%16+6)
	}
	return b.String()
}

// TestLayoutOfHostileNames: whatever a home is called, its papers keep their shape, and nothing of it is run or loaded.
func TestLayoutOfHostileNames(t *testing.T) {
	ctx := browser(t)
	p := planText(t, hostileSite)
	for _, reader := range []string{"owner", "all"} {
		checkLayout(t, ctx, write(t, p, paper.Options{For: reader, Source: hostileName, Program: hostileName,
			Revision: hostileName, Date: hostileName}))
	}
	title, err := chromedp.Run(ctx, chromedp.Title())
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(title, "<script>") {
		t.Errorf("the title is %q: the name was not kept as the text that it is", title)
	}
}

// yearOf follows outages from every hour of a year.
func yearOf(t *testing.T, p *backup.Plan) *study.EveryStart {
	t.Helper()
	target := max(1, int(p.Site.Outage.AutonomyH))
	e, err := study.FromEveryStart(t.Context(), p.Facts, study.EveryStartOptions{MaxH: max(336, target),
		TargetH: target, Chance: 0.95, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// TestLayoutOfLanguages: words are longer elsewhere.
func TestLayoutOfLanguages(t *testing.T) {
	for _, lang := range words.Languages()[1:] {
		for _, home := range []string{"clinic", "farmhouse"} {
			t.Run(lang+" "+home, func(t *testing.T) {
				ctx := browser(t)
				p := planOf(t, home)
				checkLayout(t, ctx, write(t, p, paper.Options{Lang: lang, Year: yearOf(t, p)}))
			})
		}
	}
}

// TestPages prints the papers on A4 and Letter: the owner's page is one page in every language, and each reader's
// papers begin on a new one.
func TestPages(t *testing.T) {
	for _, home := range homes {
		t.Run(home, func(t *testing.T) {
			ctx := browser(t)
			p := planOf(t, home)
			langs := words.Languages()
			if home != "clinic" && home != "farmhouse" { // these two have most to say
				langs = langs[:1]
			}
			for _, lang := range langs {
				for _, size := range paper.Sizes() {
					open(t, ctx, write(t, p, paper.Options{For: "owner", Lang: lang, Paper: size, Date: "2026-05-04",
						Program: "outlast", Source: home + ".toml", Revision: "0123456789abcdef"}))
					if n := pages(t, ctx); n != 1 {
						t.Errorf("the owner's page in %s takes %d pages of %s, want 1", lang, n, size)
					}
				}
			}
			if home == "town-flat" || home == "split-phase" {
				return
			}
			for _, reader := range paper.Readers()[1:] {
				open(t, ctx, write(t, p, paper.Options{For: reader}))
				if n := pages(t, ctx); reader == "electrician" && (n < 3 || n > 10) {
					t.Errorf("the electrician's papers take %d pages, want 3 to 10", n)
				}
			}
			open(t, ctx, write(t, p, paper.Options{}))
			if n := pages(t, ctx); home == "cottage" && n > 20 {
				t.Errorf("all papers take %d pages, want 20 at most", n)
			}
			open(t, ctx, write(t, p, paper.Options{Annex: true}))
			all, sum := pages(t, ctx), 0
			for i := range len(paper.Readers()) { // owner, electrician, file and its annex
				// Printed one by one as they stand in the whole: with the head of the document before the first part
				// only.
				show := fmt.Sprintf(`(() => {
					document.querySelectorAll(".part").forEach((p, i) => p.style.display = i === %d ? "" : "none");
					document.querySelector("header.top").style.display = %d === 0 ? "" : "none";
					return document.querySelectorAll(".part").length })()`, i, i)
				parts, err := chromedp.Run(ctx, chromedp.Evaluate[int](show))
				if err != nil {
					t.Fatal(err)
				}
				if want := len(paper.Readers()); parts != want {
					t.Fatalf("%d parts, want %d", parts, want)
				}
				sum += pages(t, ctx)
			}
			if all != sum {
				t.Errorf("all papers take %d pages, but one by one %d: a part does not begin on a new page", all, sum)
			}
		})
	}
}

// TestFullestOwnersPage: a home that has all of everything, under long names, still has one page for its owner.
func TestFullestOwnersPage(t *testing.T) {
	ctx := browser(t)
	var b strings.Builder
	b.WriteString(`[site]
name = "The house at the end of the long lane behind the second wood"
nominal_v = 230
latitude = 50
[outage]
autonomy_h = 20
[inverter]
use = "hybrid-8k-48"
[bank]
use = "lfp-51-200"
strings = 3
[[array]]
use = "mono-440"
modules_per_string = 8
tilt_deg = 30
azimuth_deg = 180
monthly_kwh_m2_day = [1,2,3,4,5,6,6,5,4,3,2,1]
[generator]
rated_va = 6000
power_factor = 0.8
`)
	const long = "of the household, with everything that hangs on it and some more"
	for i := range 40 {
		board := []string{"backup", "backup", "main"}[i%3]
		fmt.Fprintf(&b, "[[circuit]]\nid = \"c%d\"\nlabel = \"Circuit %d %s\"\nbreaker_a = 10\nboard = %q\n", i, i,
			long, board)
		fmt.Fprintf(&b,
			"[[load]]\nname = \"Load %d %s\"\ncircuit = \"c%d\"\nrunning_w = 60\nstarting_va = 900\n"+
				"hours_per_day = 9\nmedical = %v\nheld_off = %v\npriority = %d\ndrop_below = %g\n",
			i, long, i, i < 3, board == "backup" && i%4 == 0 && i > 3, 1+i%5,
			map[bool]float64{true: 0.3 + float64(i)/100, false: 0}[i > 20])
	}
	p := planText(t, b.String())
	for _, lang := range words.Languages() {
		for _, size := range paper.Sizes() {
			open(t, ctx, write(t, p, paper.Options{For: "owner", Lang: lang, Paper: size}))
			if n := pages(t, ctx); n != 1 {
				t.Errorf("the owner's page in %s takes %d pages of %s", lang, n, size)
			}
		}
	}
}

// pages prints the open page, on the paper that it names, and counts its sheets.
func pages(t *testing.T, ctx context.Context) int {
	t.Helper()
	pdf, err := chromedp.Run(ctx, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize()))
	if err != nil {
		t.Fatal(err)
	}
	n := strings.Count(string(pdf), "/Type /Page\n") + strings.Count(string(pdf), "/Type /Page ") +
		strings.Count(string(pdf), "/Type /Page/")
	if n == 0 {
		t.Fatal("no page was found in what the browser printed")
	}
	return n
}

// TestAccessible asks axe-core, where the tools of .ci are installed, for contrast, alternatives, order of headings and
// the rest.
func TestAccessible(t *testing.T) {
	axe, err := os.ReadFile("../../../.ci/node_modules/axe-core/axe.min.js")
	if err != nil {
		if os.Getenv("OUTLAST_BROWSER") != "" {
			t.Fatalf("OUTLAST_BROWSER is set, but axe-core is not installed: npm ci --prefix .ci (%v)", err)
		}
		t.Skip("axe-core is not installed: npm ci --prefix .ci")
	}
	ask := func(home, lang string, size int) {
		t.Run(lang+" "+home, func(t *testing.T) {
			ctx := browser(t)
			p := planOf(t, home)
			if err := chromedp.Do(ctx, chromedp.EmulateViewport(sizes[size].width, sizes[size].height)); err != nil {
				t.Fatal(err)
			}
			open(t, ctx, write(t, p, paper.Options{Lang: lang, Year: yearOf(t, p)}))
			accessible(t, ctx, string(axe))
		})
	}
	for i, home := range []string{"clinic", "cottage", "farmhouse", "overloaded"} {
		ask(home, "en", i%2)
	}
	for i, lang := range words.Languages()[1:] {
		ask("farmhouse", lang, i%2)
	}
}

func accessible(t *testing.T, ctx context.Context, axe string) {
	t.Helper()
	if _, err := chromedp.Run(ctx, chromedp.Evaluate[bool](axe+"; true")); err != nil {
		t.Fatal(err)
	}
	const ask = `axe.run(document, {resultTypes: ["violations"]}).then(r => JSON.stringify({passes: r.passes.length,
		violations: r.violations.map(v => v.id + ": " + v.help + ": " + v.nodes.slice(0, 3).map(n => n.html.slice(0, 120)).join(" | "))}))`
	got, err := chromedp.Run(ctx, chromedp.Evaluate[string](ask, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatal(err)
	}
	var result struct {
		Passes     int
		Violations []string
	}
	if err := json.Unmarshal([]byte(got), &result); err != nil {
		t.Fatal(err)
	}
	if result.Passes < 15 {
		t.Errorf("only %d rules were met at all: the test asks nothing", result.Passes)
	}
	for _, v := range result.Violations {
		t.Error(v)
	}
}
