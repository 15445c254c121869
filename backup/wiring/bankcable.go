package wiring

import (
	"fmt"

	"outlast/backup/phrase"
	"outlast/backup/working"
)

// A Bank is the conductor between bank and inverter with the fuse or breaker next to the bank.
type Bank struct {
	Laying   Laying // its System is taken as DC
	NominalV float64
	HighestV float64 // highest charging voltage, cold compensation and equalising included; at least NominalV
	// ContinuousA is the inverter's rated power over efficiency and lowest bank voltage (the lowest at which it
	// still gives that power; PV training page following NEC 690.8); ChargeA the highest charging
	// current. The larger of the two counts: the rated power sizes the cable, not the surge.
	ContinuousA, ChargeA float64
	SurgeA, SurgeS       float64    // start that heats the conductor most, on the DC side; 0 means none
	StartA               float64    // highest current of a start, for the drop; 0 means SurgeA
	LengthM              float64    // one way; 0 means unknown
	Strings              int        // parallel strings of the bank; 0 means 1
	Units                int        // equal inverters, each with such a conductor and device of its own; 0 means 1
	CableMM2             float64    // 0: chosen
	Kind                 DeviceKind // of the device next to the bank; "" means Fuse
	Device               Device     // a zero rating is chosen; unknown voltage and breaking capacity give cautions
	Source               Source     // its NominalV is taken from NominalV when it is 0
	Practice             Practice
}

// A BankResult is the conductor, its device and the checks.
type BankResult struct {
	NeedA        float64 // what conductor and device have to carry
	DeviceA      float64 // rating of the device, given or chosen; 0 if no standard rating is large enough
	Choice       Choice
	ShortCircuit ShortCircuit
	WithstandS   float64 // how long the conductor stands the maximum short circuit; 0 if that is unknown
	// StringNeedA is what a fuse in each string must carry, StringFuseA its standard rating (0: none is large enough),
	// and StringBreaksA the short circuit that it must break, 0 where that is unknown. FuseStrings says that each
	// string wants one; of two that do not, it is advised.
	FuseStrings                             bool
	StringNeedA, StringFuseA, StringBreaksA float64
	Checks                                  []Check // those of the choice first
	steps                                   func(*working.Part)
	Cautions                                []string
}

// SizeBank sizes or tests the conductor between bank and inverter and the device next to the bank.
//
// Conductor and device carry DCFuseFactor (1.25) times the continuous current; the device is the next standard rating
// and at most what the conductor carries as it is laid; it is rated for the highest charging voltage and breaks the
// prospective short-circuit current at its place. More than UnfusedStrings strings get a fuse each, which carries its
// share when another string is out, and more than its even share at any time.
func SizeBank(b Bank) (BankResult, error) {
	p, err := b.Practice.Filled()
	if err != nil {
		return BankResult{}, err
	}
	if b.Kind == "" {
		b.Kind = Fuse
	}
	b.Strings, b.Units = max(b.Strings, 1), max(b.Units, 1)
	if b.StartA == 0 {
		b.StartA = b.SurgeA
	}
	if b.Source.NominalV == 0 {
		b.Source.NominalV = b.NominalV
	}
	if err := firstError(voltRange(phrase.Of("nominal voltage of the bank"), b.NominalV),
		within(phrase.Of("highest voltage of the bank"), b.HighestV, b.NominalV, maxV, "V"),
		currentRange(phrase.Of("continuous current"), b.ContinuousA),
		currentRange(phrase.Of("charging current"), b.ChargeA), b.Device.check(), b.Kind.check(),
		within(phrase.Of("strings"), float64(b.Strings), 1, 10000, ""),
		within(phrase.Of("inverters"), float64(b.Units), 1, 1000, "")); err != nil {
		return BankResult{}, err
	}
	load := max(b.ContinuousA, b.ChargeA)
	r := BankResult{NeedA: p.DCFuseFactor * load, DeviceA: b.Device.RatedA}
	if r.DeviceA == 0 {
		r.DeviceA, _ = NextRating(b.Laying.Tables, b.Kind, r.NeedA)
	}
	b.Laying.System = DC
	wire := run{Laying: b.Laying, VoltageV: b.NominalV, LengthM: b.LengthM, LoadA: load, NeedA: r.NeedA,
		DeviceA: r.DeviceA,
		SurgeA:  b.SurgeA, SurgeS: b.SurgeS, StartA: b.StartA, Practice: b.Practice}
	if r.Choice, err = wire.sized(OnWall, b.CableMM2); err != nil {
		return BankResult{}, err
	}
	if r.ShortCircuit, err = b.Source.Prospective(b.Practice); err != nil {
		return BankResult{}, err
	}
	r.Checks = append(r.Checks, r.Choice.Checks...)
	r.Checks = append(r.Checks, b.deviceChecks(r)...)
	withstood, err := b.faultLimits(&r)
	if err != nil {
		return BankResult{}, err
	}
	b.fuseStrings(&r, p)
	r.steps = func(w *working.Part) {
		b.deviceSteps(w, r, p, load)
		r.Choice.steps(w)
		r.ShortCircuit.steps(w)
		withstood(w)
		b.stringSteps(w, r, p)
	}
	return r, nil
}

// Working is how the conductor and its device came about.
func (r BankResult) Working(origins working.Origins) []Step { return written(origins, r.steps) }

// deviceChecks holds the device against the current, the voltage and the short circuit of its place.
func (b Bank) deviceChecks(r BankResult) []Check {
	rating := compare(OfDevice, r.NeedA, r.DeviceA, "A", phrase.Of("rating of the %s", b.Kind.Word()))
	if r.DeviceA == 0 {
		rating = Check{Of: OfDevice, Status: Fail, Demand: r.NeedA, Unit: "A",
			Reason: phrase.Of("no standard %s is rated that high", b.Kind.Word())}
	}
	return []Check{rating, b.Device.voltCheck(OfDeviceVolts, string(b.Kind), b.Kind.Word(), b.HighestV),
		b.Device.breakCheck(OfBreaking, string(b.Kind), b.Kind.Word(), b.HighestV, r.ShortCircuit)}
}

// deviceSteps adds what conductor and device carry, and the device.
func (b Bank) deviceSteps(w *working.Part, r BankResult, p Practice, load float64) {
	w.Add(Step{Name: "current_a", Title: phrase.Of("Current between bank and inverter"),
		Expr: "max(continuous_a, charge_a)", Inputs: []working.Input{in("continuous_a", b.ContinuousA, "A"),
			in("charge_a", b.ChargeA, "A")}, Value: load, Unit: "A"})
	w.Add(Step{Name: "required_a", Title: phrase.Of("Current of conductor and %s", b.Kind.Word()),
		Expr: "dc_fuse_factor * current_a", Inputs: []working.Input{in("dc_fuse_factor", p.DCFuseFactor, ""),
			in("current_a", load, "A")}, Value: r.NeedA, Unit: "A",
		Sources: whose(p.DCFuseFactor, practiceDefaults.dcFuse)})
	if b.Device.RatedA == 0 && r.DeviceA > 0 {
		next(w, "device_a", phrase.Of("Rating of the %s", b.Kind.Word()), "required_a", b.Laying.Tables, b.Kind,
			r.NeedA,
			r.DeviceA)
	}
}

// faultLimits adds what the short circuit does to the conductor, and what the surge does to the device; the function
// writes the former down.
func (b Bank) faultLimits(r *BankResult) (func(*working.Part), error) {
	steps := func(*working.Part) {}
	if r.ShortCircuit.MaximumA > 0 {
		place, err := b.Laying.place(OnWall)
		if err != nil {
			return nil, err
		}
		size, faultA := r.Choice.Size, r.ShortCircuit.MaximumA
		r.WithstandS = place.withstandS(size.MM2, faultA)
		steps = func(w *working.Part) { place.withstandStep(w, size, faultA) }
	}
	if r.DeviceA > 0 && b.SurgeA > r.DeviceA {
		r.Cautions = append(r.Cautions,
			fmt.Sprintf("the surge of %s A is above the %s's %s A: its time-current curve must let it through for %s s",
				num(b.SurgeA), b.Kind, num(r.DeviceA), num(b.SurgeS)))
	}
	r.Cautions = append(r.Cautions,
		"the conductors between the bank and its first device are unprotected: keep them short, apart and mechanically guarded")
	return steps, nil
}

// fuseStrings rates a fuse in each string. It carries the current of all of them when another string is out for repair,
// and more than its even share at any time, as strings never share evenly. Where that is more than the string's cable
// bears, the cable must be larger, not the fuse smaller.
func (b Bank) fuseStrings(r *BankResult, p Practice) {
	if b.Strings < 2 {
		return
	}
	n, all := float64(b.Strings), r.NeedA*float64(b.Units)
	unfused, uneven := p.unfused(unfusedOf(b.Source.Chemistry)), practiceDefaults.uneven
	r.FuseStrings = n > unfused.value
	r.StringNeedA = max(all/(n-1), uneven.value*all/n)
	r.StringFuseA, _ = NextRating(b.Laying.Tables, Fuse, r.StringNeedA)
	if fault := r.ShortCircuit; fault.Known { // the others feed the faulty one
		r.StringBreaksA = (fault.MaximumA-b.Source.ChargerA)*(n-1)/n + b.Source.ChargerA
	}
	if !r.FuseStrings {
		return
	}
	r.Cautions = append(r.Cautions,
		fmt.Sprintf("%d strings in parallel: a faulty one is fed by the others, so each takes a fuse, rated for at least %s V DC "+
			"and able to break what the others drive; a string's own cable must carry its fuse's rating", b.Strings,
			num(b.HighestV)))
}

// stringSteps adds the fuse in each string.
func (b Bank) stringSteps(w *working.Part, r BankResult, p Practice) {
	if !r.FuseStrings {
		return
	}
	uneven := practiceDefaults.uneven
	w.Add(Step{Name: "string_a", Title: phrase.Of("Current of a string for its fuse"),
		Expr: "max(required_a * count / (strings - 1), uneven_factor * required_a * count / strings)",
		Inputs: []working.Input{in("required_a", r.NeedA, "A"), in("count", float64(b.Units), ""),
			in("strings", float64(b.Strings), ""), in("uneven_factor", uneven.value, "")},
		Value: r.StringNeedA, Unit: "A", Sources: uneven.sources()})
	if r.StringFuseA == 0 {
		return
	}
	next(w, "string_fuse_a", phrase.Of("Fuse in each string"), "string_a", b.Laying.Tables, Fuse, r.StringNeedA,
		r.StringFuseA)
	last := &w.Steps[len(w.Steps)-1]
	last.Sources = append(last.Sources, forFigure(phrase.Of("strings"),
		p.unfused(unfusedOf(b.Source.Chemistry)).sources())...)
}
