package loads

// Power factors of motors that stand still and are switched on. The higher one asks for more watts of the bank, and
// adds more to loads that run near unity: the high end of what is published is the safe side for both.
const (
	// singlePhasePF: split-phase motors of 1/6 to 1/2 hp are listed with 0.79 to 0.80 and capacitor-start ones of 1/6
	// to 3/4 hp with 0.77 to 0.80: application manual for generator sets, 2007, table 4 (kW over kVA, read there). A
	// stalled air-conditioner compressor has 0.74 in the composite load model of the North American grid studies (from
	// memory).
	singlePhasePF = 0.80
	// drivePF is the displacement factor of a drive that ramps its motor up; from memory.
	drivePF = 0.95
)

// threePhasePF: power factor at standstill of three-phase motors by rated power, ascending: application manual for
// generator sets, 2007, table 7 (read there). Its first row holds for 1/4 to 1/2 hp.
var threePhasePF = []struct{ hp, pf float64 }{
	{0.5, 0.82}, {0.75, 0.78}, {1, 0.76}, {1.5, 0.72}, {2, 0.70}, {3, 0.66}, {5, 0.61}, {7.5, 0.56},
	{10, 0.53}, {15, 0.49}, {20, 0.46}, {25, 0.44}, {30, 0.42}, {40, 0.39},
}

// leastEfficiency turns the input of a motor without a rating into one that is not too large: a smaller motor starts at
// a higher power factor. 72.1 % is the class IE1 at 0.75 kW and four poles, larger motors have more: IEC 60034-30-1,
// from memory.
const leastEfficiency = 0.70

// StartingPF returns the power factor of the motor's start where its plate does not tell, in (0, 1].
//
// runningW is what it draws at full load; it stands in for a rating that is not given. phases is the number of phases
// that its circuit uses, 1 to 3: a motor between the two lines of a split-phase supply is a single-phase one. Between
// two sizes the table of three-phase motors is read in a straight line, which is a little above the curve; beyond its
// ends it is held. Star-delta and soft starters turn the volts down and leave the angle as it is; behind a drive the
// supply sees the drive.
func (m Motor) StartingPF(runningW float64, phases int) float64 {
	switch {
	case m.Method == Drive:
		return drivePF
	case phases < 3:
		return singlePhasePF
	}
	hp := m.ratedHP()
	if hp == 0 {
		hp = leastEfficiency * runningW / WattsPerHP
	}
	last := threePhasePF[0]
	for _, row := range threePhasePF {
		if hp <= row.hp {
			if row == last {
				return row.pf
			}
			return last.pf + (row.pf-last.pf)*(hp-last.hp)/(row.hp-last.hp)
		}
		last = row
	}
	return last.pf
}

// ratedHP is the rated shaft power, 0 where it is not given.
func (m Motor) ratedHP() float64 {
	if m.KW > 0 {
		return m.KW * 1000 / WattsPerHP
	}
	return m.HP
}
