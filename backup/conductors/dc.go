package conductors

import (
	"fmt"

	"outlast/backup/phrase"
	"outlast/backup/verdict"
	"outlast/backup/wiring"
	"outlast/backup/wording"
	"outlast/backup/working"
)

// bankRun is the conductor between the bank and one inverter, with the device next to the bank.
func (w *wirer) bankRun() {
	s, g, b := w.Site, w.Inverter, w.Bank
	units := float64(g.Count)
	var st start
	for _, surge := range w.Starts {
		st.add(surge.Load, surge.BankA/units, surge.Seconds, 0)
	}
	ratedA := g.DCPower(g.RatedW()) / b.MinV() / units
	in := wiring.Bank{NominalV: b.NominalV(),
		HighestV: max(b.HighestChargeV(s.ColdestC, g.Unit.Equalises), b.NominalV()),
		Laying: wiring.Laying{Tables: s.Wiring.Tables, Method: s.Wiring.Method, Strand: wiring.Flexible,
			AmbientC: s.Wiring.AmbientC},
		ContinuousA: max(ratedA, st.loadA), ChargeA: max(g.Unit.MaxChargeA, g.ChargerA()/units),
		SurgeA: st.heatA, SurgeS: st.heatS, StartA: st.peakA, LengthM: s.Wiring.Bank.LengthM,
		CableMM2: s.Wiring.Bank.MM2,
		Strings:  b.Strings, Units: g.Count, Kind: s.Wiring.BankKind, Device: s.Wiring.BankDevice, Practice: w.practice}
	r := Run{ID: "cable-" + string(Bank), Kind: Bank, Label: phrase.Of("Bank to inverter"), Count: g.Count}
	var err error
	if in.Source, err = w.source(in.ChargeA * units); err != nil {
		w.fail(r, err)
		return
	}
	sized, err := wiring.SizeBank(in)
	if err != nil {
		w.fail(r, err)
		return
	}
	r.fromChoice(sized.Choice, in.CableMM2, in.LengthM)
	r.NeedsA, r.TotalDrop, r.Device, r.DeviceA, r.DeviceChosen = sized.NeedA, r.Drop, in.Kind, sized.DeviceA,
		in.Device.RatedA == 0
	r.DeviceNeeds = Ratings{V: in.HighestV, BreaksA: sized.ShortCircuit.MaximumA}
	r.Laid.System, r.Laid.VoltageV, r.Laid.LoadA = wiring.DC, in.NominalV, max(in.ContinuousA, in.ChargeA)
	if r.Laid.StartA = in.StartA; in.StartA == 0 {
		r.Laid.StartA = in.SurgeA
	}
	r.Laid.SurgeA, r.Laid.SurgeS = in.SurgeA, in.SurgeS
	r.Isolator = Ratings{A: r.DeviceA, V: in.HighestV}
	if in.Strings > 1 {
		r.StringFuse = Ratings{A: sized.StringFuseA, V: in.HighestV, BreaksA: sized.StringBreaksA}
		r.StringsWantFuses = sized.FuseStrings
	}
	r.steps = w.writing(&r, func(p *working.Part) { w.bankAsked(p, &r, in, ratedA, st) }, sized.Working,
		func(name string) working.Origin { return w.bankOrigin(name, st) }, nil)
	j := judge{run: &r, curt: w.Curt}
	if in.Device != (wiring.Device{}) {
		j.wants = map[wiring.Comparison]want{wiring.OfDeviceVolts: {
			phrase.Of("give bank_device_v to compare its voltage"), true},
			wiring.OfBreaking: {phrase.Of("give bank_device_breaking_a to compare its breaking capacity"), true}}
		if sized.ShortCircuit.Assumed {
			j.wants[wiring.OfBreaking] = want{
				phrase.Of("give resistance_mohm of the battery to compare the breaking capacity"), true}
		}
	}
	j.decide(sized.Checks, func() wiring.Choice {
		in.CableMM2 = 0
		better, err := wiring.SizeBank(in)
		if err != nil {
			return wiring.Choice{}
		}
		return better.Choice
	})
	w.done(r)
	if !w.Curt {
		w.noteBank(in, sized)
	}
}

// source is the bank as a short circuit sees it. chargeA is what all sources put into it.
func (w *wirer) source(chargeA float64) (wiring.Source, error) {
	b := w.Bank
	src := wiring.Source{NominalV: b.NominalV(), CapacityAh: b.CapacityAh(), Chemistry: b.Unit.Chemistry,
		Strings: b.Strings, ChargerA: chargeA}
	if b.Unit.ResistanceMohm == 0 {
		return src, nil
	}
	var err error
	src.BankMOhm, err = wiring.BankMOhm(b.Unit.ResistanceMohm, b.Series, b.Strings)
	return src, err
}

// enough is a least value as a device is bought: rounded up.
func enough(least float64, unit string) phrase.Amount {
	return wording.Amount(verdict.Enough(least), unit)
}

// noteBank says what the device next to the bank must be, and what else the bank asks for.
func (w *wirer) noteBank(in wiring.Bank, sized wiring.BankResult) {
	var each, breaks phrase.Phrase
	if in.Units > 1 {
		each = phrase.Of(", for each inverter")
	}
	kind := in.Kind.Word()
	if sized.DeviceA > 0 {
		switch fault := sized.ShortCircuit; {
		case fault.Assumed:
			breaks = phrase.Of(", breaking capacity at least %s: taken as %s for each string, as its data sheet does not tell",
				enough(fault.MaximumA, "A"),
				wording.Amount((fault.MaximumA-in.Source.ChargerA)/float64(in.Strings), "A"))
		default:
			breaks = phrase.Of(", breaking capacity at least %s: the prospective short-circuit current of the bank",
				enough(fault.MaximumA, "A"))
		}
		w.note(phrase.Of("Next to the bank%s: a %s of %s, for at least %s DC%s.", each, kind,
			wording.Amount(sized.DeviceA, "A"), enough(in.HighestV, "V"), breaks))
	}
	if sized.ShortCircuit.Assumed {
		w.sized.Cautions = append(w.sized.Cautions,
			phrase.Of("The prospective short-circuit current of the bank, which its fuse must break, is assumed: "+
				"give resistance_mohm of the battery, or ask its maker."))
	}
	if sized.DeviceA > 0 && in.StartA > sized.DeviceA {
		w.note(phrase.Of("The largest start draws %s from the bank, more than the rating of the %s of %s: "+
			"its time-current curve must let it through.",
			wording.Amount(in.StartA, "A"), kind, wording.Amount(sized.DeviceA, "A")))
	}
	w.noteStrings(in, sized)
}

// noteStrings says what device each string takes.
func (w *wirer) noteStrings(in wiring.Bank, sized wiring.BankResult) {
	if in.Strings < 2 {
		return
	}
	of := phrase.Of(", for at least %s DC", enough(in.HighestV, "V"))
	if sized.StringFuseA > 0 {
		of = phrase.Of(" of %s, for at least %s DC", wording.Amount(sized.StringFuseA, "A"),
			enough(in.HighestV, "V"))
	}
	if a := sized.StringBreaksA; a > 0 {
		of = of.Then(phrase.Of(", breaking capacity at least %s", enough(a, "A")))
	}
	if !sized.FuseStrings {
		w.note(phrase.Of("In each of the %d strings of the bank a fuse%s is advised: the other string feeds a fault in it.",
			in.Strings, of))
		return
	}
	text := phrase.Of("Each of the %d strings of the bank requires a fuse%s: the others feed a fault in it, "+
		"and when one string is out the rest carry its current. The current-carrying capacity of the string's own "+
		"cables must not be below the rating of the fuse; where it is, take larger cables, not a smaller fuse.",
		in.Strings, of)
	if !w.Bank.Unit.Chemistry.LeadAcid() {
		text = phrase.Of("%s A circuit breaker built into the pack will do where it has these ratings.", text)
	}
	w.note(text)
}

// arrayRun is the cable of one string of array i.
func (w *wirer) arrayRun(i int) {
	s := w.Site
	a, name := s.Arrays[i], fmt.Sprintf("%s-%d", Array, i+1)
	r := Run{ID: "cable-" + name, Kind: Array, Array: i, Label: phrase.Of("String of array %d", i+1), Count: a.Strings}
	volts, err := a.StringSet().Voltages(s.StringClimate())
	if err != nil {
		w.fail(r, err)
		return
	}
	strings := 0 // side by side on the same input
	for _, other := range s.Arrays {
		if other.Input == a.Input {
			strings += other.Strings
		}
	}
	strand := wiring.FlexibleTin
	if s.Wiring.Tables == wiring.US {
		strand = wiring.Flexible
	}
	in := wiring.PVString{ShortCircuitA: a.Module.IscA, MaxPowerA: a.Module.ImpA, MaxPowerV: volts.VmpHotV,
		ColdOpenCircuitV: volts.VocColdV,
		Laying: wiring.Laying{Tables: s.Wiring.Tables, Method: s.Wiring.Method, Strand: strand,
			AmbientC: s.Wiring.AmbientC, Grouped: s.Wiring.Grouped},
		Strings: strings, MaxSeriesFuseA: a.Module.MaxFuseA, LengthM: s.Wiring.Array.LengthM,
		CableMM2: s.Wiring.Array.MM2, Isolator: s.Wiring.Isolator, Practice: w.practice}
	sized, err := wiring.SizePV(in)
	if err != nil {
		w.fail(r, err)
		return
	}
	r.fromChoice(sized.Choice, in.CableMM2, in.LengthM)
	r.NeedsA, r.TotalDrop = sized.MaximumA, r.Drop
	r.steps = w.writing(&r, func(p *working.Part) { w.arrayAsked(p, i, in) }, sized.Working,
		func(name string) working.Origin { return w.arrayOrigin(name, i) }, nil)
	r.Device, r.DeviceA, r.DeviceChosen = wiring.Fuse, sized.FuseA, true
	r.Laid.System, r.Laid.VoltageV, r.Laid.LoadA = wiring.DC, in.MaxPowerV, in.MaxPowerA
	r.DeviceNeeds, r.Isolator = Ratings{V: sized.IsolatorV}, Ratings{A: sized.IsolatorA, V: sized.IsolatorV}
	fuseKey := phrase.Of("give max_fuse_a of the module to compare its maximum series fuse")
	j := judge{run: &r, curt: w.Curt, wants: map[wiring.Comparison]want{wiring.OfModuleFuse: {fuseKey, true},
		wiring.OfReverse: {fuseKey, true}}}
	if in.Isolator != (wiring.Device{}) {
		j.wants[wiring.OfIsolatorVolts] = want{
			phrase.Of("give array_isolator_v to compare the voltage of the DC isolator"), true}
		j.wants[wiring.OfIsolatorA] = want{
			phrase.Of("give array_isolator_a to compare the current of the DC isolator"), true}
	}
	j.decide(sized.Checks, func() wiring.Choice {
		in.CableMM2 = 0
		better, err := wiring.SizePV(in)
		if err != nil {
			return wiring.Choice{}
		}
		return better.Choice
	})
	w.done(r)
	w.note(phrase.Of("Array %d: a DC isolator for at least %s and %s DC in each string; "+
		"on the coldest morning the string has that voltage, and it cannot be switched off in daylight.",
		i+1, enough(sized.IsolatorV, "V"), enough(sized.IsolatorA, "A")))
}
