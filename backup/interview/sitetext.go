package interview

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"outlast/backup/draft"
	"outlast/catalog/strict"
)

// SiteText writes the site file of what was answered, with some equipment. Behind each figure stands whether it was
// answered or assumed.
func (in *Interview) SiteText(eq Equipment) string {
	return strings.TrimSpace(in.write(eq).String()) + "\n"
}

// Assumed lists what nobody knew, and what is taken in its place, in the order of the site file.
func (in *Interview) Assumed(eq Equipment) []string { return in.write(eq).assumed }

// writer writes a site file, and lists what was assumed.
type writer struct {
	draft.Writer
	assumed []string
}

// assume lists something that was taken for want of an answer, and gives the comment for it.
func (w *writer) assume(what, taken string) string {
	w.assumed = append(w.assumed, what+": "+taken)
	return "assumed: " + taken
}

func answered(text string) string { return "answered: " + strict.Quote(text) }

func num(v float64) string { return draft.Num(v) }

func (in *Interview) write(eq Equipment) *writer {
	w := &writer{}
	from := "an interview"
	if in.loads != "" {
		from = "a list of loads"
	}
	w.Comment("First site file, from " + from +
		". Beside each figure stands what was answered, or what is assumed as nobody knew it: put what is " +
		"known in its place, and plan again: outlast plan FILE. What rests on a class of appliances is typical, not measured.")
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
		w.Key("name", strconv.Quote(name), answered(name))
	} else {
		w.Key("name", strconv.Quote(unnamed), "assumed: not named")
	}
	s := in.supplied()
	says := ""
	if a := in.known(keySupply); a != "" {
		says = answered(a)
	} else {
		says = w.assume("Supply", s.short())
	}
	w.Key("nominal_v", num(s.volts), says+"; line to neutral")
	w.Key("phases", strconv.Itoa(s.phases), "")
	if s.frequency != 50 {
		w.Key("frequency_hz", num(s.frequency), "assumed: usual with such volts")
	}
	if s.american() {
		w.Key("units", `"us"`, "assumed: papers say Fahrenheit and AWG too")
	}
	if a := in.known(keyLatitude); a != "" {
		v, _ := number(a)
		w.Key("latitude", num(v), answered(a))
	} else {
		w.Comment("latitude: " + w.assume("Latitude", "none, so heating and cooling run in all months"))
	}
	if a := in.known(keyAltitude); a != "" {
		v, _ := withUnit(a, "m")
		w.Key("altitude_m", num(v), answered(a))
	} else {
		w.Key("altitude_m", num(unknownAltitudeM), w.assume("Height above the sea",
			num(unknownAltitudeM)+" m, most inverters keep full power"))
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
		w.Key("coldest_air_c", num(v), answered(a))
		return
	}
	w.Comment("coldest_air_c: " + w.assume("Coldest air outdoors",
		"what is to be expected at most at that latitude and height; ask again before strings are built"))
}

func (in *Interview) writeClimate(w *writer) {
	p, says := unknownPlace, ""
	a := in.known(keyStands)
	if a != "" {
		p, _ = parsePlace(a)
		says = "the battery stands " + p.label + ", "
	}
	if c := in.known(keyColdest); c != "" {
		v, _ := parseCelsius(c)
		w.Key("coldest_c", num(v), says+answered(c))
	} else {
		taken := fmt.Sprintf("%g C, own rule for a battery %s", p.coldestC, p.label)
		if a == "" {
			taken += ", as nobody knew where it stands"
		}
		w.Key("coldest_c", num(p.coldestC), w.assume("Coldest air at the battery", taken))
	}
	if h := in.known(keyHottest); h != "" {
		v, _ := parseCelsius(h)
		w.Key("hottest_c", num(v), answered(h))
	} else {
		w.Key("hottest_c", num(unknownHottestC), w.assume("Hottest air at the inverter", num(unknownHottestC)+" C"))
	}
}

func (in *Interview) writeOutage(w *writer) {
	w.Line("[outage]")
	if a := in.known(keyHours); a != "" {
		v, _ := withUnit(a, "h")
		w.Key("autonomy_h", num(v), answered(a))
	} else {
		w.Key("autonomy_h", num(unknownHours), w.assume("Hours that the battery must last", num(unknownHours)+" h"))
	}
	w.Line("")
}

func (in *Interview) writeEquipment(w *writer, eq Equipment) {
	w.Line("[inverter]")
	w.Key("use", strconv.Quote(eq.Inverter), in.why(keyInverter, eq))
	w.Key("count", strconv.Itoa(eq.Count), "")
	w.Line("")
	w.Line("[bank]")
	w.Key("use", strconv.Quote(eq.Battery), in.why(keyBattery, eq))
	w.Key("strings", strconv.Itoa(eq.Strings), eq.StringsNote)
	w.Line("")
}

// why tells where a piece of equipment comes from.
func (in *Interview) why(key string, eq Equipment) string {
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
		w.Comment("What stays on? " + w.assume("What stays on",
			"the least that a home keeps on, "+strings.Join(basics, ", ")))
		w.Line("")
	}
	if in.known(keyDepends) == "" {
		w.Comment("Who depends on a machine? " + w.assume("Who depends on a machine",
			"nobody"+exceptMedical(list)+"; ask again before anything is built"))
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

// exceptMedical names what is listed and somebody depends on by what it is.
func exceptMedical(list []listed) string {
	var names []string
	for _, l := range list {
		if l.own == "" && l.class.Medical {
			names = append(names, l.class.Label)
		}
	}
	if names == nil {
		return ""
	}
	return ", but for " + strings.Join(names, ", ")
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
	w.Key("name", strconv.Quote(name), answered(l.said))
	w.Key("circuit", strconv.Quote(id), "")
	w.quantity(l)
	w.Key("running_w", num(l.runningW), "")
	if l.hours > 0 {
		w.Key("hours_per_day", num(l.hours), "")
	} else {
		w.Key("hours_per_day", num(dayH), w.assume(name, "on all day"))
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
		w.Key("medical", "true", "somebody depends on it")
		w.Key("priority", "1", "")
	}
}

// writeClass writes a load of a class, with what its item and the plate of its motor tell.
func (in *Interview) writeClass(w *writer, l listed) {
	says := answered(l.said)
	if in.known(KeyStaysOn) == "" && !l.depends {
		says = "assumed"
	}
	label, plateKey := l.class.Label, keyPlate+" "+l.class.ID
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
	running, runningNote := l.runningW, "answered"
	out := outputOf(l.class)
	switch {
	case p.amps > 0:
		running, runningNote = math.Max(1, math.Round(p.runningVA(in.supplied())*l.class.PowerFactor)),
			"by the amps of its plate, at the power factor of the class"
	case running > 0 || l.ofSizeW == 0:
	case l.ofSizeW > out:
		running = math.Ceil(l.class.Typical.RunningW * l.ofSizeW / out)
		runningNote = fmt.Sprintf("a motor of %g W: the largest class, raised in proportion", math.Round(l.ofSizeW))
		w.assume(label, fmt.Sprintf("%g W running, the largest class raised in proportion", running))
	default:
		says += fmt.Sprintf("; %g W: the next larger class", math.Round(l.ofSizeW))
	}
	if l.unsized {
		says += "; " + w.assume(label, "the largest of its kind, as no size was told; its plate brings it down")
	} else if in.answers[plateKey] == Unknown && l.motor() {
		w.assume(label, "power and start typical of the class, as nobody knew its plate")
	}
	circuit := ""
	if toldPlate && p.betweenLines(in.supplied()) {
		circuit = w.Unique(l.class.ID, "-")
		in.writeCircuit(w, circuit, l.class.Label, "0")
	}
	w.Line("[[load]]")
	w.Key("use", strconv.Quote(l.class.ID), says)
	if circuit != "" {
		w.Key("circuit", strconv.Quote(circuit), "between lines, by the volts of its plate")
	}
	w.quantity(l)
	if running > 0 {
		w.Key("running_w", num(running), runningNote)
	}
	if l.hours > 0 {
		w.Key("hours_per_day", num(l.hours), "answered")
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
	w.Key("motor", "{ "+strings.Join(keys, ", ")+" }", "from its plate")
}

func (in *Interview) writeArray(w *writer, eq Equipment) {
	a := in.known(keyPanels)
	p, _ := in.parsePanels(a)
	if p.count == 0 {
		if in.answers[keyPanels] == Unknown {
			w.assume("Solar panels", "none")
		}
		return
	}
	if in.known(keyLatitude) == "" {
		w.Comment("Solar panels? " + w.assume("Solar panels", "left out, as the latitude is not known: "+a))
		w.Line("")
		return
	}
	perString := eq.PerString
	if perString == 0 || p.count%perString != 0 {
		perString = p.layouts()[0]
	}
	w.Line("[[array]]")
	says := answered(a)
	if p.watts != p.module.RatedW || !strings.Contains(a, " ") {
		says += "; the nearest class of the catalog"
	}
	w.Key("use", strconv.Quote(p.module.ID), says)
	chosen := "chosen here"
	if eq.ArrayNote != "" {
		chosen += ", though " + eq.ArrayNote
		w.assume("Panels in a string", fmt.Sprintf("%d, though %s", perString, eq.ArrayNote))
	}
	w.Key("modules_per_string", strconv.Itoa(perString), chosen)
	w.Key("strings", strconv.Itoa(p.count/perString), "")
	in.writePlane(w)
	if s := in.known(keySun); s != "" {
		months, _ := parseSun(s)
		var list []string
		for _, v := range months {
			list = append(list, num(v))
		}
		w.Key("monthly_kwh_m2_day", "["+strings.Join(list, ", ")+"]", "answered")
	} else {
		w.Comment("monthly_kwh_m2_day: " + w.assume("Sun", "not known, so what the panels give is not told"))
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
		w.Key("tilt_deg", num(tilt), answered(slope))
		w.Key("azimuth_deg", num(azimuth), answered(facing))
	default:
		w.Key("tilt_deg", "0", w.assume("How the panels lie", "flat, as slope or direction is not known"))
		w.Key("azimuth_deg", num(azimuth), "counts for nothing while they lie flat")
	}
}

func (in *Interview) writeGenerator(w *writer) {
	a := in.known(keyGenerator)
	g, _ := in.parseGenerator(a)
	if g.id == "" && g.ratedVA == 0 {
		if in.answers[keyGenerator] == Unknown {
			w.assume("Generator", "none")
		}
		return
	}
	w.Line("[generator]")
	if g.id != "" {
		w.Key("use", strconv.Quote(g.id), answered(a))
		w.Line("")
		return
	}
	w.Key("rated_va", num(g.ratedVA), answered(a))
	w.Key("power_factor", num(unknownPF), "assumed: usual of sets")
	if g.fuel != "" {
		w.Key("fuel", strconv.Quote(g.fuel), "")
	} else {
		w.Comment("fuel: " + w.assume("Fuel of the generator",
			"not known, so it is taken to lose as much by height and heat as petrol does"))
	}
	if s := in.supplied(); s.phases > 1 {
		w.Key("phases", strconv.Itoa(s.phases), "assumed: as the supply")
	}
	w.Line("")
}
