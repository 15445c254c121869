package sheet

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/expr-lang/expr"
	"github.com/expr-lang/expr/vm"

	"outlast/backup"
	"outlast/backup/drawnhome"
	"outlast/backup/samplehome"
	"outlast/backup/sheet/speech"
	"outlast/backup/site"
	"outlast/catalog"
)

// A toldStep is a step of the working as a reader finds it printed, and nothing else of it.
type toldStep struct {
	No     int
	Title  string
	Expr   string
	Inputs []toldInput
	Table  *toldTable
	Value  float64
	Unit   string
	digits string // of the value, as text has it
}

type toldInput struct {
	Name, Unit, From string
	Value            float64
	Table, At, Key   string
	Step             int
}

type toldTable struct {
	Columns []struct{ Name, Expr string }
	Rows    []struct {
		Label  string
		Values []float64
	}
}

// programs are the formulas that were compiled. The expressions are read by a library that knows nothing of the
// planner.
type programs map[string]*vm.Program

func (ps programs) run(code string, env map[string]any) (float64, error) {
	p := ps[code]
	if p == nil {
		var err error
		if p, err = expr.Compile(code, formulaLanguage...); err != nil {
			return 0, err
		}
		ps[code] = p
	}
	v, err := expr.Run(p, env)
	if err != nil {
		return 0, err
	}
	switch v := v.(type) {
	case float64:
		return v, nil
	case int:
		return float64(v), nil
	}
	return 0, fmt.Errorf("%q gives %v, want a number", code, v)
}

// formulaLanguage is what the working promises of its expressions, and no more.
var formulaLanguage = func() []expr.Option {
	out := []expr.Option{expr.DisableAllBuiltins()}
	number := func(v any) (float64, error) {
		switch v := v.(type) {
		case float64:
			return v, nil
		case int:
			return float64(v), nil
		}
		return 0, fmt.Errorf("found %v, want a number", v)
	}
	one := func(name string, f func(float64) float64) {
		out = append(out, expr.Function(name, func(args ...any) (any, error) {
			if len(args) != 1 {
				return nil, fmt.Errorf("%s of %d numbers", name, len(args))
			}
			x, err := number(args[0])
			return f(x), err
		}))
	}
	for name, f := range map[string]func(float64) float64{"sqrt": math.Sqrt, "abs": math.Abs, "exp": math.Exp,
		"ln": math.Log, "sin": math.Sin, "cos": math.Cos, "tan": math.Tan, "acos": math.Acos, "floor": math.Floor,
		"ceil": math.Ceil} {
		one(name, f)
	}
	many := func(name string, f func([]float64) (float64, error)) {
		out = append(out, expr.Function(name, func(args ...any) (any, error) {
			var list []float64
			for _, a := range args {
				if column, ok := a.([]float64); ok {
					list = append(list, column...)
					continue
				}
				x, err := number(a)
				if err != nil {
					return nil, err
				}
				list = append(list, x)
			}
			return f(list)
		}))
	}
	many("sum", func(l []float64) (total float64, _ error) {
		for _, x := range l {
			total += x
		}
		return total, nil
	})
	some := func(f func([]float64) float64) func([]float64) (float64, error) {
		return func(l []float64) (float64, error) {
			if len(l) == 0 {
				return 0, fmt.Errorf("of nothing")
			}
			return f(l), nil
		}
	}
	many("max", some(slices.Max[[]float64]))
	many("min", some(slices.Min[[]float64]))
	many("first", some(func(l []float64) float64 { return l[0] }))
	many("last", some(func(l []float64) float64 { return l[len(l)-1] }))
	return out
}()

// recompute works a step out again from what is printed in it. near says whether a cell of a table agrees.
func (ps programs) recompute(s toldStep, near func(got, printed, size float64) bool) (float64, error) {
	env := map[string]any{}
	for _, i := range s.Inputs {
		if _, twice := env[i.Name]; twice {
			return 0, fmt.Errorf("two inputs are called %s", i.Name)
		}
		env[i.Name] = i.Value
	}
	if s.Table != nil {
		inputs := maps.Clone(env)
		for c, column := range s.Table.Columns {
			if _, twice := inputs[column.Name]; twice {
				return 0, fmt.Errorf("an input is called %s too", column.Name)
			}
			var cells []float64
			for n, row := range s.Table.Rows {
				if len(row.Values) != len(s.Table.Columns) {
					return 0, fmt.Errorf("row %d has %d figures, want %d", n+1, len(row.Values), len(s.Table.Columns))
				}
				cells = append(cells, row.Values[c])
				if column.Expr == "" || n == 0 && strings.Contains(column.Expr, "before_") {
					continue
				}
				cell := maps.Clone(inputs)
				size := 0.0
				for d, other := range s.Table.Columns {
					cell[other.Name] = row.Values[d]
					size = max(size, math.Abs(row.Values[d]))
					if n > 0 {
						cell["before_"+other.Name] = s.Table.Rows[n-1].Values[d]
					}
				}
				got, err := ps.run(column.Expr, cell)
				if err != nil {
					return 0, err
				}
				if !near(got, row.Values[c], size) {
					return 0, fmt.Errorf("row %d: %s = %s gives %v, printed is %v", n+1, column.Name, column.Expr, got,
						row.Values[c])
				}
			}
			env[column.Name] = cells
		}
	}
	return ps.run(s.Expr, env)
}

// workingOf is the working of a plan as JSON has it.
func workingOf(t *testing.T, p *backup.Plan) []toldStep {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, []*backup.Plan{p}, Options{Format: "json", Working: true}); err != nil {
		t.Fatal(err)
	}
	var out struct{ Working []toldStep }
	if err := json.Unmarshal(b.Bytes(), &out); err != nil {
		t.Fatal(err)
	}
	return out.Working
}

var (
	stepLine  = regexp.MustCompile(`^ {0,2}(\d+)  (\S.*)$`)
	inputText = regexp.MustCompile(`^ {7}(\w+) = (\S+)(?: (\S.*?))?   (\S.*)$`)
	thousands = regexp.MustCompile(`\d(?:[ ,]\d{3})+\b`)
	colText   = regexp.MustCompile(`^ {7}- (\w+)(?:, ([^=:]+?))?(?: = ([^:]+))?(?:: .*)?$`)
)

var unparted = strings.NewReplacer(" ", "", ",", "")

// plainSigns are those of numbers of which a home with American units has typographic ones.
var plainSigns = strings.NewReplacer("−", "-", speech.Hard, " ", speech.Thin, "")

// workingInText is the working of a plan as a screen has it, so wide that no line is broken.
func workingInText(t *testing.T, p *backup.Plan) []toldStep {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, []*backup.Plan{p}, Options{Format: "text", Working: true, Width: 1000}); err != nil {
		t.Fatal(err)
	}
	_, text, _ := strings.Cut(b.String(), "\nWorking\n")
	text, _, _ = strings.Cut(text, "\nDefaults used\n")
	var out []toldStep
	var equals [][]string
	for line := range strings.Lines(plainSigns.Replace(text)) {
		line = thousands.ReplaceAllStringFunc(line, unparted.Replace) // by a blank, or a comma
		line = strings.TrimRight(line, "\n")
		if m := stepLine.FindStringSubmatch(line); m != nil {
			no, _ := strconv.Atoi(m[1])
			out, equals = append(out, toldStep{No: no, Title: m[2]}), append(equals, nil)
			continue
		}
		if len(out) == 0 {
			continue
		}
		s := &out[len(out)-1]
		switch m := inputText.FindStringSubmatch(line); {
		case strings.HasPrefix(line, "     = "):
			equals[len(out)-1] = append(equals[len(out)-1], line[7:])
		case strings.HasPrefix(line, "       | "):
			fields := strings.Fields(line[9:])
			n := len(s.Table.Columns)
			if s.Table.Rows == nil && fields[0] == s.Table.Columns[0].Name {
				s.Table.Rows = []struct {
					Label  string
					Values []float64
				}{}
				continue
			}
			if len(fields) < n {
				t.Fatalf("step %d: %q, want %d figures for %v", s.No, line, n, s.Table.Columns)
			}
			var values []float64
			for _, f := range fields[:n] {
				v, err := strconv.ParseFloat(f, 64)
				if err != nil {
					t.Fatalf("step %d: %q in %q, want a number", s.No, f, line)
				}
				values = append(values, v)
			}
			s.Table.Rows = append(s.Table.Rows, struct {
				Label  string
				Values []float64
			}{strings.Join(fields[n:], " "), values})
		case m != nil && !strings.HasPrefix(line, "       - "):
			v, err := strconv.ParseFloat(m[2], 64)
			if err != nil {
				t.Fatalf("step %d: %v", s.No, err)
			}
			s.Inputs = append(s.Inputs, toldInput{Name: m[1], Value: v, Unit: m[3], From: m[4]})
		case strings.HasPrefix(line, "       - "):
			if s.Table == nil {
				s.Table = &toldTable{}
			}
			columns := []string{line}
			if !strings.Contains(line, " = ") && !strings.Contains(line, ": ") { // several that are given
				columns = strings.Split(strings.TrimPrefix(line, "       - "), "; ")
			}
			for _, c := range columns {
				m := colText.FindStringSubmatch("       - " + strings.TrimPrefix(c, "       - "))
				if m == nil {
					t.Fatalf("step %d: not understood: %q", s.No, line)
				}
				s.Table.Columns = append(s.Table.Columns, struct{ Name, Expr string }{m[1], m[3]})
			}
		}
	}
	for i, lines := range equals {
		s := &out[i]
		if len(lines) > 1 {
			s.Expr = lines[0]
		}
		s.digits, _, _ = strings.Cut(lines[len(lines)-1], " ")
		v, err := strconv.ParseFloat(s.digits, 64)
		if err != nil {
			t.Fatalf("step %d: result %q: %v", s.No, lines[len(lines)-1], err)
		}
		s.Value = v
	}
	return out
}

// halfDigit is half of the last digit of a printed number.
func halfDigit(printed string) float64 {
	mantissa, power, _ := strings.Cut(strings.TrimLeft(printed, "-+"), "e")
	exponent, _ := strconv.Atoi(power)
	if _, decimals, ok := strings.Cut(mantissa, "."); ok {
		exponent -= len(decimals)
	}
	v, _ := strconv.ParseFloat(printed, 64)
	if v == 0 {
		return 1e-9
	}
	// Trailing zeros are not printed: six figures are meant.
	six := int(math.Floor(math.Log10(math.Abs(v)))) - 5
	return math.Pow10(min(exponent, max(six, min(exponent, 0)))) / 2
}

// homesToFollow are the homes of the examples, and so many drawn ones.
func homesToFollow(t *testing.T, drawn uint64) map[string][]byte {
	t.Helper()
	out := map[string][]byte{}
	for _, path := range samplehome.Files(t) {
		_, out[filepath.Base(path)] = samplehome.Text(t, samplehome.Name(path))
	}
	// A generator of which no fuel is known burns what a published chart says.
	for name, kva := range map[string]int{"small": 5, "middle": 22, "large": 150} {
		out["drystone with a "+name+" generator"] = append(slices.Clone(out["drystone.toml"]),
			fmt.Sprintf("\n[generator]\nrated_va = %d\npower_factor = 0.8\nfuel = \"diesel\"\nfuel_l = 40\n",
				1000*kva)...)
	}
	for seed := range drawn {
		out[fmt.Sprint("drawn home ", seed)] = drawnhome.Draw(seed)
	}
	out["drawn home 205"] = drawnhome.Draw(205) // a circuit has the same largest start in seasons of other loads
	return out
}

// ofThing takes from a title what differs from home to home: names in quotation marks, and the part before a colon.
var ofThing = regexp.MustCompile(`"[^"]*"|^.*: |^Array \d+|\d+`)

// mayBeRead are the steps without a formula, by their titles, and why: figures of published tables, and what a search
// has found, whose outcome the steps after it show.
var mayBeRead = map[string]string{
	"tabulated current":                      "a published table of conductors",
	"ambient factor":                         "a published table of conductors",
	"grouping factor":                        "a published table of conductors",
	"Interruption that electronics tolerate": "a published curve",
	"Kinetic model of a unit, rate k' of the flow between the wells": "least squares: the fit and its errors follow",
	"Probable power": "an upper bound, where the distribution takes too long",
	"Autonomy":       "lasts so long that nobody writes its steps down",
	"Autonomy, new":  "lasts so long that nobody writes its steps down",
}

// Every step of the working is worked out again from what is printed in it alone: in JSON from the exact figures, in
// text from the printed ones. What comes from another step is what that step has printed; what comes from a line of the
// site file stands there.
func TestStepsAreRecomputed(t *testing.T) {
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	drawn := uint64(60)
	if testing.Short() {
		drawn = 6
	}
	ps := programs{}
	var all, byFormula, byTable, homes, lines int
	given := map[string]int{}
	sources := homesToFollow(t, drawn)
	for _, name := range slices.Sorted(maps.Keys(sources)) {
		src := sources[name]
		s, err := site.Read(name, src, cat)
		if err != nil {
			t.Fatal(err)
		}
		p, err := backup.NewPlan(context.Background(), s)
		if err != nil {
			continue // no plan, no working
		}
		homes++
		exact, printed := workingOf(t, p), workingInText(t, p)
		if len(exact) != len(printed) {
			t.Fatalf("%s: %d steps in JSON, %d in text", name, len(exact), len(printed))
		}
		file := strings.Split(string(src), "\n")
		for i, step := range exact {
			all++
			where := fmt.Sprintf("%s, step %d, %s", name, step.No, step.Title)
			if step.No != i+1 || printed[i].No != step.No {
				t.Errorf("%s: stands at %d", where, i+1)
			}
			for n, in := range step.Inputs {
				if in.From == "as the check tells" {
					t.Errorf("%s: no step and no key has %s = %v", where, in.Name, in.Value)
				}
				if in.From == "" {
					t.Errorf("%s: %s comes from nowhere", where, in.Name)
				}
				if in.Step > 0 {
					if in.Step >= step.No {
						t.Errorf("%s: %s is of the later step %d", where, in.Name, in.Step)
					} else if from := exact[in.Step-1]; from.Value != in.Value || from.Unit != in.Unit {
						t.Errorf("%s: %s = %v %s is of step %d, which has %v %s", where, in.Name, in.Value, in.Unit,
							in.Step, from.Value, from.Unit)
					}
				}
				if of := printed[i]; n < len(of.Inputs) && in.Step > 0 {
					half := halfDigit(printed[in.Step-1].digits)
					if math.Abs(of.Inputs[n].Value-printed[in.Step-1].Value) > half*1.001 {
						t.Errorf("%s: %s is printed as %v, and at step %d as %s", where, in.Name, of.Inputs[n].Value,
							in.Step, printed[in.Step-1].digits)
					}
				}
				if line, ok := strings.CutPrefix(in.From, "line "); ok {
					lines++
					no, _ := strconv.Atoi(line)
					if no < 1 || no > len(file) || !stands(file[no-1:], in.Key, in.Value) {
						t.Errorf("%s: %s = %v, key %s, does not stand on line %d", where, in.Name, in.Value, in.Key, no)
					}
				}
			}
			if step.Expr == "" {
				given[ofThing.ReplaceAllString(step.Title, "")]++
				continue
			}
			if step.Table == nil {
				byFormula++
			} else {
				byTable++
			}
			got, err := ps.recompute(step, func(got, printed, size float64) bool {
				return math.Abs(got-printed) <= 1e-9*max(math.Abs(printed), 1e-3*size)
			})
			if err != nil || math.Abs(got-step.Value) > 1e-9*math.Abs(step.Value)+1e-12 {
				t.Errorf("%s: %s gives %v (%v), want %v", where, step.Expr, got, err, step.Value)
				continue
			}
			of := printed[i]
			if of.Expr != step.Expr {
				t.Errorf("%s: text has the formula %q, JSON %q", where, of.Expr, step.Expr)
			}
			if len(of.Inputs) != len(step.Inputs) {
				t.Errorf("%s: text has %d inputs, JSON %d", where, len(of.Inputs), len(step.Inputs))
			}
			got, err = ps.recompute(of, func(got, printed, size float64) bool {
				return math.Abs(got-printed) <= 1e-6*math.Abs(printed)+1e-8*size
			})
			tolerance := 1.001*halfDigit(of.digits) + 1e-12
			if step.Unit == "" { // a share of what is nearly nothing has no more digits than what it is a share of
				tolerance += 1e-9
			}
			if err != nil || math.Abs(got-of.Value) > tolerance {
				t.Errorf("%s: as printed, %s gives %v (%v), want %s", where, step.Expr, got, err, of.digits)
			}
		}
	}
	read := all - byFormula - byTable
	t.Logf("%d homes, %d steps: %d by a formula, %d by a table, %d read; %d inputs found on their lines", homes, all,
		byFormula, byTable, read, lines)
	for _, title := range slices.SortedFunc(maps.Keys(given), func(a, b string) int { return given[b] - given[a] }) {
		t.Logf("%6d read: %s", given[title], title)
		if why := mayBeRead[title]; why == "" {
			t.Errorf("%d steps %q have no formula, and are none of those that are read", given[title], title)
		}
	}
}

// stands says whether a key with a value, or a list that has it, stands in the first of some lines; a list may go on
// in the lines below.
func stands(lines []string, key string, value float64) bool {
	at := regexp.MustCompile(`(?:^|[\s{,])"?` + regexp.QuoteMeta(key) + `"?\s*=\s*`).FindStringIndex(lines[0])
	if at == nil {
		return false
	}
	text := lines[0][at[1]:]
	if strings.HasPrefix(text, "[") || strings.HasPrefix(text, "{") {
		for i := 1; strings.Count(text, "[")+strings.Count(text, "{") > strings.Count(text, "]")+strings.Count(text,
			"}") &&
			i < len(lines); i++ {
			text += "\n" + lines[i]
		}
	} else if end := strings.IndexAny(text, ",}#"); end >= 0 {
		text = text[:end]
	}
	for _, n := range regexp.MustCompile(`[-+]?[\d_]+(?:\.\d+)?(?:[eE][-+]?\d+)?`).FindAllString(text, -1) {
		if v, err := strconv.ParseFloat(strings.ReplaceAll(n, "_", ""), 64); err == nil && v == value {
			return true
		}
	}
	return false
}
