package battery

// Inside is what a [State] counts with, for a reader who wants to follow it step by step: charge in Ah for lead-acid,
// energy in Wh for lithium.
type Inside struct {
	Stored, Full, Floor float64 // now; full; where discharge stops at the latest
	Empty               float64 // what stays in at a state of charge of 0: 0 for lithium
	Available           float64 // of Stored, what is in reach; lead-acid only
	Outward             float64 // lithium: what comes out of each Wh inside
	Most                float64 // W at most for lithium, A for lead-acid; +Inf: no limit
}

// Inside is what the bank counts with now.
func (s *Lithium) Inside() Inside {
	return Inside{Stored: s.energy, Full: s.capacity, Floor: s.floor, Available: s.energy, Outward: s.outward,
		Most: s.maxDischargeW}
}

// Inside is what the bank counts with now.
func (s *Kinetic) Inside() Inside {
	return Inside{Stored: s.total, Full: s.full, Floor: s.floor, Empty: s.empty, Available: s.available, Outward: 1,
		Most: s.maxDischargeA}
}

// Lowest is what must be left inside while the bank gives a power: the floor or, where the volts would fall below the
// cut-off before, more.
func (s *Lithium) Lowest(powerW float64) float64 {
	lowest := s.floor
	if s.cutoff != nil && powerW > 0 {
		lowest = max(lowest, s.capacity*s.cutoff.leastSoC(powerW/s.volts))
	}
	return lowest
}

// Lowest is what must be left inside while the bank gives a power: the floor or, where the volts would fall below the
// cut-off before, more.
func (s *Kinetic) Lowest(powerW float64) float64 {
	lowest := s.floor
	if s.cutoff != nil && powerW > 0 {
		lowest = max(lowest, s.empty+(s.full-s.empty)*s.cutoff.leastSoC(powerW*s.perVolt))
	}
	return lowest
}

// A Followed is a [State] that can be looked into.
type Followed interface {
	State
	Inside() Inside
	Lowest(powerW float64) float64
}

// SeriesTried lists the numbers of units that [Series] looks at, from the volts nearest to the inverter's on, up to one
// that was taken.
func SeriesTried(u Unit, nominalDCV float64, taken int) []int {
	var out []int
	for n := range nearest(u.NominalV, nominalDCV) {
		if out = append(out, n); n == taken || len(out) == int(maxCells) {
			break
		}
	}
	return out
}

// TemperatureRows returns the two rows of the table of what the cold leaves of a capacity between which tempC lies, as
// shares of it, or multipliers of what is required; ok is false where nothing is read of it.
func TemperatureRows(c Chemistry, tempC float64) (a, b [2]float64, multiplier, ok bool) {
	if tempC >= referenceC {
		return a, b, false, false
	}
	points, multiplier := temperatureTable(c)
	p, q := bracket(points, tempC)
	return [2]float64{p.X, p.Y}, [2]float64{q.X, q.Y}, multiplier, true
}

// CapacityFloor is the least share of capacity that a temperature leaves.
const CapacityFloor = capacityFloor

// RestRows returns the rows of the published tables between which the volts of a cell at rest are read: for lithium two
// points by state of charge, each (soc, V); for lead-acid four, of two temperatures in F and two states of charge, each
// (F, soc, V) with the volts of a block of six cells.
func (b Bank) RestRows(soc, tempC float64) (lithium [2][2]float64, lead [4][3]float64) {
	soc = fraction(soc)
	table := floodedRestV
	switch b.Unit.Chemistry {
	case LFP, NMC:
		points := lfpRest
		if b.Unit.Chemistry == NMC {
			points = nmcRest
		}
		p, q := bracket(points, soc)
		return [2][2]float64{{p.X, p.Y}, {q.X, q.Y}}, lead
	case Gel:
		table = gelRestV
	}
	row := min(max(toF(tempC)/20, 0), float64(len(leadRestF)-1))
	r, c := min(int(row), len(leadRestF)-2), min(int(soc*4), 3)
	for i := range 4 {
		n, m := r+i/2, c+i%2
		lead[i] = [3]float64{leadRestF[n], float64(m) / 4, table[n][m]}
	}
	return lithium, lead
}

// LeadRestF are the coldest and the hottest row of the volts of lead-acid at rest, in F: beyond, they are held.
func LeadRestF() (coldest, hottest float64) { return leadRestF[0], leadRestF[len(leadRestF)-1] }

// ColdRows returns the points of the rule of thumb between which the factor of the cold on a resistance is read, each
// (C, factor); ok is false where it is 1.
func (c Chemistry) ColdRows(tempC float64) (a, b [2]float64, ok bool) {
	if tempC >= referenceC {
		return a, b, false
	}
	table := leadColdResistance
	if !c.LeadAcid() {
		table = lithiumColdResistance
	}
	p, q := bracket(table, max(tempC, absoluteZeroC))
	return [2]float64{p.X, p.Y}, [2]float64{q.X, q.Y}, true
}

// Constants of the rule of thumb on a resistance by charge: of an empty battery as a multiple of that of a full one,
// and for lithium the state of charge from which down it grows.
const (
	LeadEmptyResistance    = leadEmptyResistance
	LithiumEmptyResistance = lithiumEmptyResistance
	LithiumKneeSoC         = lithiumKneeSoC
)

// SagLine returns the straight piece of volts over current, V - ohm * A, on which a lithium bank lies under a power
// that lasts; ok is false for lead-acid, and where no piece gives the power.
func (b Bank) SagLine(powerW, soc, tempC float64) (v, ohm float64, ok bool) {
	lines, lithium := b.sagLines(fraction(soc), tempC)
	if !lithium {
		return 0, 0, false
	}
	for _, l := range lines {
		if on, good := powerOn(l, powerW); good && powerW <= on*l.mostA*(1+slack) {
			return l.v, l.ohm, true
		}
	}
	return 0, 0, false
}

// Halvings lists what a search for the lowest state of charge that carries something tries, as [Bank.LowestStartSoC]
// and [Bank.LowestLoadedSoC] do it: full, empty, then the middle of what is left, down to a thousandth.
func Halvings(carries func(soc float64) bool) (tried []float64) {
	lowestSoC(func(soc float64) bool {
		tried = append(tried, soc)
		return carries(soc)
	})
	return tried
}

// FreezingRows returns the rows between which the freezing point at a state of charge is read: two of gravity by charge
// (soc, gravity) and two of freezing by gravity (gravity, F).
func FreezingRows(soc float64) (gravity, freezing [2][2]float64) {
	p, q := bracket(chargeGravity, fraction(soc))
	g := GravityAt(soc)
	r, s := bracket(acidFreezing, g)
	return [2][2]float64{{p.X, p.Y}, {q.X, q.Y}}, [2][2]float64{{r.X, r.Y}, {s.X, s.Y}}
}

// LeastAvailableShare is the least share of the charge in the available well that a fit may find.
const LeastAvailableShare = leastAvailableShare

// WellWeights are the weights with which [Unit.Wells] fits the model to [Unit.WellPoints].
func (u Unit) WellWeights() []float64 {
	points := u.WellPoints()
	weights := make([]float64, len(points))
	for i, p := range points {
		weights[i] = 1
		if p.Hours == u.RatedH {
			weights[i] = ratedWeight
		}
	}
	return weights
}

// ChargeC is what is usual for a chemistry, in parts of the rated Ah: the least charge current, and the greatest where
// the data sheet gives none.
func (c Chemistry) ChargeC() (least, most float64) { return chargeC[c].least, chargeC[c].most }

// Constants of [Bank.Recharge].
const (
	LeadBulkSoC        = leadBulkSoC
	LeadAbsorptionRule = leadAbsorptionRule
	LithiumTail        = lithiumTail
	TaperFromSoC       = taperFromSoC
	UsualChargeC       = usualChargeC // of lithium, for the taper, where the data sheet gives no greatest current
)

// CyclesAround returns the two rows of the cycles table between which [Unit.CycleLife] reads a depth, and how many of
// them count: of a shallower depth, and of a table of one row, the first alone.
func (u Unit) CyclesAround(dod float64) (a, b CyclePoint, n int) {
	t := u.cyclesByDepth()
	if len(t) == 0 {
		return a, b, 0
	}
	if len(t) == 1 || dod <= t[0].DoD {
		return t[0], b, 1
	}
	i := 1
	for i < len(t)-1 && dod > t[i].DoD {
		i++
	}
	return t[i-1], t[i], 2
}
