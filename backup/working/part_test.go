package working

import (
	"testing"

	"outlast/backup/phrase"
)

// A source says document, edition and place, which figure it is of, and in a word how it is known; what is said twice
// is said once.
func TestCite(t *testing.T) {
	for _, tt := range []struct {
		sources []Source
		want    string
	}{
		{nil, ""},
		{[]Source{NEC2023.At(InTable("310.16"), Quoted)}, "NEC (2023), Table 310.16 [quoted]"},
		{[]Source{NREL62641.At(phrase.Phrase{}, Read)}, "NREL/TP-6A20-62641 (2014)"},
		{[]Source{IEEE485.At(phrase.Phrase{}, Memory), IEEE485.At(phrase.Phrase{}, Memory)}, "IEEE 485 [memory]"},
		{[]Source{Plainly(phrase.Of("common practice"), Practice).For(phrase.Of("limit"))}, "limit: common practice"},
		{[]Source{From(phrase.Of("definition"), Definition), ASNZS5603.At(InClause("2.2"), Read)},
			"definition; AS/NZS 5603 (2009), clause 2.2"},
	} {
		if got := Cite(tt.sources).String(); got != tt.want {
			t.Errorf("%q, want %q", got, tt.want)
		}
	}
	for _, b := range Bases() {
		if b.Word().Empty() || b.Means().Empty() {
			t.Errorf("%s has no word, or nothing explains it", b.Name())
		}
	}
}

// An input of a part is the result of its last step of that name, else what the caller knows of the name, else a
// constant; and it stays so when the part becomes one of many with the same names.
func TestPart(t *testing.T) {
	part := func(v float64) []Step {
		p := Part{Origins: func(name string) Origin {
			switch name {
			case "length_m":
				return Origin{Key: &Key{Table: "wiring", Key: "bank_m"}}
			case "outside_a":
				return Origin{Name: name}
			}
			return Origin{}
		}}
		p.Add(Step{Name: "need_a", Value: v})
		p.Add(Step{Inputs: []Input{{Name: "need_a", Value: v}, {Name: "length_m"}, {Name: "k"},
			{Name: "outside_a", Value: 7}}})
		return p.Steps
	}
	var all List
	all.Add(Step{Name: "outside_a", Value: 7})
	all.AddAll(part(1), nil)
	all.AddAll(part(2), nil)
	for no, want := range map[int][4]string{3: {"step 2", "", "constant of the rule", "step 1"},
		5: {"step 4", "", "constant of the rule", "step 1"}} {
		for i, in := range all.Steps[no-1].Inputs {
			if got := in.From.Words().String(); got != want[i] {
				t.Errorf("step %d: %s comes from %q, want %q", no, in.Name, got, want[i])
			}
		}
	}
	if k := all.Steps[2].Inputs[1].From.Key; k == nil || k.Key != "bank_m" {
		t.Errorf("length_m has the key %v", k)
	}
}
