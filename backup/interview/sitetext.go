package interview

import (
	"math"
	"strconv"
	"strings"

	"outlast/backup/draft"
	"outlast/backup/phrase"
	"outlast/catalog/strict"
)

// SiteText writes the site file of what was answered, with some equipment. Behind each figure stands whether it was
// answered or assumed, in the language of the interview.
func (in *Interview) SiteText(eq Equipment) string {
	return strings.TrimSpace(in.write(eq).String()) + "\n"
}

// Assumed lists what nobody knew, and what is taken in its place, in the order of the site file.
func (in *Interview) Assumed(eq Equipment) []string { return in.write(eq).assumed }

// writer writes a site file, and lists what was assumed.
type writer struct {
	draft.Writer
	say     func(phrase.Phrase) string
	assumed []string
}

// assume lists something that was taken for want of an answer, and gives the comment for it.
func (w *writer) assume(what, taken phrase.Phrase) phrase.Phrase {
	w.assumed = append(w.assumed, w.say(phrase.Of("%s: %s", what, taken)))
	return phrase.Of("assumed: %s", taken)
}

// key writes a key with a comment.
func (w *writer) key(name, value string, says phrase.Phrase) { w.Key(name, value, w.say(says)) }

// missing writes a comment in the place of a key that is not written.
func (w *writer) missing(key string, says phrase.Phrase) { w.Comment(key + ": " + w.say(says)) }

func answered(text string) phrase.Phrase { return phrase.Of("answered: %q", strict.Clip(text)) }

func num(v float64) string { return draft.Num(v) }

func (in *Interview) write(eq Equipment) *writer {
	w := &writer{say: in.say}
	from := phrase.Of("First site file, from an interview.")
	if in.loads != "" {
		from = phrase.Of("First site file, from a list of loads.")
	}
	w.Comment(in.say(from) + " " + in.say(phrase.Of("Beside each figure stands what was answered, or what is assumed as "+
		"nobody knew it: put what is known in its place, and plan again: outlast plan FILE. What rests on a class of "+
		"appliances is typical, not measured.")))
	w.Line("")
	in.writeHome(w)
	in.writeOutage(w)
	in.writeEquipment(w, eq)
	in.writeLoads(w)
	in.writeArray(w, eq)
	in.writeGenerator(w)
	return w
}

// supplied is the supply that was answered, or the one taken where nobody knew.
func (in *Interview) supplied() supply {
	if s, err := parseSupply(in.known(keySupply)); err == nil {
		return s
	}
	return supplies[0]
}

func (in *Interview) writeHome(w *writer) {
	w.Line("[site]")
	if name := in.known(keyName); name != "" {
		w.key("name", strconv.Quote(name), answered(name))
	} else {
		w.key("name", strconv.Quote(in.say(unnamed)), phrase.Of("assumed: not named"))
	}
	s := in.supplied()
	var says phrase.Phrase
	if a := in.known(keySupply); a != "" {
		says = answered(a)
	} else {
		says = w.assume(phrase.Of("Supply"), s.short)
	}
	w.key("nominal_v", num(s.volts), phrase.Of("%s; line to neutral", says))
	w.Key("phases", strconv.Itoa(s.phases), "")
	if s.frequency != 50 {
		w.key("frequency_hz", num(s.frequency), phrase.Of("assumed: usual with such volts"))
	}
	if s.american() {
		w.key("units", `"us"`, phrase.Of("assumed: papers say Fahrenheit and AWG too"))
	}
	if a := in.known(keyLatitude); a != "" {
		v, _ := number(a)
		w.key("latitude", num(v), answered(a))
	} else {
		w.missing("latitude", w.assume(phrase.Of("Latitude"), phrase.Of("none, so heating and cooling run in all months")))
	}
	if a := in.known(keyAltitude); a != "" {
		v, _ := withUnit(a, "m")
		w.key("altitude_m", num(v), answered(a))
	} else {
		w.key("altitude_m", num(unknownAltitudeM), w.assume(phrase.Of("Height above the sea"),
			phrase.Of("%g m, most inverters keep full power", unknownAltitudeM)))
	}
	in.writeClimate(w)
	if in.hasPanels() {
		in.writeColdestAir(w)
	}
	w.Line("")
}

// writeColdestAir tells the cold that decides how many panels a string may have. Where nobody knows it, the reader of the
// site file takes what is to be expected at most.
func (in *Interview) writeColdestAir(w *writer) {
	if a := in.known(keyAir); a != "" {
		v, _ := parseCelsius(a)
		w.key("coldest_air_c", num(v), answered(a))
		return
	}
	w.missing("coldest_air_c", w.assume(phrase.Of("Coldest air outdoors"),
		phrase.Of("what is to be expected at most at that latitude and height; ask again before strings are built")))
}

func (in *Interview) writeClimate(w *writer) {
	p := unknownPlace
	a := in.known(keyStands)
	if a != "" {
		p, _ = parsePlace(a)
	}
	if c := in.known(keyColdest); c != "" {
		v, _ := parseCelsius(c)
		says := answered(c)
		if a != "" {
			says = phrase.Of("the battery stands %s, answered: %q", p.label, strict.Clip(c))
		}
		w.key("coldest_c", num(v), says)
	} else {
		c := phrase.Measure(num(p.coldestC) + " C")
		taken := phrase.Of("%s, own rule for a battery %s", c, p.label)
		if a == "" {
			taken = phrase.Of("%s, own rule for a battery %s, as nobody knew where it stands", c, p.label)
		}
		w.key("coldest_c", num(p.coldestC), w.assume(phrase.Of("Coldest air at the battery"), taken))
	}
	if h := in.known(keyHottest); h != "" {
		v, _ := parseCelsius(h)
		w.key("hottest_c", num(v), answered(h))
	} else {
		w.key("hottest_c", num(unknownHottestC), w.assume(phrase.Of("Hottest air at the inverter"),
			phrase.Symbols("%s", phrase.Measure(num(unknownHottestC)+" C"))))
	}
}

func (in *Interview) writeOutage(w *writer) {
	w.Line("[outage]")
	if a := in.known(keyHours); a != "" {
		v, _ := withUnit(a, "h")
		w.key("autonomy_h", num(v), answered(a))
	} else {
		w.key("autonomy_h", num(unknownHours), w.assume(phrase.Of("Hours that the battery must last"),
			phrase.Symbols("%g h", unknownHours)))
	}
	w.Line("")
}

func (in *Interview) writeEquipment(w *writer, eq Equipment) {
	w.Line("[inverter]")
	w.key("use", strconv.Quote(eq.Inverter), in.why(keyInverter, eq))
	w.Key("count", strconv.Itoa(eq.Count), "")
	w.Line("")
	w.Line("[bank]")
	w.key("use", strconv.Quote(eq.Battery), in.why(keyBattery, eq))
	w.key("strings", strconv.Itoa(eq.Strings), eq.StringsNote)
	w.Line("")
}

// why tells where a piece of equipment comes from.
func (in *Interview) why(key string, eq Equipment) phrase.Phrase {
	if a := in.known(key); a != "" && !IsNone(a) {
		return answered(a)
	}
	return eq.Note
}

// writeLoads writes what stays on; what no class fits, and what lies between lines, gets a circuit of its own before
// it.
func (in *Interview) writeLoads(w *writer) {
	if in.loads != "" {
		w.Add(in.loads)
		return
	}
	list := in.listed()
	if in.known(KeyStaysOn) == "" {
		w.Comment(in.say(phrase.Of("What stays on? %s", w.assume(phrase.Of("What stays on"),
			phrase.Of("the least that a home keeps on, %s", in.basicsSaid())))))
		w.Line("")
	}
	if in.known(keyDepends) == "" {
		w.Comment(in.say(phrase.Of("Who depends on a machine? %s", w.assume(phrase.Of("Who depends on a machine"),
			nobodyBut(list)))))
		w.Line("")
	}
	for _, l := range list {
		if l.own != "" {
			in.writeOwn(w, l)
		} else {
			in.writeClass(w, l)
		}
	}
}

// nobodyBut is who is taken to depend on a machine where nobody says: it names what is listed and somebody depends on by
// what it is.
func nobodyBut(list []listed) phrase.Phrase {
	var names []phrase.Phrase
	for _, l := range list {
		if l.own == "" && l.class.Medical {
			names = append(names, labelOf(l.class))
		}
	}
	if names == nil {
		return phrase.Of("nobody; ask again before anything is built")
	}
	return phrase.Of("nobody, but for %s; ask again before anything is built", phrase.Separated(names, ", "))
}

func (in *Interview) writeCircuit(w *writer, id, label string, phase string) {
	w.Line("[[circuit]]")
	w.Key("id", strconv.Quote(id), "")
	w.Key("label", strconv.Quote(label), "")
	if phase != "" {
		w.Key("phase", phase, "")
	}
	w.Key("board", `"backup"`, "")
	w.Line("")
}

func (in *Interview) writeOwn(w *writer, l listed) {
	name := w.Unique(l.own, " ")
	id := w.Unique("other", "-")
	phase := ""
	if in.supplied().phases > 1 {
		phase = `"any"`
	}
	in.writeCircuit(w, id, name, phase)
	w.Line("[[load]]")
	w.key("name", strconv.Quote(name), answered(l.said))
	w.Key("circuit", strconv.Quote(id), "")
	w.quantity(l)
	w.Key("running_w", num(l.runningW), "")
	if l.hours > 0 {
		w.Key("hours_per_day", num(l.hours), "")
	} else {
		w.key("hours_per_day", num(dayH), w.assume(phrase.Name(name), phrase.Of("on all day")))
	}
	w.depends(l, false)
	w.Line("")
}

func (w *writer) quantity(l listed) {
	if l.quantity != 1 {
		w.Key("quantity", strconv.Itoa(l.quantity), "")
	}
}

func (w *writer) depends(l listed, told bool) {
	if l.depends && !told {
		w.key("medical", "true", phrase.Of("somebody depends on it"))
		w.Key("priority", "1", "")
	}
}

// writeClass writes a load of a class, with what its item and the plate of its motor tell.
func (in *Interview) writeClass(w *writer, l listed) {
	says := answered(l.said)
	if in.known(KeyStaysOn) == "" && !l.depends {
		says = phrase.Of("assumed")
	}
	label, plateKey := labelOf(l.class), keyPlate+" "+l.class.ID
	p, toldPlate := plate{}, false
	if a := in.known(plateKey); a != "" {
		p, _ = parsePlate(a)
		toldPlate = true
	}
	if size := p.outputW(); size > 0 {
		kind, _, _ := sizeOf(l.class.ID)
		var fits bool
		l.class, fits = in.ofSize(kind, size)
		if l.unsized, l.ofSizeW = false, size; fits {
			l.ofSizeW = 0
		}
	}
	running, runningNote := l.runningW, phrase.Of("answered")
	out := outputOf(l.class)
	switch {
	case p.amps > 0:
		running, runningNote = math.Max(1, math.Round(p.runningVA(in.supplied())*l.class.PowerFactor)),
			phrase.Of("by the amps of its plate, at the power factor of the class")
	case running > 0 || l.ofSizeW == 0:
	case l.ofSizeW > out:
		running = math.Ceil(l.class.Typical.RunningW * l.ofSizeW / out)
		runningNote = phrase.Of("a motor of %g W: the largest class, raised in proportion", math.Round(l.ofSizeW))
		w.assume(label, phrase.Of("%g W running, the largest class raised in proportion", running))
	default:
		says = phrase.Of("%s; %g W: the next larger class", says, math.Round(l.ofSizeW))
	}
	if l.unsized {
		says = phrase.Separated([]phrase.Phrase{says, w.assume(label,
			phrase.Of("the largest of its kind, as no size was told; its plate brings it down"))}, "; ")
	} else if in.answers[plateKey] == Unknown && l.motor() {
		w.assume(label, phrase.Of("power and start typical of the class, as nobody knew its plate"))
	}
	circuit := ""
	if toldPlate && p.betweenLines(in.supplied()) {
		circuit = w.Unique(l.class.ID, "-")
		in.writeCircuit(w, circuit, in.say(labelOf(l.class)), "0")
	}
	w.Line("[[load]]")
	w.key("use", strconv.Quote(l.class.ID), says)
	if circuit != "" {
		w.key("circuit", strconv.Quote(circuit), phrase.Of("between lines, by the volts of its plate"))
	}
	w.quantity(l)
	if running > 0 {
		w.key("running_w", num(running), runningNote)
	}
	if l.hours > 0 {
		w.key("hours_per_day", num(l.hours), phrase.Of("answered"))
	}
	in.writeMotor(w, l, p)
	w.depends(l, l.class.Medical)
	w.Line("")
}

// writeMotor writes what a plate tells of the start.
func (in *Interview) writeMotor(w *writer, l listed, p plate) {
	var keys []string
	switch {
	case p.kw > 0:
		keys = append(keys, "kw = "+num(p.kw))
	case p.hp > 0:
		keys = append(keys, "hp = "+num(p.hp))
	}
	switch {
	case p.lockedRotorA > 0:
		keys = append(keys, "locked_rotor_a = "+num(p.lockedRotorA))
	case p.code != "":
		keys = append(keys, "code = "+strconv.Quote(p.code))
	default:
		return
	}
	w.key("motor", "{ "+strings.Join(keys, ", ")+" }", phrase.Of("from its plate"))
}

func (in *Interview) writeArray(w *writer, eq Equipment) {
	a := in.known(keyPanels)
	p, _ := in.parsePanels(a)
	if p.count == 0 {
		if in.answers[keyPanels] == Unknown {
			w.assume(phrase.Of("Solar panels"), phrase.Of("none there"))
		}
		return
	}
	if in.known(keyLatitude) == "" {
		w.Comment(in.say(phrase.Of("Solar panels? %s", w.assume(phrase.Of("Solar panels"),
			phrase.Of("left out, as the latitude is not known: %s", a)))))
		w.Line("")
		return
	}
	if eq.PanelsOut {
		w.Comment(in.say(phrase.Of("Solar panels? %s", w.assume(phrase.Of("Solar panels"),
			phrase.Of("left out, as %s", eq.ArrayNote)))))
		w.Line("")
		return
	}
	if eq.Panels > 0 {
		p.count = eq.Panels
	}
	perString := eq.PerString
	if perString == 0 || p.count%perString != 0 {
		perString = p.layouts()[0]
	}
	w.Line("[[array]]")
	says := answered(a)
	if p.watts != p.module.RatedW || !strings.Contains(a, " ") {
		says = phrase.Of("%s; the nearest class of the catalog", says)
	}
	w.key("use", strconv.Quote(p.module.ID), says)
	chosen := phrase.Of("chosen here")
	if eq.Panels > 0 {
		taken := phrase.Of("%d are planned with, as %s", p.count, eq.ArrayNote)
		chosen = phrase.Of("chosen here: %s", taken)
		w.assume(phrase.Of("Solar panels"), taken)
	}
	w.key("modules_per_string", strconv.Itoa(perString), chosen)
	w.Key("strings", strconv.Itoa(p.count/perString), "")
	in.writePlane(w)
	if s := in.known(keySun); s != "" {
		months, _ := parseSun(s)
		var list []string
		for _, v := range months {
			list = append(list, num(v))
		}
		w.key("monthly_kwh_m2_day", "["+strings.Join(list, ", ")+"]", phrase.Of("answered"))
	} else {
		w.missing("monthly_kwh_m2_day", w.assume(phrase.Of("Sun"), phrase.Of("not known, so what the panels give is not told")))
	}
	w.Line("")
}

// writePlane tells how the panels lie: flat, where the direction is not known, as flat ones give less in winter than
// those that face the sun.
func (in *Interview) writePlane(w *writer) {
	slope, facing := in.known(keySlope), in.known(keyFacing)
	tilt, _ := withUnit(slope, "°")
	azimuth, _ := parseFacing(facing)
	switch {
	case slope != "" && facing != "":
		w.key("tilt_deg", num(tilt), answered(slope))
		w.key("azimuth_deg", num(azimuth), answered(facing))
	default:
		w.key("tilt_deg", "0", w.assume(phrase.Of("How the panels lie"), phrase.Of("flat, as slope or direction is not known")))
		w.key("azimuth_deg", num(azimuth), phrase.Of("counts for nothing while they lie flat"))
	}
}

func (in *Interview) writeGenerator(w *writer) {
	a := in.known(keyGenerator)
	g, _ := in.parseGenerator(a)
	if g.id == "" && g.ratedVA == 0 {
		if in.answers[keyGenerator] == Unknown {
			w.assume(phrase.Of("Generator"), phrase.Of("none there"))
		}
		return
	}
	w.Line("[generator]")
	if g.id != "" {
		w.key("use", strconv.Quote(g.id), answered(a))
		w.Line("")
		return
	}
	w.key("rated_va", num(g.ratedVA), answered(a))
	w.key("power_factor", num(unknownPF), phrase.Of("assumed: usual of sets"))
	if g.fuel != "" {
		w.Key("fuel", strconv.Quote(g.fuel), "")
	} else {
		w.missing("fuel", w.assume(phrase.Of("Fuel of the generator"),
			phrase.Of("not known, so it is taken to lose as much by height and heat as petrol does")))
	}
	if s := in.supplied(); s.phases > 1 {
		w.key("phases", strconv.Itoa(s.phases), phrase.Of("assumed: as the supply"))
	}
	w.Line("")
}
