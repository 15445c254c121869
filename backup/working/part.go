package working

import "slices"

// A Part writes the working of a part of the plan down, which knows its figures by name only. An input of which nothing
// says where it comes from is the result of the last step of the part that goes by its name, else what Origins says of
// the name, else a constant of the rule.
type Part struct {
	List
	Origins Origins
}

// Origins says where a figure comes from by its name; the zero Origin where it does not know. Who calls a part knows
// the keys of its figures, and the part does not.
type Origins func(name string) Origin

// Add puts a step at the end.
func (p *Part) Add(s Step) {
	inputs := make([]Input, len(s.Inputs))
	for i, in := range s.Inputs {
		if in.From.Empty() {
			if no := p.named(in.Name); no > 0 {
				in.From = Origin{Ref: Ref{no}}
			} else if p.Origins != nil {
				in.From = p.Origins(in.Name)
			}
		}
		inputs[i] = in
	}
	s.Inputs = inputs
	p.List.Add(s)
}

// Keep leaves the names of results to those that other parts ask for: all other names are of this part alone.
func (p *Part) Keep(names ...string) {
	for i := range p.Steps {
		if s := &p.Steps[i]; !slices.Contains(names, s.Name) {
			s.Name = ""
		}
	}
}

// Named is where the result comes from that goes by a name.
func (p *Part) Named(name string) Origin { return Origin{Ref: Ref{p.named(name)}} }

// Empty says whether nothing is told of where an input comes from.
func (o Origin) Empty() bool {
	return o.Key == nil && o.Ref.place == 0 && o.Name == "" && o.Told.Empty() && o.Step == 0
}
