package findings

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"outlast/backup/conductors"
	"outlast/backup/facts"
	"outlast/backup/sheet/paper/words"
	"outlast/backup/sheet/speech"
	"outlast/backup/site"
	"outlast/backup/wiring"
)

// StringsFused tells whether each string of the bank takes a fuse of its own, advised or wanted.
func (r *Report) StringsFused() bool {
	run := r.Run(conductors.Bank)
	return run != nil && run.StringFuse != (conductors.Ratings{})
}

// Picked tells whether the planner picked the phase of a circuit.
func (r *Report) Picked(id string) bool {
	return r.Plan.Allocation != nil && slices.Contains(r.Plan.Allocation.Picked, id)
}

// RefsOf are the marks of the circuits by their ids.
func (r *Report) RefsOf() map[string]string {
	out := map[string]string{}
	n := map[bool]int{}
	for _, c := range r.Plan.Circuits {
		n[c.OnBackup]++
		out[c.ID] = BoardRef(c.OnBackup, n[c.OnBackup])
	}
	return out
}

// American tells whether the tables that the site goes by are the American ones.
func (r *Report) American() bool { return r.Plan.Site.Wiring.Tables == wiring.US }

// Run is the run of the plan of a kind that every home has; nil where it could not be worked out.
func (r *Report) Run(kind conductors.Kind) *conductors.Run {
	return r.runWhere(func(run *conductors.Run) bool { return run.Kind == kind })
}

// ArrayRun is the run of an array's strings; nil where it could not be worked out.
func (r *Report) ArrayRun(i int) *conductors.Run {
	return r.runWhere(func(run *conductors.Run) bool { return run.Kind == conductors.Array && run.Array == i })
}

// CircuitRun is the run of a circuit's cable; nil where the file gives neither its size nor its length.
func (r *Report) CircuitRun(id string) *conductors.Run {
	return r.runWhere(func(run *conductors.Run) bool { return run.Kind == conductors.Circuit && run.Of == id })
}

func (r *Report) runWhere(is func(run *conductors.Run) bool) *conductors.Run {
	for i := range r.Plan.Runs {
		if is(&r.Plan.Runs[i]) {
			return &r.Plan.Runs[i]
		}
	}
	return nil
}

// StringFuse is the mark of the fuse in a string of the bank.
func StringFuse(n int) string { return "F1." + strconv.Itoa(n) }

// OfArray is a mark of an array: with its number where there are several.
func (r *Report) OfArray(mark string, i int) string {
	if len(r.Plan.Site.Arrays) == 1 {
		return mark
	}
	return fmt.Sprintf("%s.%d", mark, i+1)
}

// BoardRef numbers the circuits of a board as the diagram and the schedule call them: B1, B2 on the backup board, M1 on
// the main one.
func BoardRef(onBackup bool, n int) string {
	if onBackup {
		return "B" + strconv.Itoa(n)
	}
	return "M" + strconv.Itoa(n)
}

// SupplyText names the supply of the site: phases, volts, frequency.
func (r *Report) SupplyText() string {
	s := r.Plan.Site
	volts := fmt.Sprintf("%s%sV", r.Short(s.NominalV), speech.Hard)
	switch s.Phases {
	case 2:
		volts = fmt.Sprintf("%s/%s%sV", r.Short(s.NominalV), r.Short(2*s.NominalV), speech.Hard)
	case 3:
		volts = fmt.Sprintf("%s/%s%sV", r.Short(s.NominalV), r.Fixed(BetweenLines(s.NominalV), 0), speech.Hard)
	}
	return r.Say("supply."+strconv.Itoa(s.Phases), volts, r.Amount(s.FrequencyHz, "Hz"))
}

// BetweenLines is the voltage between two lines of a three-phase supply, by the name that the supply goes by where it
// has one.
func BetweenLines(toNeutralV float64) float64 {
	v := toNeutralV * math.Sqrt(3)
	for _, named := range []float64{208, 220, 380, 400, 415, 480, 600} {
		if math.Abs(v-named) < 0.005*named {
			return named
		}
	}
	return v
}

// Nameless says of equipment that the site file describes it, and gives it no label.
func Nameless(id, label string) bool { return id == site.OwnID && label == "" }

// EquipmentName is the id of an entry and its label, translated if it is in the words of the generic catalog.
func (r *Report) EquipmentName(id, label string) string {
	if text, ok := words.Equipment(r.Lang, label, r.Local); ok {
		label = text
	}
	switch {
	case label == "":
		return speech.Name(id)
	case id == "":
		return speech.Name(label)
	}
	return speech.Name(id) + ", " + speech.Name(label)
}

// Ref is the number of a circuit's breaker, as the board, the schedule and the diagram have it.
func (r *Report) Ref(circuitID string) string { return r.RefsOf()[circuitID] }

// Cores are those of a run: the lines, the neutral and the protective conductor; of direct current plus and minus.
func (r *Report) Cores(run conductors.Run) int {
	switch run.Kind {
	case conductors.Input, conductors.Feeder:
		return r.Plan.Inverter.Unit.Phases + 2
	case conductors.Bank, conductors.Array:
		return 2
	}
	if c := r.circuit(run.Of); c.Phase == 0 {
		return r.Plan.Site.Phases + 2
	}
	return 3
}

// circuit is a circuit of the plan by its id.
func (r *Report) circuit(id string) facts.Circuit {
	return r.Plan.Circuits[slices.IndexFunc(r.Plan.Circuits, func(c facts.Circuit) bool { return c.ID == id })]
}

// Cable writes the cores and the size of a run beside its line in the diagram, or nothing where no size is known.
func (r *Report) Cable(run *conductors.Run) string {
	if run == nil || run.Conductor.MM2 == 0 {
		return ""
	}
	// A line may break between the two names of a size only.
	size, other, two := strings.Cut(r.Size(run.Conductor).S, " (")
	unit := ""
	if !r.US {
		unit = " mm²"
	}
	if two {
		other = " (" + strings.ReplaceAll(other, " ", speech.Hard)
	}
	return fmt.Sprintf("%d%s×%s%s%s%s", r.Cores(*run), speech.Hard, speech.Hard,
		strings.ReplaceAll(size, " ", speech.Hard), unit, other)
}

// RunLabel is a run in the words of the papers; a circuit has its own.
func (r *Report) RunLabel(run conductors.Run) string {
	switch run.Kind {
	case conductors.Circuit:
		return speech.Name(r.Called(run.Label.String()))
	case conductors.Array:
		return r.Say("run.cable-array-#", strconv.Itoa(run.Array+1))
	}
	return r.Say("run.cable-" + string(run.Kind))
}

// Mark is the mark of the diagram for a run.
func (r *Report) Mark(run conductors.Run) string {
	switch run.Kind {
	case conductors.Input:
		return "Q2"
	case conductors.Feeder:
		return "Q3"
	case conductors.Bank:
		return "F1"
	case conductors.Array:
		return r.OfArray("Q7", run.Array)
	}
	return r.Ref(run.Of)
}

// Rated writes the rating of the device of a run for the diagram, or nothing.
func (r *Report) Rated(run *conductors.Run) string {
	if run != nil && run.DeviceA > 0 {
		return r.Amount(run.DeviceA, "A")
	}
	return ""
}

// OfMainBoard says whether a run is the cable of a circuit on the main board: it lies there already.
func (r *Report) OfMainBoard(run conductors.Run) bool {
	return run.Kind == conductors.Circuit && !r.circuit(run.Of).OnBackup
}
