package paper

import "strconv"

// Places of the single-line diagram, in pixels.
const (
	lineW     = 700.0
	gridX     = 78.0  // the supply comes in here
	mainY     = 214.0 // main board
	feedX     = 222.0 // feeder to the inverter
	bypassX   = 340.0 // feeder around the inverter
	invX      = 212.0
	invY      = 394.0
	invHalf   = 32.0
	outY      = 394.0
	switchX   = 436.0 // common of the by-pass changeover
	backupX   = 560.0 // feed of the backup board
	backupY   = 470.0 // backup board
	wayPitch  = 24.0
	mostWaysM = 5
	mostWaysB = 9
)

// singleLine is the diagram of the whole plant with one line for all conductors.
func (r *report) singleLine() *Figure {
	p := r.plan
	f := &Figure{ID: "fig-line", Caption: r.say("line.caption"), Describe: r.say("line.describe")}
	switch n := len(p.Site.Arrays); {
	case n == 1:
		f.Describe += " " + r.say("line.describe-array")
	case n > 1:
		f.Describe += " " + r.say("line.describe-arrays", n)
	}
	if p.Site.Generator != nil {
		f.Describe += " " + r.say("line.describe-generator")
	}
	d := &drawing{w: lineW, h: 652}
	r.lineSupply(d)
	r.lineInverter(d)
	r.lineBank(d)
	r.lineArray(d)
	r.lineGenerator(d)
	r.lineBackup(d)
	r.lineLegend(d)
	f.Wide = d.svg("fig-line-w", f.Caption, f.Describe)
	return f
}

// mark labels a switch with its mark, its job and, where it is known, its rating.
func (r *report) mark(d *drawing, x, y float64, anchor, id string, texts ...string) {
	d.text(x, y, anchor, "strong", id)
	for i, text := range texts {
		d.text(x, y+12*float64(i+1), anchor, "small", text)
	}
}

// lineSupply is everything up to the main board: the public supply, the meter, the current sensor, the main switch.
func (r *report) lineSupply(d *drawing) {
	d.at(gridX, 34, 0, func() { d.source("") })
	d.text(gridX+24, 32, left, "strong", r.say("line.grid"))
	d.text(gridX+24, 46, left, "small", r.supplyText())
	d.line(gridX, 49, gridX, 66, "wire")
	d.at(gridX, 66, 0, d.meter)
	d.text(gridX+24, 82, left, "", r.say("line.meter"))
	d.line(gridX, 90, gridX, 102, "wire")
	d.at(gridX, 102, 0, d.sensor)
	d.text(gridX+24, 112, left, "strong accent", "T1")
	d.text(gridX+42, 112, left, "accent", r.say("line.sensor"))
	d.text(gridX+24, 125, left, "small accent", r.say("line.sensor-where"))
	d.line(gridX, 122, gridX, 140, "wire")
	d.at(gridX, 140, 0, d.isolator)
	r.mark(d, gridX+12, 156, left, "Q1", r.say("line.main-switch"))
	d.line(gridX, 174, gridX, mainY, "wire")
	d.line(20, mainY, 368, mainY, "bus")
	d.text(368, mainY-8, end, "strong", r.say("line.main-board"))
	r.ways(d, false, 62, mainY, mostWaysM)
	d.at(feedX, mainY, 0, d.breaker)
	r.mark(d, feedX+10, mainY+18, left, "Q2", r.say("line.feeder"), r.rated("cable-input"))
	d.at(bypassX, mainY, 0, d.breaker)
	r.mark(d, bypassX+10, mainY+18, left, "Q4", r.say("line.bypass"))
}

// ways are the outgoing circuits of a board, as many as there is room for.
func (r *report) ways(d *drawing, onBackup bool, x0, y0 float64, most int) {
	n := 0
	for _, c := range r.plan.Circuits {
		if c.OnBackup == onBackup {
			n++
		}
	}
	for i := range min(n, most) {
		x := x0 + float64(i)*wayPitch
		if i == most-1 && n > most {
			d.text(x, y0+24, middle, "strong", "…")
			d.text(x-4, y0+66, left, "small", "– "+boardRef(onBackup, n))
			break
		}
		d.at(x, y0, 0, d.breaker)
		d.line(x, y0+switchLen, x, y0+switchLen+14, "wire")
		d.path("M"+px(x-3)+" "+px(y0+switchLen+13)+"h6l-3 6z", "wire dark")
		d.text(x, y0+66, middle, "small", boardRef(onBackup, i+1))
	}
	if n == 0 {
		d.text(x0, y0+24, left, "small", r.say("line.no-circuits"))
	}
}

// lineInverter is the inverter with its input and its output up to the changeover that leads around it.
func (r *report) lineInverter(d *drawing) {
	g := r.plan.Inverter
	if r.plan.Site.Generator != nil {
		// In the first position the street feeds the inverter, in the second the generator: never both.
		d.line(feedX, mainY+switchLen, feedX, 298, "wire")
		d.path("M"+px(feedX)+" 298V306H"+px(invX+12)+"V312", "wire")
		d.at(invX, 312, 0, func() {
			d.line(-12, 0, -12, 8, "wire")
			d.line(12, 0, 12, 8, "wire")
			d.circle(-12, 10, 2, "wire hollow")
			d.circle(12, 10, 2, "wire hollow")
			d.line(0, 27, 11, 12, "wire")
			d.line(0, 27, 0, switchLen, "wire")
		})
		d.line(invX, 312+switchLen, invX, invY-invHalf, "wire")
		d.text(invX+20, 327, left, "strong", "S2")
		d.text(invX+20, 339, left, "small", r.say("line.source-switch"))
	} else {
		d.path("M"+px(feedX)+" "+px(mainY+switchLen)+"V330H"+px(invX)+"V"+px(invY-invHalf), "wire")
	}
	d.at(invX, invY, 0, func() { d.converter(invHalf) })
	d.text(invX+invHalf+8, invY+20, left, "strong", r.say("line.inverter"))
	d.text(invX+invHalf+8, invY+33, left, "small", strconv.Itoa(g.Count)+" × "+r.amount(g.Unit.RatedVA, "VA"))
	// Output, breaker, changeover.
	x := invX + invHalf
	d.line(x, outY, 330, outY, "wire")
	d.at(330+switchLen, outY, 1, d.breaker)
	r.mark(d, 347, outY+20, middle, "Q3", r.say("line.output"), r.rated("cable-feeder"))
	// The changeover lies on its side: position 1 is below, where the inverter comes in.
	d.at(switchX, outY-12, -1, d.changeover)
	d.line(330+switchLen, outY, switchX, outY, "wire")
	d.path("M"+px(bypassX)+" "+px(mainY+switchLen)+"V"+px(outY-24)+"H"+px(switchX), "wire")
	r.mark(d, switchX+14, outY-46, left, "S1", r.say("line.bypass-switch"))
}

// lineBank is the battery side.
func (r *report) lineBank(d *drawing) {
	b := r.plan.Bank
	y := invY + invHalf
	d.line(invX, y, invX, y+10, "wire dc")
	d.at(invX, y+10, 0, d.isolator)
	d.at(invX, y+10+switchLen, 0, d.fuse)
	r.mark(d, invX+12, y+34, left, "Q6, F1", r.say("line.bank-device"), r.rated("cable-bank"))
	bank := y + 10 + switchLen + fuseLen
	d.line(invX, bank, invX, bank+8, "wire dc")
	d.at(invX, bank+8, 0, d.battery)
	d.text(invX+22, bank+20, left, "strong", r.say("line.bank"))
	d.text(invX+22, bank+33, left, "small", r.count(b.Strings, "unit.strings")+" × "+strconv.Itoa(b.Series)+", "+r.amount(b.NominalV(), "V")+", "+r.amount(b.CapacityAh(), "Ah"))
}

// lineArray is the photovoltaic side.
func (r *report) lineArray(d *drawing) {
	arrays := r.plan.Site.Arrays
	if len(arrays) == 0 {
		return
	}
	const x = 112.0
	watts := 0.0
	for _, a := range arrays {
		watts += a.Module.RatedW * float64(a.ModulesPerString*a.Strings)
	}
	d.path("M"+px(invX-invHalf)+" "+px(invY+14)+"H"+px(x)+"V"+px(invY+44), "wire dc")
	d.at(x, invY+44, 0, d.isolator)
	r.mark(d, x-14, invY+64, end, "Q7", r.say("line.array-isolator"))
	d.line(x, invY+44+switchLen, x, invY+96, "wire dc")
	d.at(x, invY+96, 0, d.array)
	d.text(x, invY+146, middle, "strong", r.say("line.array"))
	d.text(x, invY+159, middle, "small", r.amount(watts, "W"))
}

// lineGenerator is the generator up to the changeover in front of the inverter.
func (r *report) lineGenerator(d *drawing) {
	g := r.plan.Site.Generator
	if g == nil {
		return
	}
	const x = 52.0
	d.at(x, 388, 0, func() { d.source("G") })
	d.text(x, 418, middle, "strong", r.say("line.generator"))
	d.text(x, 431, middle, "small", r.amount(g.RatedVA, "VA"))
	d.line(x, 356, x, 373, "wire")
	d.at(x, 322, 0, d.breaker)
	r.mark(d, x+10, 338, left, "Q8", r.say("line.generator-breaker"))
	d.path("M"+px(x)+" 322V306H"+px(invX-12)+"V312", "wire")
}

// lineBackup is the backup board and its circuits.
func (r *report) lineBackup(d *drawing) {
	d.path("M"+px(switchX+switchLen)+" "+px(outY-12)+"H"+px(backupX)+"V"+px(backupY-54), "wire")
	d.at(backupX, backupY-54, 0, d.isolator)
	r.mark(d, backupX+12, backupY-38, left, "Q5", r.say("line.backup-switch"))
	d.line(backupX, backupY-54+switchLen, backupX, backupY, "wire")
	d.line(436, backupY, 690, backupY, "bus")
	d.text(436, backupY-8, left, "strong", r.say("line.backup-board"))
	r.ways(d, true, 450, backupY, mostWaysB)
}

// lineLegend explains the symbols, and what the diagram leaves to the code.
func (r *report) lineLegend(d *drawing) {
	const y = 584.0
	d.line(20, y-12, lineW-10, y-12, "grid")
	for i, s := range []struct {
		draw func()
		id   string
	}{{d.breaker, "breaker"}, {d.isolator, "isolator"}, {d.fuse, "fuse"}, {d.changeover, "changeover"}, {d.sensor, "sensor"}, {d.earth, "earth"}} {
		x := 36 + float64(i)*114
		d.at(x, y, 0, s.draw)
		for j, line := range wrap(r.say("legend."+s.id), 92, sizeSmall, 2) {
			d.text(x+20, y+14+float64(j)*12, left, "small", line)
		}
	}
	d.text(20, y+60, left, "small", r.say("line.note"))
	d.at(36, mainY, 0, d.earth)
	d.at(678, backupY, 0, d.earth)
}
