package drawing

import (
	"strconv"
	"strings"

	"outlast/backup/conductors"
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
)

// A lineLayout says where the parts of the single-line diagram stand, in pixels. On a phone the diagram goes downwards
// from the grid to the backup board, so that nothing of it is beside the screen.
type lineLayout struct {
	w        float64
	upright  bool
	gridX    float64    // the supply comes in here
	mainY    float64    // main board
	mainBar  [2]float64 // from, to
	mainWays [2]float64 // the first, and how many there is room for
	feedX    float64    // feeder to the inverter, which stands below
	feedText labelPlace
	bypassX  float64 // feeder around the inverter
	bypass   labelPlace
	earthBar [3]float64 // of the main board: from, to, y

	invY       float64
	generatorX float64
	arrayX     [2]float64 // the first, and the pitch
	arrayY     float64
	arrays     int // how many there is room for
	arrayText  labelPlace
	bankText   float64 // width

	outX        float64 // the output turns down here, or ends in Q3
	switchX     float64
	switchY     float64
	switchText  labelPlace
	backupX     float64 // feed of the backup board
	backupText  labelPlace
	backupY     float64 // backup board
	backupBar   [2]float64
	backupWays  [2]float64
	backupEarth [2]float64
	earthX      float64 // the protective conductor goes down here
	legendY     float64
	legend      int // columns
}

// A labelPlace is where words stand beside a symbol: so far from it, on which side, and how wide.
type labelPlace struct {
	dx, dy float64
	anchor string
	most   float64
}

// Heights that both layouts share.
const (
	wayPitch = 24.0
	invHalf  = 32.0
	legendH  = 40.0
)

var (
	lineWide = lineLayout{w: 700, gridX: 78, mainY: 214, mainBar: [2]float64{20, 404}, mainWays: [2]float64{40, 6},
		feedX: 232, feedText: labelPlace{10, 18, left, 126},
		bypassX: 376, bypass: labelPlace{10, 18, left, 78}, earthBar: [3]float64{470, 520, 214},
		invY: 394, generatorX: 52, arrayX: [2]float64{172, -62}, arrayY: 452, arrays: 3,
		arrayText: labelPlace{-12, 20, end, 60}, bankText: 190,
		outX: 330, switchX: 446, switchY: 382, switchText: labelPlace{14, -38, left, 230}, backupX: 564,
		backupText: labelPlace{12, 16, left, 110}, backupY: 470,
		backupBar: [2]float64{436, 652}, backupWays: [2]float64{450, 9}, backupEarth: [2]float64{662, 694}, earthX: 688,
		legendY: 592, legend: 4}
	lineNarrow = lineLayout{w: 340, upright: true, gridX: 36, mainY: 214, mainBar: [2]float64{10, 322},
		mainWays: [2]float64{22, 4}, feedX: 146, feedText: labelPlace{10, 18, left, 86},
		bypassX: 312, bypass: labelPlace{-12, 18, end, 76}, earthBar: [3]float64{284, 334, 150},
		invY: 394, generatorX: 44, arrayX: [2]float64{98, -56}, arrayY: 452, arrays: 2,
		arrayText: labelPlace{8, 20, left, 54}, bankText: 84,
		outX: 244, switchX: 278, switchY: 612, switchText: labelPlace{-36, 20, end, 150}, backupX: 278,
		backupText: labelPlace{-14, 20, end, 140}, backupY: 716,
		backupBar: [2]float64{10, 290}, backupWays: [2]float64{24, 11}, backupEarth: [2]float64{300, 336}, earthX: 332,
		legendY: 812, legend: 2}
)

// SingleLine is the diagram of the whole plant with one line for all conductors.
func SingleLine(r *findings.Report) *doc.Figure {
	p := r.Plan
	f := &doc.Figure{ID: "fig-line", Caption: r.Say("line.caption"), Describe: r.Say("line.describe")}
	switch n := len(p.Site.Arrays); {
	case n == 1:
		f.Describe += " " + r.Say("line.describe-array")
	case n > 1:
		f.Describe += " " + r.Say("line.describe-arrays", n)
	}
	if p.Site.Generator != nil {
		f.Describe += " " + r.Say("line.describe-generator")
	}
	draw := func(l lineLayout) *drawing {
		d := &lineDrawing{&drawing{w: l.w}, l, r}
		d.supply()
		d.inverter()
		d.output()
		d.bank()
		d.arrays()
		d.generator()
		d.backup()
		d.earths()
		d.legend()
		return d.drawing
	}
	f.Wide = draw(lineWide).svg("fig-line-w", f.Caption, f.Describe)
	f.Narrow = draw(lineNarrow).svg("fig-line-n", f.Caption, f.Describe)
	return f
}

// lineDrawing is the diagram under work.
type lineDrawing struct {
	*drawing
	l lineLayout
	r *findings.Report
}

// mark labels a device with its mark, its job and, where they are known, its rating and its conductor.
func (d *lineDrawing) mark(x, y float64, at labelPlace, id string, texts ...string) {
	x, y = x+at.dx, y+at.dy
	for i, line := range wrap(id, at.most, sizeText*1.06, 2) { // bold letters are wider
		if i > 0 {
			y += 13
		}
		d.text(x, y, at.anchor, "strong", line)
	}
	for _, text := range texts {
		if text == "" {
			continue
		}
		for _, line := range wrap(text, at.most, sizeSmall, 3) {
			y += 12
			d.text(x, y, at.anchor, "small", line)
		}
	}
}

// supply is everything up to the main board: the public supply, the meter, the current sensor, the main switch.
func (d *lineDrawing) supply() {
	l, r := d.l, d.r
	x := l.gridX
	d.at(x, 34, 0, func() { d.source("") })
	d.text(x+24, 32, left, "strong", r.Say("line.grid"))
	d.text(x+24, 46, left, "small", r.SupplyText())
	d.line(x, 49, x, 66, "wire")
	d.at(x, 66, 0, d.meter)
	d.text(x+24, 82, left, "", r.Say("line.meter"))
	d.line(x, 90, x, 102, "wire")
	d.at(x, 102, 0, d.sensor)
	d.text(x+24, 112, left, "strong accent", "T1")
	d.text(x+42, 112, left, "accent", r.Say("line.sensor"))
	d.text(x+24, 125, left, "small accent", r.Say("line.sensor-where"))
	d.line(x, 122, x, 140, "wire")
	d.at(x, 140, 0, d.isolator)
	d.mark(x, 140, labelPlace{12, 16, left, 180}, "Q1", r.Say("line.main-switch"))
	d.line(x, 174, x, l.mainY, "wire")
	d.line(l.mainBar[0], l.mainY, l.mainBar[1], l.mainY, "bus")
	d.text(l.mainBar[1], l.mainY-8, end, "strong", r.Say("line.main-board"))
	d.ways(false, l.mainWays, l.mainY)
	d.at(l.feedX, l.mainY, 0, d.breaker)
	d.mark(l.feedX, l.mainY, l.feedText, "Q2", r.Say("line.feeder"), r.Rated(r.Run(conductors.Input)),
		r.Cable(r.Run(conductors.Input)))
	d.at(l.bypassX, l.mainY, 0, d.breaker)
	d.mark(l.bypassX, l.mainY, l.bypass, "Q4", r.Say("line.bypass"))
}

// ways are the outgoing circuits of a board, as many as there is room for.
func (d *lineDrawing) ways(onBackup bool, room [2]float64, y0 float64) {
	n := 0
	for _, c := range d.r.Plan.Circuits {
		if c.OnBackup == onBackup {
			n++
		}
	}
	x0, most := room[0], int(room[1])
	for i := range min(n, most) {
		x := x0 + float64(i)*wayPitch
		if i == most-1 && n > most {
			d.text(x, y0+24, middle, "strong", "…")
			d.text(x-4, y0+66, left, "small", "– "+findings.BoardRef(onBackup, n))
			break
		}
		d.at(x, y0, 0, d.breaker)
		d.line(x, y0+switchLen, x, y0+switchLen+14, "wire")
		d.path("M"+px(x-3)+" "+px(y0+switchLen+13)+"h6l-3 6z", "wire dark")
		d.text(x, y0+66, middle, "small", findings.BoardRef(onBackup, i+1))
	}
	if n == 0 {
		for i, line := range wrap(d.r.Say("line.no-circuits"), float64(most)*wayPitch, sizeSmall, 2) {
			d.text(x0, y0+24+12*float64(i), left, "small", line)
		}
	}
}

// inverter is the inverter with its input.
func (d *lineDrawing) inverter() {
	l, r := d.l, d.r
	g := r.Plan.Inverter
	x := l.feedX
	if r.Plan.Site.Generator != nil {
		// In the first position the generator feeds the inverter, in the second the grid: never both.
		d.path("M"+px(x)+" "+px(l.mainY+switchLen)+"V304H"+px(x+12)+"V312", "wire")
		d.at(x, 312, 0, func() { d.changeover(false) })
		d.line(x, 312+switchLen, x, l.invY-invHalf, "wire")
		d.mark(x, 312, labelPlace{20, 15, left, 130}, "S2", r.Say("line.source-switch"))
	} else {
		d.line(x, l.mainY+switchLen, x, l.invY-invHalf, "wire")
	}
	d.at(x, l.invY, 0, func() { d.converter(invHalf) })
	d.text(x+invHalf+8, l.invY-22, left, "strong", r.Say("line.inverter"))
	d.text(x+invHalf+8, l.invY-9, left, "small", strconv.Itoa(g.Count)+" × "+r.Amount(g.Unit.RatedVA, "VA"))
}

// output leads through its breaker to the changeover with three positions, where the way around the inverter arrives
// too.
func (d *lineDrawing) output() {
	l, r := d.l, d.r
	x, y := l.feedX+invHalf, l.invY
	texts := []string{r.Say("line.output"), r.Rated(r.Run(conductors.Feeder)), r.Cable(r.Run(conductors.Feeder))}
	positions := []string{r.Say("line.bypass-switch")}
	if l.upright {
		positions = strings.Split(positions[0], ", ")
		const top = 430.0
		d.path("M"+px(x)+" "+px(y)+"H"+px(l.outX)+"V"+px(top), "wire")
		d.at(l.outX, top, 0, d.breaker)
		d.mark(l.outX, top, labelPlace{10, 14, left, 56}, "Q3", texts...)
		d.path("M"+px(l.outX)+" "+px(top+switchLen)+"V"+px(l.switchY-10)+"H"+px(l.switchX-12)+"V"+px(l.switchY), "wire")
		d.path("M"+px(l.bypassX)+" "+px(l.mainY+switchLen)+"V"+px(l.switchY-10)+"H"+px(l.switchX+12)+"V"+px(l.switchY),
			"wire")
		d.at(l.switchX, l.switchY, 0, func() { d.changeover(true) })
		for _, p := range []struct {
			dx, dy float64
			text   string
		}{{-19, 13, "1"}, {0, 5, "0"}, {19, 13, "2"}} {
			d.text(l.switchX+p.dx, l.switchY+p.dy, middle, "small", p.text)
		}
	} else {
		d.line(x, y, l.outX, y, "wire")
		d.at(l.outX+switchLen, y, 1, d.breaker)
		d.mark(l.outX+switchLen/2, y, labelPlace{0, 20, middle, 92}, "Q3", texts...)
		// The changeover lies on its side: position 1 is below, where the inverter comes in.
		d.at(l.switchX, l.switchY, -1, func() { d.changeover(true) })
		d.line(l.outX+switchLen, y, l.switchX, y, "wire")
		d.path("M"+px(l.bypassX)+" "+px(l.mainY+switchLen)+"V"+px(l.switchY-12)+"H"+px(l.switchX), "wire")
		for _, p := range []struct {
			dy   float64
			text string
		}{{25, "1"}, {3.5, "0"}, {-16, "2"}} {
			d.text(l.switchX-3, l.switchY+p.dy, middle, "small", p.text)
		}
	}
	d.mark(l.switchX, l.switchY, l.switchText, "S1", positions...)
}

// bank is the battery side.
func (d *lineDrawing) bank() {
	l, r := d.l, d.r
	b := r.Plan.Bank
	x, y := l.feedX, l.invY+invHalf
	d.line(x, y, x, y+10, "wire dc")
	d.at(x, y+10, 0, d.isolator)
	d.at(x, y+10+switchLen, 0, d.fuse)
	at := labelPlace{12, 0, left, l.bankText}
	d.mark(x, y+26, at, "Q6")
	d.mark(x, y+10+switchLen+9, at, "F1", r.Rated(r.Run(conductors.Bank)), r.Cable(r.Run(conductors.Bank)))
	bank := y + 10 + switchLen + fuseLen + 6
	d.line(x, bank-6, x, bank+8, "wire dc")
	d.at(x, bank+8, 0, d.battery)
	at.dx, at.most = 22, l.bankText-4
	d.mark(x, bank+26, at, r.Say("line.bank"), r.Count(b.Strings, "unit.strings")+" × "+strconv.Itoa(b.Series),
		r.Amount(b.NominalV(), "V")+", "+r.Amount(b.CapacityAh(), "Ah"))
}

// arrays are the photovoltaic side: each array with an isolator of its own, as many as there is room for.
func (d *lineDrawing) arrays() {
	l, r := d.l, d.r
	all := r.Plan.Site.Arrays
	if len(all) == 0 {
		return
	}
	y := l.arrayY
	drawn := min(len(all), l.arrays)
	x := func(i int) float64 { return l.arrayX[0] + l.arrayX[1]*float64(drawn-1-i) }
	d.path("M"+px(l.feedX-invHalf)+" "+px(l.invY+14)+"H"+px(l.feedX-invHalf-12)+"V"+px(y)+"H"+px(x(0)), "wire dc")
	for i := range drawn {
		if i == drawn-1 && len(all) > drawn {
			d.line(x(i), y, x(i), y+14, "wire dc")
			d.text(x(i), y+30, middle, "strong", "…")
			d.text(x(i), y+46, middle, "small", "– "+r.OfArray("Q7", len(all)-1))
			break
		}
		a := all[i]
		d.at(x(i), y, 0, d.isolator)
		d.mark(x(i), y, l.arrayText, r.OfArray("Q7", i))
		d.line(x(i), y+switchLen, x(i), y+switchLen+12, "wire dc")
		d.at(x(i), y+switchLen+12, 0, d.array)
		d.mark(x(i), y+switchLen+60, labelPlace{0, 0, middle, l.arrayText.most}, arrayShort(r, i),
			r.Amount(a.Module.RatedW*float64(a.ModulesPerString*a.Strings), "W"), r.Cable(r.ArrayRun(i)))
	}
}

// arrayShort names an array where there is little room.
func arrayShort(r *findings.Report, i int) string {
	if len(r.Plan.Site.Arrays) == 1 {
		return r.Say("line.array-short")
	}
	return strconv.Itoa(i + 1)
}

// generator is the generator up to the changeover in front of the inverter.
func (d *lineDrawing) generator() {
	g := d.r.Plan.Site.Generator
	if g == nil {
		return
	}
	x := d.l.generatorX
	d.at(x, 388, 0, func() { d.source("G") })
	d.mark(x, 418, labelPlace{0, 0, middle, 100}, d.r.Say("line.generator"), d.r.Amount(g.RatedVA, "VA"))
	d.line(x, 356, x, 373, "wire")
	d.at(x, 322, 0, d.breaker)
	d.mark(x, 322, labelPlace{10, 16, left, 80}, "Q8")
	d.path("M"+px(x)+" 322V304H"+px(d.l.feedX-12)+"V312", "wire")
}

// backup is the backup board and its circuits.
func (d *lineDrawing) backup() {
	l, r := d.l, d.r
	top := l.backupY - 54
	if l.upright {
		d.line(l.switchX, l.switchY+switchLen, l.backupX, top, "wire")
	} else {
		d.path("M"+px(l.switchX+switchLen)+" "+px(l.switchY)+"H"+px(l.backupX)+"V"+px(top), "wire")
	}
	d.at(l.backupX, top, 0, d.isolator)
	d.mark(l.backupX, top, l.backupText, "Q5", r.Say("line.main-switch"))
	d.line(l.backupX, top+switchLen, l.backupX, l.backupY, "wire")
	d.line(l.backupBar[0], l.backupY, l.backupBar[1], l.backupY, "bus")
	d.text(l.backupBar[0], l.backupY-8, left, "strong", r.Say("line.backup-board"))
	d.ways(true, l.backupWays, l.backupY)
}

// earths are the bars of the protective conductors, apart from the live ones: that of the main board is joined to the
// earth.
func (d *lineDrawing) earths() {
	l := d.l
	from, to, y := l.earthBar[0], l.earthBar[1], l.earthBar[2]
	name := "PE" // IEC 60445
	if d.r.American() {
		name = "EGC" // equipment grounding conductor, NEC article 100
	}
	d.line(from, y, to, y, "bus earth-bar")
	d.text((from+to)/2, y-8, middle, "small", name)
	d.at(from+12, y, 0, d.earth)
	d.path("M"+px(to)+" "+px(y)+"H"+px(l.earthX)+"V"+px(l.backupY), "wire dashed-short")
	d.line(l.backupEarth[0], l.backupY, l.backupEarth[1], l.backupY, "bus earth-bar")
	d.text((l.backupEarth[0]+l.backupEarth[1])/2, l.backupY+16, middle, "small", name)
}

// legend explains the symbols, and what the diagram leaves to the code.
func (d *lineDrawing) legend() {
	l, r := d.l, d.r
	y := l.legendY
	d.line(10, y-12, l.w-10, y-12, "grid")
	symbols := []struct {
		draw func()
		id   string
	}{{d.breaker, "breaker"}, {d.isolator, "isolator"}, {d.fuse, "fuse"}, {func() { d.changeover(true) }, "changeover"},
		{d.sensor, "sensor"}, {d.earth, "earth"},
		{func() { d.line(-14, 14, 14, 14, "wire dashed-short") }, "protective"},
		{func() { d.line(-14, 14, 14, 14, "wire dc") }, "direct"}}
	pitch := (l.w - 30) / float64(l.legend)
	for i, s := range symbols {
		x, y := 36+float64(i%l.legend)*pitch, y+float64(i/l.legend)*legendH
		d.at(x, y, 0, s.draw)
		for j, line := range wrap(r.Say("legend."+s.id), pitch-36, sizeSmall, 2) {
			d.text(x+24, y+14+float64(j)*12, left, "small", line)
		}
	}
	y += float64((len(symbols)+l.legend-1)/l.legend)*legendH + 16
	for _, line := range wrap(r.Say("line.note"), l.w-24, sizeSmall, 6) {
		d.text(12, y, left, "small", line)
		y += 12
	}
	d.h = y
}
