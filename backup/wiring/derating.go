package wiring

import (
	"fmt"

	"outlast/backup/phrase"
	"outlast/backup/working"
)

// DeratingRule is a published rule of how a generator set loses power with altitude and heat.
type DeratingRule string

// The rules that are carried.
const (
	AlternatorRule DeratingRule = "alternator" // 3 % per 500 m above 1000 m, 3 % per 5 C above 40 C
	PortableRule   DeratingRule = "portable"   // 3.5 % per 300 m above 1500 m, 3 % per 5 C above 40 C
	EngineRule     DeratingRule = "engine"     // petrol and gas: 3.5 % per 1000 ft above the sea, 1 % per 10 F above 77 F
	DieselRule     DeratingRule = "diesel"     // without turbocharger: 1 % per 100 m above 300 m, 1 % per 10 F above 77 F
	TurboRule      DeratingRule = "turbo"      // turbocharged: 4 % per 300 m above 1500 m, 9 % above 3000 m, 2 % per 1 C above 40 C
	ThumbRule      DeratingRule = "thumb"      // 3 % per 1000 ft, above 6000 ft 6 %; says nothing of heat
)

// AllDeratingRules lists the rules in a fixed order.
func AllDeratingRules() []DeratingRule {
	return []DeratingRule{AlternatorRule, PortableRule, EngineRule, DieselRule, TurboRule, ThumbRule}
}

// DeratingRulesOf gives the rules that hold for a kind of engine, its own and the alternator's: of a set the weaker of
// the two decides. fuel is "petrol", "gas" or "diesel"; an engine of unknown fuel is taken as petrol, which loses most.
// Only a diesel can be turbocharged here.
//
// An engine without a blower draws air as thin as it is, 3.4 % less for each 300 m from the sea on: a rule that begins
// at 1000 m or more would leave it up to 17 % too much.
func DeratingRulesOf(fuel string, turbo bool) []DeratingRule {
	switch {
	case fuel == diesel && turbo:
		return []DeratingRule{TurboRule, AlternatorRule}
	case fuel == diesel:
		return []DeratingRule{DieselRule, AlternatorRule}
	}
	return []DeratingRule{EngineRule, AlternatorRule}
}

const metresPerFoot = 0.3048

// A slope takes lossPer of the rating for each unit above from.
type slope struct{ from, lossPer float64 }

// deratings: the rules in altitude (m) and heat (C). Slopes add; the second of ThumbRule adds to the first.
var deratings = []struct {
	rule     DeratingRule
	altitude []slope
	heat     []slope
	sources  []working.Source
}{
	{AlternatorRule, []slope{{1000, 0.03 / 500}}, []slope{{40, 0.03 / 5}},
		read(phrase.Of("operator's manuals of a portable-set maker and an alternator training sheet"))},
	{PortableRule, []slope{{1500, 0.035 / 300}}, []slope{{40, 0.03 / 5}},
		read(phrase.Of("second maker's manual of portable sets"))},
	{EngineRule, []slope{{0, 0.035 / (1000 * metresPerFoot)}}, []slope{{25, 0.01 * 9 / 5 / 10}},
		read(phrase.Of("standby generator installation manual"))},
	{DieselRule, []slope{{300, 0.01 / 100}}, []slope{{25, 0.01 * 9 / 5 / 10}},
		append(read(phrase.Of("US mine safety office, minutes on the approval of engines")),
			forFigure(phrase.Of("heat"), read(phrase.Of("standby generator installation manual")))...)},
	// A maker of sets, for the engine of another, has 4 % per 300 m above 1525 m and 2 % per 11 C above 40 C; the table
	// of a maker of compressors for a turbocharged set of 500 kVA loses more above 3000 m and in heat. The lower of
	// both is taken.
	{TurboRule, []slope{{1500, 0.04 / 300}, {3000, 0.05 / 300}}, []slope{{40, 0.02}},
		read(phrase.Of("the lower of a set maker's altitude sheet and a compressor maker's table after ISO 3046-1"))},
	{ThumbRule, []slope{{0, 0.03 / (1000 * metresPerFoot)}, {6000 * metresPerFoot, 0.03 / (1000 * metresPerFoot)}}, nil,
		read(phrase.Of("dealer's note"))},
}

func read(words phrase.Phrase) []working.Source {
	return []working.Source{working.From(words, working.Read)}
}

// A Derating is what altitude and heat leave of a rating; the two factors multiply, as the alternator sheet says. The
// engine rule does not say whether its factors add or multiply; they differ by half a percent.
type Derating struct {
	Rule                   DeratingRule // that leaves least
	Altitude, Heat, Factor float64      // 0 to 1 each
	tried                  []ruleAt     // the rules that were tried
}

// A ruleAt is a rule at a place.
type ruleAt struct {
	Derating
	altitudeM, ambientC float64
}

// GeneratorDerating applies published rules at altitudeM (-500 to 9,000 m) and ambientC (-60 to 80 C); of several, that
// which leaves least. A rule goes on in a straight line beyond its published table (they end at 4,000 m and 60 C), down
// to 0. Cold and low places add nothing.
func GeneratorDerating(altitudeM, ambientC float64, rules ...DeratingRule) (Derating, error) {
	if err := firstError(within(phrase.Of("altitude"), altitudeM, -500, 9000, "m"),
		within(phrase.Of("ambient temperature"), ambientC, -60, 80, "C")); err != nil {
		return Derating{}, err
	}
	if len(rules) == 0 {
		return Derating{}, errs.Errorf("no derating rule, want one of %q", AllDeratingRules())
	}
	var least Derating
	var tried []ruleAt
	for i, rule := range rules {
		d, err := rule.at(altitudeM, ambientC)
		if err != nil {
			return Derating{}, err
		}
		tried = append(tried, ruleAt{d, altitudeM, ambientC})
		if i == 0 || d.Factor < least.Factor {
			least = d
		}
	}
	least.tried = tried
	return least, nil
}

func (rule DeratingRule) at(altitudeM, ambientC float64) (Derating, error) {
	for _, r := range deratings {
		if r.rule != rule {
			continue
		}
		d := Derating{Rule: rule, Altitude: left(r.altitude, altitudeM), Heat: left(r.heat, ambientC)}
		d.Factor = d.Altitude * d.Heat
		return d, nil
	}
	return Derating{}, errs.Errorf("derating rule %q, want one of %q", string(rule), AllDeratingRules())
}

func left(slopes []slope, v float64) float64 {
	loss := 0.0
	for _, s := range slopes {
		loss += s.lossPer * max(0, v-s.from)
	}
	return max(0, 1-loss)
}

// write adds the factors of every rule that was tried.
func (d Derating) write(w *working.Part) {
	for _, t := range d.tried {
		for _, r := range deratings {
			if r.rule != t.Rule {
				continue
			}
			w.Add(slopeStep("altitude_factor "+string(t.Rule), phrase.Of("Generator, altitude"), t.Rule, r.altitude,
				in("altitude_m", t.altitudeM, "m"), t.Altitude, r.sources))
			w.Add(slopeStep("heat_factor "+string(t.Rule), phrase.Of("Generator, heat"), t.Rule, r.heat,
				in("hottest_c", t.ambientC, "C"), t.Heat, r.sources))
		}
	}
}

// ruled is a factor of a rule, as an input.
func ruled(name string, value float64, rule DeratingRule, w *working.Part) working.Input {
	return working.Input{Name: name, Value: value, From: w.Named(name + " " + string(rule))}
}

// slopeStep is what slopes leave.
func slopeStep(name string, title phrase.Phrase, rule DeratingRule, slopes []slope, at working.Input, value float64,
	sources []working.Source) Step {
	s := Step{Name: name, Title: title, Formula: phrase.Of("rule: %s", string(rule)), Expr: "1", Value: value,
		Sources: sources}
	for i, sl := range slopes {
		loss, from := fmt.Sprintf("loss_%d_per_%s", i+1, at.Unit), fmt.Sprintf("from_%d_%s", i+1, at.Unit)
		s.Expr += fmt.Sprintf(" - %s * max(0, %s - %s)", loss, at.Name, from)
		s.Inputs = append(s.Inputs, in(loss, sl.lossPer, "1/"+at.Unit), in(from, sl.from, at.Unit))
	}
	if len(slopes) > 0 {
		s.Expr, s.Inputs = "max(0, "+s.Expr+")", append([]working.Input{at}, s.Inputs...)
	}
	return s
}

// Slopes returns what a rule takes of the rating for each metre of altitude and each K of heat above which figure:
// (from, loss) each, which add up. None: nothing is taken.
func (rule DeratingRule) Slopes() (altitude, heat [][2]float64) {
	pairs := func(slopes []slope) (out [][2]float64) {
		for _, s := range slopes {
			out = append(out, [2]float64{s.from, s.lossPer})
		}
		return out
	}
	for _, r := range deratings {
		if r.rule == rule {
			return pairs(r.altitude), pairs(r.heat)
		}
	}
	return nil, nil
}
