// Package working holds the steps of a calculation so that they can be done again: by a reader with a pencil, or by a
// program that knows nothing of ours.
//
// A [Step] is either an expression over named inputs, or a [Table] of rows that an algorithm goes through with an
// expression over its columns, or a figure that was read somewhere. Each [Input] says where it comes from: a key of the
// site file or the catalog, an earlier step, a published table, a rule. What works a figure out writes its steps beside
// it; who puts several workings together numbers them and finds the lines of the keys ([List]).
package working

import (
	"math"
	"strconv"

	"outlast/backup/phrase"
)

// A Step is one step of a calculation.
type Step struct {
	No    int           // from 1, in the order in which the steps follow from each other; 0 until a [List] has it
	Title phrase.Phrase // what is worked out
	// Name is the symbol of the result, by which inputs of other workings ask for it ([Named]); "" where none does.
	Name    string
	Formula phrase.Phrase // the rule in words; empty where Expr says it all
	// Expr is the formula over the names of Inputs and the columns of Table, such as "rated_va * count * heat". It
	// knows + - * / ^, brackets, sqrt, min, max, abs, exp, ln, sin, cos, tan, acos (radians), floor and ceil, and of a
	// column sum, max, min, first and last; "a > b ? x : y" chooses. Empty: the value was read, or Formula says how it
	// came about.
	Expr    string
	Inputs  []Input
	Table   *Table
	Value   float64
	Unit    string
	Sources []Source // documents and clauses of rule and figures; none: there is nothing to say
	Check   string   // the id of the check whose margin it is; "" for all other steps
}

// An Input is one figure that goes into a step.
type Input struct {
	Name  string // as Expr has it: the key of the site file where there is one
	Value float64
	Unit  string
	From  Origin
}

// An Origin is where an input comes from. One of its fields is set by who makes it; none: it is a constant of the rule
// that the source of the step names.
type Origin struct {
	Key   *Key          // of the site file or the catalog
	Ref   Ref           // an earlier step of the same working
	Name  string        // an earlier step of another working, by the Name of its result; beside Told only if it has the value
	Told  phrase.Phrase // a published table, a rule, a part of the plan that is shown elsewhere
	Step  int           // the number of the earlier step, once a [List] has it
	Where phrase.Phrase // where the key stands, once somebody has looked: a line, the catalog, a default
}

// A Key is a key of a site file or of an entry of the catalog.
type Key struct {
	Table string // such as "inverter" or "load"
	At    string // which of several: the name of a load, the id of a circuit; "" where there is only one
	Key   string
}

// A Ref stands for a step of the same working, so that a later one can take its result. The zero Ref is none.
type Ref struct{ place int }

// A Table is what an algorithm goes through, row by row, in figures.
type Table struct {
	Columns []Column
	Rows    []Row
}

// A Column is one figure of every row.
type Column struct {
	Name  string        // as expressions have it
	Title phrase.Phrase // for people; empty: its name
	Unit  string
	// Expr is the column over the other columns of its row, the inputs of the step, and before_NAME, which is column
	// NAME of the row above. Empty: given. In the first row a column whose Expr looks above is given.
	Expr string
}

// A Row is one row of a table: what it is of, and its figures in the order of the columns.
type Row struct {
	Label  phrase.Phrase
	Values []float64
}

// Given is an input that a key of a file gives.
func Given(name string, value float64, unit, table, at, key string) Input {
	return Input{Name: name, Value: value, Unit: unit, From: Origin{Key: &Key{table, at, key}}}
}

// Result is an input that an earlier step has worked out.
func Result(name string, value float64, unit string, of Ref) Input {
	return Input{Name: name, Value: value, Unit: unit, From: Origin{Ref: of}}
}

// Named is an input that a step of another working has worked out, whose result goes by the same name.
func Named(name string, value float64, unit string) Input {
	return Input{Name: name, Value: value, Unit: unit, From: Origin{Name: name}}
}

// Told is an input that stands in a published table, or in a part of the plan that is no step.
func Told(name string, value float64, unit string, where phrase.Phrase) Input {
	return Input{Name: name, Value: value, Unit: unit, From: Origin{Told: where}}
}

// Constant is an input that belongs to the rule itself.
func Constant(name string, value float64, unit string) Input {
	return Input{Name: name, Value: value, Unit: unit}
}

// Words say where an input comes from.
func (o Origin) Words() phrase.Phrase {
	switch {
	case o.Step > 0:
		return phrase.Of("step %d", o.Step)
	case o.Key != nil:
		return o.Where
	case !o.Told.Empty():
		return o.Told
	case o.Name != "":
		return phrase.Phrase{} // no step has the name: a fault of the planner, which a test finds
	}
	return phrase.Of("constant of the rule")
}

// Digits writes a result as people read it: six significant figures, whole numbers whole.
func Digits(v float64) string { return digits(v, 6) }

// InputDigits writes what goes into a step with the figures that it takes to come to all those of its result.
func InputDigits(v float64) string { return digits(v, 10) }

func digits(v float64, significant int) string {
	if size := math.Abs(v); size >= math.Pow10(significant) && size < 1e15 {
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	return strconv.FormatFloat(v, 'g', significant, 64)
}
