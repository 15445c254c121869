package site

import (
	"errors"
	"fmt"
	"slices"

	"outlast/backup/calendar"
	"outlast/backup/inverter"
	"outlast/backup/wording"
	"outlast/battery"
	"outlast/catalog"
	"outlast/catalog/strict"
	"outlast/loads"
)

// Read reads a site file against a catalog.
//
// The error is of type [strict.Problems] and names every fault of the file, each with its place. file is only used for
// that; src is the text.
func Read(file string, src []byte, cat *catalog.Catalog) (*Site, error) {
	root, err := strict.Parse(file, src, &fileKeys)
	if err != nil {
		return nil, err
	}
	r := &reader{root: root, cat: cat, site: &Site{File: file, catalog: cat, under: newFirmament()}}
	r.readHome()
	r.readCircuits()
	r.readLoads()
	r.readArrays()
	r.readGenerator()
	r.readWiring()
	r.assumeBreakers()
	r.checkLoads()
	r.checkClock()
	base := r.equipment()
	r.site.reader = r
	r.equip(r.site, base, base)
	r.readOptions(base)
	if ps := root.Problems(); ps != nil {
		return nil, ps
	}
	for i, e := range r.equipped { // what is wrong here makes only sense of a file without other problems
		s := r.site
		if i > 0 {
			s = s.Options[i-1].Site
		}
		checkSizable(s, e, base)
	}
	if ps := root.Problems(); ps != nil {
		return nil, ps
	}
	return r.site, nil
}

type reader struct {
	root     *strict.Table
	cat      *catalog.Catalog
	site     *Site
	wiring   *strict.Table
	loads    []*strict.Table // the loads, each filled by its class of appliances
	equipped []equipment     // the tables of the site itself, then of each option
	assumed  []assumed       // circuits that the file leaves to the planner
	ids      *namer          // of the circuits
	nameless bool            // a circuit's id cannot be told: any load may be on it
}

func (r *reader) readHome() {
	t, s := r.root.Table("site"), r.site
	if t != nil {
		s.Name, _ = t.Text("name")
		s.NominalV, _ = t.Number("nominal_v")
		s.Meter, _ = t.Text("meter")
		s.meterAt = t.Pos("meter")
		s.Phases, _ = t.Whole("phases")
		s.FrequencyHz, _ = t.Number("frequency_hz")
		s.AltitudeM, _ = t.Number("altitude_m")
		s.ColdestC, _ = t.Number("coldest_c")
		s.HottestC, _ = t.Number("hottest_c")
		s.Latitude = optional(t, "latitude")
		s.Longitude = optional(t, "longitude")
		s.UTCOffsetH = optional(t, "utc_offset_h")
		s.Units, _ = t.Text("units")
		s.ColdestAirC = optional(t, "coldest_air_c")
		r.noteColdAir(t)
		if len(r.root.Tables("array")) > 0 && !t.Has("latitude") {
			t.Missing("latitude", "a number from -90 to 90 degrees, as there is an [[array]]")
		}
	}
	if b := r.root.Table("board"); b != nil {
		s.Ways, _ = b.Whole("ways")
	}
}

func optional(t *strict.Table, key string) *float64 {
	if v, ok := t.Number(key); ok {
		return &v
	}
	return nil
}

// equipment is the tables that an option may change.
type equipment struct{ outage, practice, inverter, bank *strict.Table }

func (r *reader) equipment() equipment {
	practice := r.root.Table("practice")
	if practice == nil {
		practice = strict.Empty(&practiceKeys)
	}
	return equipment{r.root.Table("outage"), practice, r.root.Table("inverter"), r.root.Table("bank")}
}

// over lays an option's tables over the site's. With another `use`, the site's own figures for the old equipment go.
func (e equipment) over(option *strict.Table) equipment {
	lay := func(name string, base *strict.Table, keep ...string) *strict.Table {
		t := option.Table(name)
		if t == nil || base == nil {
			return base
		}
		if t.Has("use") {
			return t.Over(base.Only(keep...))
		}
		return t.Over(base)
	}
	return equipment{
		outage:   lay("outage", e.outage),
		practice: lay("practice", e.practice),
		inverter: lay("inverter", e.inverter, "count"),
		bank:     lay("bank", e.bank, "strings", "vent_cm2", "vent_rule"),
	}
}

// equip reads outage, practice, inverter and bank into s and checks them against each other. base is the site's own
// tables, which e shares where an option leaves them as they are.
func (r *reader) equip(s *Site, e, base equipment) {
	r.equipped = append(r.equipped, e)
	s.equipment = e
	s.Practice = readPractice(e.practice)
	if e.outage != nil {
		r.readOutage(s, e.outage)
	}
	inverterOK := e.inverter != nil && r.readInverter(s, e.inverter)
	bankOK := e.bank != nil && r.readBank(s, e.bank)
	if bankOK {
		checkReserve(s, e, base)
	}
	if inverterOK && bankOK {
		checkSeries(s, e, base)
	}
	readWiringPractice(s, e.practice)
	s.Defaults = strict.Defaults(slices.Concat(
		[]*strict.Table{r.root.Table("site"), e.outage, e.practice, e.inverter, e.bank, r.root.Table("board"),
			r.wiring},
		r.root.Tables("circuit"), r.assumedTables(), r.loads, r.root.Tables("array"), r.root.Tables("generator"))...)
}

// checkReserve reports a reserve that leaves the bank nothing to give.
func checkReserve(s *Site, e, base equipment) {
	if e.outage == nil || !e.practice.Sound("max_dod") || !e.bank.Sound("max_dod") || !s.Unit.Chemistry.Valid() {
		return
	}
	dod, _ := s.Unit.DoD(s.Practice.MaxDoD)
	reserve := s.Outage.Reserve
	// 1 - 0.8 is a little less than 0.2 in binary.
	if reserve <= 0 || reserve+dod > 1+1e-9 {
		return
	}
	switch {
	case e.outage == base.outage && e.practice != base.practice && e.practice.Gives("max_dod"):
		e.practice.Report("max_dod", "",
			"found %.4g, want more than %.4g: above the reserve of %.4g there is no charge to give", dod, 1-reserve,
			reserve)
	case e.outage == base.outage && e.bank != base.bank:
		e.bank.Report(atUse(e.bank, "max_dod"), "",
			"a unit that gives %.4g of its charge has nothing to give with a reserve of %.4g", dod, reserve)
	default:
		e.outage.Report("reserve", "", "found %.4g, want more than %.4g: the bank may not be emptied below that",
			reserve, 1-dod)
	}
}

// checkSeries finds the number of units in a string, and reports units that make none for the inverter.
func checkSeries(s *Site, e, base equipment) {
	if s.Unit.NominalV <= 0 || s.Inverter.NominalDCV <= 0 || !e.bank.Sound("nominal_v") ||
		!e.inverter.Sound("nominal_dc_v") {
		return
	}
	series, fits, err := battery.Series(s.Unit, s.Inverter.NominalDCV, s.Inverter.DCMinV, s.Inverter.DCMaxV, s.ColdestC,
		s.Inverter.Equalises)
	switch {
	case err == nil:
		s.Series, s.SeriesFits = series, fits
	case e.inverter != base.inverter && !(e.bank != base.bank && e.bank.Gives("use", "nominal_v")):
		e.inverter.Report(atUse(e.inverter, "nominal_dc_v"), "",
			"units of %g V make no bank for an inverter of %g V, want one within 20 %% of them", s.Unit.NominalV,
			s.Inverter.NominalDCV)
	default:
		e.bank.Report(atUse(e.bank, "nominal_v"), "",
			"units of %g V make no bank for an inverter of %g V, want one within 20 %% of it", s.Unit.NominalV,
			s.Inverter.NominalDCV)
	}
}

// atUse is the key at which to report a figure of some equipment: its own, or `use` where it comes from the catalog.
func atUse(t *strict.Table, key string) string {
	if !t.Has(key) && t.Has("use") {
		return "use"
	}
	return key
}

func readPractice(t *strict.Table) (p Practice) {
	p.Margin, _ = t.Number("margin")
	p.Growth, _ = t.Number("growth")
	p.Headroom, _ = t.Number("headroom")
	p.EndOfLife, _ = t.Number("end_of_life")
	p.MaxDoD, _ = t.Number("max_dod")
	p.Confidence, _ = t.Number("confidence")
	return p
}

func (r *reader) readOutage(s *Site, t *strict.Table) {
	s.Outage.AutonomyH, _ = t.Number("autonomy_h")
	s.Outage.Month, _ = t.Whole("month")
	s.Outage.Reserve, _ = t.Number("reserve")
	s.Outage.Start = WorstStart
	if start, ok := t.Text("start"); ok && start != "worst" {
		minute, err := loads.ParseClock(start)
		if err != nil || minute == calendar.DayMin {
			t.Report("start", loads.ClockHint(start),
				"found %s, want \"worst\" or a time of day from \"00:00\" to \"23:59\"", strict.Quote(start))
			return
		}
		s.Outage.Start = minute
	}
}

// lookup finds the equipment that a table uses, and reports an id that the catalog does not have. base is nil where the
// table gives keys of its own instead.
func lookup[T any](t *strict.Table, own []strict.Key, find func(string) (T, error)) (base *T, ok bool) {
	id, given := t.Text("use")
	switch {
	case given:
	case t.Has("use"):
		return nil, false
	case !slices.ContainsFunc(own, func(k strict.Key) bool { return t.Has(k.Name) }):
		t.Missing("use", "an id of the catalog, or keys of your own")
		return nil, false
	default:
		return nil, true
	}
	v, err := find(id)
	if err != nil {
		var unknown *catalog.UnknownID
		hint := "outlast catalog lists all"
		if errors.As(err, &unknown) && unknown.Nearest != "" {
			hint = "did you mean \"" + unknown.Nearest + "\"?"
		}
		t.Report("use", hint, "found %s, want an id of the catalog", strict.Quote(id))
		return nil, false
	}
	return &v, true
}

func (r *reader) readInverter(s *Site, t *strict.Table) bool {
	base, ok := lookup(t, catalog.InverterKeys, r.cat.Inverter)
	if !ok {
		return false
	}
	s.InverterCount, _ = t.Whole("count")
	s.Inverter, _ = catalog.DecodeInverter(t, base) // a figure that is wrong is 0, and reported
	if base == nil {
		s.Inverter.ID = OwnID
	}
	for _, d := range s.Inverter.Defaults {
		t.NoteDefault(d.Key, string(wording.WithUnit(d.Value, d.Unit)))
	}
	checkPhases(s, t)
	checkVolts(s, t, "inverter", s.Inverter.OutputV)
	return true
}

// checkVolts reports a source, named as in "the inverter gives", of another voltage than the site's loads are made for.
func checkVolts(s *Site, t *strict.Table, source string, outputV float64) {
	if !s.Takes(outputV) {
		t.Report(atUse(t, "output_v"), "", "the %s gives %g V, want the site's %g V, line to neutral", source, outputV,
			s.NominalV)
	}
}

// checkPhases reports inverters that cannot feed the site's phases.
func checkPhases(s *Site, t *strict.Table) {
	unit, count := s.Inverter.Phases, s.InverterCount
	if unit == 0 || count == 0 || s.Phases == 0 {
		return // reported already
	}
	if !inverter.Fits(unit, s.Phases) {
		want := "1 phase"
		if s.Phases > 1 {
			want = fmt.Sprintf("1 or %d phases", s.Phases)
		}
		t.Report(atUse(t, "phases"), "",
			"found a unit of %s for a site of %s, want one of %s: outputs of different phases are never joined",
			counted(unit, "phase"), counted(s.Phases, "phase"), want)
		return
	}
	if unit*count%s.Phases != 0 {
		t.Report("count", "", "found %s of %s, want a multiple of the site's %s",
			counted(count, "unit"), counted(unit, "phase"), counted(s.Phases, "phase"))
	}
}

func counted(n int, noun string) string {
	if n != 1 {
		noun += "s"
	}
	return fmt.Sprintf("%d %s", n, noun)
}

// OwnID stands for equipment that the site file describes itself. It is no name: without a label such equipment has none.
const OwnID = "own"

func (r *reader) readBank(s *Site, t *strict.Table) bool {
	base, ok := lookup(t, catalog.BatteryKeys, r.cat.Battery)
	if !ok {
		return false
	}
	s.Strings, _ = t.Whole("strings")
	s.VentCM2, _ = t.Number("vent_cm2")
	u, _ := catalog.DecodeBattery(t, base) // a figure that is wrong is 0, and reported
	if base == nil {
		u.ID = OwnID
	}
	s.Unit, s.unitDefaults = u.WithDefaults()
	for _, d := range s.unitDefaults {
		if d.Key == "max_dod" && s.Practice.MaxDoD > 0 {
			continue // the practice's own holds, not the default
		}
		t.NoteDefault(d.Key, string(wording.WithUnit(d.Value, d.Unit)))
	}
	if _, gas := u.Chemistry.Gas(); gas || t.Has("vent_rule") {
		s.VentRule, _ = t.Text("vent_rule")
	}
	return true
}

func (r *reader) readArrays() {
	for _, t := range r.root.Tables("array") {
		base, ok := lookup(t, catalog.ModuleKeys, r.cat.Module)
		if !ok {
			continue
		}
		var a Array
		a.Module, _ = catalog.DecodeModule(t, base)
		if base == nil {
			a.Module.ID = OwnID
		}
		a.ModulesPerString, _ = t.Whole("modules_per_string")
		a.Strings, _ = t.Whole("strings")
		a.TiltDeg, _ = t.Number("tilt_deg")
		a.AzimuthDeg, _ = t.Number("azimuth_deg")
		a.Input, _ = t.Whole("input")
		a.MonthlyKWhM2Day, _ = t.Numbers("monthly_kwh_m2_day")
		a.Weather, _ = t.Text("weather")
		a.weatherAt = t.Pos("weather")
		r.site.Arrays = append(r.site.Arrays, a)
		r.checkSun(t, a)
	}
}

func (r *reader) readGenerator() {
	t := r.root.Table("generator")
	if t == nil {
		return
	}
	base, ok := lookup(t, catalog.GeneratorKeys, r.cat.Generator)
	if !ok {
		return
	}
	var g Generator
	g.Generator, _ = catalog.DecodeGenerator(t, base)
	if base == nil {
		g.ID = OwnID
	}
	checkVolts(r.site, t, "generator", g.OutputV)
	if g.StartSoC, g.StartGiven = t.Number("start_soc"); !g.StartGiven {
		g.StartSoC = UsualStartSoC
		t.NoteDefault("start_soc", fmt.Sprintf("max(%g, 1 - max_dod + %g)", UsualStartSoC, GeneratorAbove))
	}
	g.StopSoC, _ = t.Number("stop_soc")
	switch {
	case g.StopSoC > g.StartSoC || !t.Sound("start_soc", "stop_soc"):
	case t.Has("stop_soc"):
		t.Report("stop_soc", "", "found %g, want more than start_soc, %g", g.StopSoC, g.StartSoC)
	default:
		t.Report("start_soc", "", "found %g, want less than stop_soc, %g", g.StartSoC, g.StopSoC)
	}
	r.site.Generator = &g
}

func (r *reader) readOptions(base equipment) {
	names := map[string]bool{}
	for _, t := range r.root.Tables("option") {
		name, ok := t.Text("name")
		if ok && names[name] {
			t.Report("name", "", "found %s a second time, want each name once", strict.Quote(name))
		}
		names[name] = true
		variant := *r.site
		variant.Options = nil
		r.equip(&variant, base.over(t), base)
		r.site.Options = append(r.site.Options, Option{Name: name, Site: &variant})
	}
}

func (r *reader) readCircuits() {
	seen := map[string]bool{}
	for _, t := range r.root.Tables("circuit") {
		var c loads.Circuit
		id, ok := t.Text("id")
		if ok && seen[id] {
			t.Report("id", "", "found %s a second time, want each id once", strict.Quote(id))
		}
		seen[id] = true
		if !ok {
			// Loads that name a circuit by what stands there are not wrong as well.
			id, _ = t.AsWritten("id")
			r.nameless = r.nameless || id == ""
		}
		c.ID, c.Label = id, id
		if label, ok := t.Text("label"); ok {
			c.Label = label
		}
		c.BreakerA, _ = t.Number("breaker_a")
		c.CableMM2, _ = t.Number("cable_mm2")
		c.LengthM, _ = t.Number("length_m")
		board, _ := t.Text("board")
		c.Board = loads.Board(board)
		if word, _ := t.Word("phase"); word == anyPhase {
			c.Phase, c.AnyPhase = 1, r.site.Phases > 1
			if c.Board == loads.BoardMain {
				t.Report("phase", "", "found \"any\", want a number: the planner picks phases of the backup board only")
			}
		} else if c.Phase, ok = t.Whole("phase"); ok && r.site.Phases > 0 && c.Phase > r.site.Phases {
			if r.site.Phases == 1 {
				t.Report("phase", "", "found %d, want 1 (or 0): the site has one phase", c.Phase)
			} else {
				t.Report("phase", "", "found %d, want a number from 0 (all phases) to the site's %d", c.Phase,
					r.site.Phases)
			}
		}
		r.site.Circuits = append(r.site.Circuits, c)
	}
}
