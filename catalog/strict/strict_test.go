package strict

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// testKeys are the keys of the files in these tests: one table, one list of tables, and in it every kind of value.
var testKeys = Keys{List: []Key{
	{Name: "site", Kind: Group, Required: true, Keys: &Keys{Name: "[site]", List: []Key{
		{Name: "name", Kind: Text, Required: true},
		{Name: "phases", Kind: Whole, Min: 1, Max: 3, Default: 1},
		{Name: "volts", Kind: Number, Above: true, Max: 1000, Unit: "V"},
		{Name: "start", Kind: Text, Default: "worst"},
	}}},
	{Name: "load", Kind: Groups, MaxLen: 5, Keys: &Keys{Name: "[[load]]", List: []Key{
		{Name: "name", Kind: Text},
		{Name: "running_w", Kind: Number, Max: 1e7, Unit: "W"},
		{Name: "power_factor", Kind: Number, Min: 0.01, Max: 1, Default: 1.0},
		{Name: "board", Kind: Text, Choices: []string{"backup", "main", "either"}},
		{Name: "interlock", Kind: Text, MayBeNone: true, Default: ""},
		{Name: "held_off", Kind: Switch, Default: false},
		{Name: "when", Kind: Texts, MinLen: 1, MaxLen: 3},
		{Name: "kinds", Kind: Texts, Choices: []string{"agm", "gel"}},
		{Name: "months", Kind: Wholes, Min: 1, Max: 12, MinLen: 1, MaxLen: 12, Distinct: true},
		{Name: "monthly", Kind: Numbers, Max: 15, MinLen: 2, MaxLen: 2},
		{Name: "cycle", Kind: Group, Keys: &Keys{Name: "cycle", List: []Key{
			{Name: "on_min", Kind: Number, Max: 1440, Unit: "min", Required: true},
			{Name: "off_min", Kind: Number, Max: 1440, Unit: "min", Required: true},
		}}},
		{Name: "overload", Kind: Groups, MinLen: 1, MaxLen: 3, Keys: &Keys{Name: "overload", List: []Key{
			{Name: "seconds", Kind: Number, Max: 100, Required: true},
			{Name: "va", Kind: Number, Max: 100, Required: true},
		}}},
		{Name: "starting_va", Kind: Number, Max: 1e8, Unit: "VA"},
		{Name: "starting_w", Kind: Number, Max: 1e8, Unit: "W"},
		{Name: "motor", Kind: Group, Keys: &Keys{Name: "motor", List: []Key{
			{Name: "code", Kind: Text},
			{Name: "times", Kind: Number, Min: 1, Max: 20},
		}, OneOf: [][]string{{"code", "times"}}}},
	}, AtMostOne: [][]string{{"starting_va", "starting_w", "motor"}}}},
}}

// said gives the problems of a file as lines: place and message, then " | " and the hint where there is one.
func said(src string) []string {
	var problems Problems
	root, err := Parse("f", []byte(src), &testKeys)
	if err != nil {
		problems = err.(Problems)
	} else {
		problems = root.Problems()
	}
	return lined(problems)
}

func lined(problems Problems) []string {
	var out []string
	for _, p := range problems {
		line := strings.TrimPrefix(p.Error(), "f:")
		if p.Hint != "" {
			line += " | " + p.Hint
		}
		out = append(out, line)
	}
	return out
}

// home is a [site] without problems, three lines long, for tests of what follows it.
const home = "[site]\nname = \"Fernhollow\"\n\n"

// A fact is a file and all that is to be said about it.
type fact struct {
	name, src string
	want      []string
}

func tell(t *testing.T, facts []fact) {
	t.Helper()
	for _, f := range facts {
		t.Run(f.name, func(t *testing.T) {
			if diff := cmp.Diff(f.want, said(f.src)); diff != "" {
				t.Errorf("of the file\n%s\n(-want +got):\n%s", f.src, diff)
			}
		})
	}
}
