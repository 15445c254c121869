package site

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"outlast/loads"
)

// motorWords are the names of appliances with a motor or a compressor, in the four languages of the papers, in lower
// case. A name that holds one of stems anywhere (German joins words), or one of words as a word of its own, tells of a
// motor. Common names, collected for this program.
var motorWords = struct{ stems, words []string }{
	stems: []string{
		"fridge", "freezer", "refrigerator", "pump", "compressor", "air condition", "air-condition", "aircon",
		"washing machine", "dishwasher",
		"tumble dryer", "ventilator", "heat recovery", "garage door", "lawn mower", "milking machine",
		"kühlschrank", "kühltruhe", "gefrier", "kompressor", "verdichter", "klimaanlage", "klimagerät", "waschmaschine",
		"wäschetrockner",
		"geschirrspül", "spülmaschine", "lüfter", "ventilateur", "garagentor", "kreissäge", "melkmaschine",
		"frigo", "réfrigérateur", "congélateur", "pompe", "compresseur", "climatis", "lave-linge", "lave-vaisselle",
		"sèche-linge",
		"nevera", "heladera", "congelador", "compresor", "aire acondicionado", "lavadora", "lavavajillas", "secadora",
	},
	words: []string{"fan", "fans", "motor", "motors", "moteur", "motores", "washer", "dryer", "chiller", "bomba",
		"bombas", "saw", "säge", "scie", "sierra", "hoist",
		"lathe", "grinder", "motoren", "moteurs"},
}

// namesMotor says whether the name of a load tells of a motor or a compressor.
func namesMotor(name string) bool {
	name = strings.ToLower(name)
	for _, stem := range motorWords.stems {
		if strings.Contains(name, stem) {
			return true
		}
	}
	return slices.ContainsFunc(strings.FieldsFunc(name, func(r rune) bool { return !unicode.IsLetter(r) }),
		func(word string) bool {
			return slices.Contains(motorWords.words, word)
		})
}

// HasMotor says whether a load is to be counted as a motor: it starts harder than it runs, or its name or its class
// says so.
func HasMotor(l *loads.Load) bool { return l.Start != nil || isMotor(l) }

// isMotor says whether a load has a motor or a compressor: by its class, where it uses one (some of its kind start
// harder than they run), else by its name.
func isMotor(l *loads.Load) bool {
	if l.Typical != nil {
		return l.Typical.High.Start != nil
	}
	return namesMotor(l.Name)
}

// ContinuousH is from when on loads are continuous: those that run longer count continuous_factor against a breaker, by
// NEC 210.20(A). The IEC tables have no such rule (wiring.ContinuousFactor).
const ContinuousH = 3.0

// startUnknown says whether a load may start harder than it runs, and the file does not tell how: it has a motor, or it
// draws reactive power, as motors do. A class without a start is known not to start.
func startUnknown(l *loads.Load) bool {
	return l.Start == nil && l.RunningW > 0 && (isMotor(l) || l.Typical == nil && l.PowerFactor > 0 &&
		l.PowerFactor < 1)
}

// WithLargestMotor is the largest current of a set, told by of, with one unit of a motor counting share more than it
// draws: of those that may run together the one for which that is most. weight is the count of the loads beside it;
// what it counts more already stays.
func WithLargestMotor(set *loads.Set, ls []loads.Load, weight func(loads.Load) float64, share float64,
	of func(loads.Demand) float64) float64 {
	most, _ := largestMotor(set, ls, weight, share, of)
	return most
}

// LargestMotorWeight is how often each load counts in [WithLargestMotor].
func LargestMotorWeight(set *loads.Set, ls []loads.Load, weight func(loads.Load) float64, share float64,
	of func(loads.Demand) float64) func(loads.Load) float64 {
	_, counts := largestMotor(set, ls, weight, share, of)
	return counts
}

func largestMotor(set *loads.Set, ls []loads.Load, weight func(loads.Load) float64, share float64,
	of func(loads.Demand) float64) (most float64, counts func(loads.Load) float64) {
	counts = weight
	if share == 0 {
		return 0, counts
	}
	for i := range ls {
		motor := &ls[i]
		if !HasMotor(motor) {
			continue
		}
		with := func(l loads.Load) float64 {
			count := weight(l)
			if l.Name == motor.Name {
				n := float64(l.Quantity)
				count = (count*(n-1) + max(count, 1+share)) / n
			}
			return count
		}
		if a := of(set.ScheduledWith(with)); a > most {
			most, counts = a, with
		}
	}
	return most, counts
}

// WithoutStart names those of some loads whose start is not known, the larger ones first: those whose names tell of a
// motor, and those that only draw reactive power, as electronics do too.
func WithoutStart(ls []loads.Load) (named, reactive []string) {
	unknown := loads.Where(ls, startUnknown)
	slices.SortFunc(unknown, func(a, b loads.Load) int {
		return cmp.Or(cmp.Compare(b.Running().VA(), a.Running().VA()), cmp.Compare(a.Name, b.Name))
	})
	for _, l := range unknown {
		if isMotor(&l) {
			named = append(named, l.Name)
		} else {
			reactive = append(reactive, l.Name)
		}
	}
	return named, reactive
}
