package working

// Sides are what a check compares, as inputs of the step that shows its margin. One of which nothing is told has no
// name.
type Sides struct{ Demand, Limit Input }

// Side finds one side of a comparison in a part: the result of its last step that goes by one of some names and has
// the value, in the unit of the check or, of a check in per cent, as a fraction. origin is where the figure comes from
// where no step has it; the zero Origin: nobody knows.
func (p *Part) Side(as string, value float64, unit string, origin Origin, names ...string) Input {
	if unit == "%" {
		value, unit = value/100, ""
	}
	for i := len(p.Steps) - 1; i >= 0; i-- {
		s := &p.Steps[i]
		for _, name := range names {
			if s.Name == name && s.Unit == unit && Same(s.Value, value) {
				return Result(as, s.Value, s.Unit, Ref{i + 1})
			}
		}
	}
	if origin.Empty() {
		return Input{}
	}
	return Input{Name: as, Value: value, Unit: unit, From: origin}
}
