package working

import (
	"math"

	"outlast/backup/phrase"
)

// A List puts steps in their order and numbers them. The zero value is empty and ready.
type List struct{ Steps []Step }

// Add puts a step at the end, under the next number, and returns what later steps take its result by. References of its
// inputs are to steps of this list.
func (l *List) Add(s Step) Ref {
	s.No = len(l.Steps) + 1
	for i := range s.Inputs {
		from := &s.Inputs[i].From
		switch {
		case from.Ref.place > 0:
			from.Step = from.Ref.place
		case from.Name != "":
			no := l.named(from.Name)
			if no == 0 || !from.Told.Empty() && !Same(s.Inputs[i].Value, l.Steps[no-1].Value) {
				continue
			}
			from.Step, from.Name, from.Ref = no, "", Ref{no} // later steps may take the name
		}
		if from.Step > 0 { // rounding may have come another way
			if of := l.Steps[from.Step-1].Value; Same(s.Inputs[i].Value, of) {
				s.Inputs[i].Value = of
			}
		}
	}
	l.Steps = append(l.Steps, s)
	return Ref{s.No}
}

// AddAll puts the working of a part at the end: its references are to its own steps and move with them. change, if
// there is one, may name each step anew before it is added. also are inputs of later steps that refer to the part.
func (l *List) AddAll(part []Step, change func(*Step), also ...*Input) {
	before := len(l.Steps)
	for _, in := range also {
		if in.From.Ref.place > 0 {
			in.From.Ref.place += before
		}
	}
	for _, s := range part {
		inputs := make([]Input, len(s.Inputs))
		copy(inputs, s.Inputs)
		for i := range inputs {
			if inputs[i].From.Ref.place > 0 {
				inputs[i].From.Ref.place += before
			}
		}
		s.Inputs = inputs
		if change != nil {
			change(&s)
		}
		l.Add(s)
	}
}

// Last is the reference of the step that was added last; the zero Ref where there is none.
func (l *List) Last() Ref { return Ref{len(l.Steps)} }

// Has says whether the result of a step goes by a name.
func (l *List) Has(name string) bool { return l.named(name) > 0 }

// At is the reference of a step by its number; the zero Ref where there is none.
func (l *List) At(no int) Ref {
	if no < 1 || no > len(l.Steps) {
		return Ref{}
	}
	return Ref{no}
}

// Same forgives what rounding makes of one figure worked out in two ways.
func Same(a, b float64) bool { return math.Abs(a-b) <= 1e-12*math.Abs(b) }

// named is the number of the last step whose result has a name; 0 where none has.
func (l *List) named(name string) int {
	for i := len(l.Steps) - 1; i >= 0; i-- {
		if l.Steps[i].Name == name {
			return l.Steps[i].No
		}
	}
	return 0
}

// Locate lets somebody who knows the files say where each key stands that nobody has looked for yet.
func (l *List) Locate(where func(Key) phrase.Phrase) {
	for _, s := range l.Steps {
		for i := range s.Inputs {
			if from := &s.Inputs[i].From; from.Key != nil && from.Where.Empty() {
				from.Where = where(*from.Key)
			}
		}
	}
}
