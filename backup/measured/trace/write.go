package trace

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"outlast/backup/draft"
	"outlast/backup/measured/tabular"
	"outlast/backup/phrase"
	"outlast/catalog/strict"
)

// Naming is how a load is called, and the class that it is of.
type Naming struct {
	Name  string
	Class string // id; "" for none
}

// A Say writes a phrase in the language in which comments are wanted; nil is English.
type Say func(phrase.Phrase) string

func (say Say) of(p phrase.Phrase) string {
	if say == nil {
		return p.String()
	}
	return say(p)
}

// ended is a sentence with its end.
func ended(s string) string {
	if strings.HasSuffix(s, "?") {
		return s
	}
	return s + "."
}

// Text writes the load as it stands in a site file, with a circuit of its own where no class gives one, and a drawing.
// Comments are as say has them, keys are keys.
func (l *Load) Text(n Naming, say Say) string {
	w := &draft.Writer{}
	tr := l.trace
	w.Comment(say.of(phrase.Of("Logged: %s, %d readings over %s, %s apart.", tr.From, len(tr.at),
		duration(tr.at[len(tr.at)-1]-tr.at[0]+l.hold(len(tr.at)-1)), duration(l.StepS))))
	w.Comment(say.of(phrase.Of("It went on %s; the highest reading is %s W, and it takes %s Wh a day, %s.",
		times(l.Runs),
		watts(l.HighestW), watts(l.WhPerDay), l.Basis)))
	if l.StandbyW >= 0.5 {
		w.Comment(say.of(phrase.Of("While it is off it takes %s W, which the hours below include.",
			printed(draft.Num(round(l.StandbyW, 1))))))
	}
	w.Line("#")
	for _, line := range l.Drawing(say) {
		w.Line("# %s", line)
	}
	if l.Doubts != nil {
		w.Line("#")
		w.Comment(say.of(phrase.Of("Doubtful:")))
		for _, d := range l.Doubts {
			w.Comment("- " + ended(say.of(d)))
		}
	}
	w.Line("")
	if len(l.runs) == 0 {
		return w.String()
	}
	// Two traces in one site file have circuits of their own.
	circuit := strconv.Quote(tabular.ID(n.Name, "logged"))
	if n.Class == "" {
		w.Line("[[circuit]]")
		w.Key("id", circuit, say.of(phrase.Of("or leave this out, and name the circuit that it is on")))
		w.Key("board", `"backup"`, "")
		w.Line("")
	}
	w.Line("[[load]]")
	w.Key("name", strconv.Quote(n.Name), "")
	if n.Class != "" {
		w.Key("use", strconv.Quote(n.Class), say.of(phrase.Of("for what the readings do not tell")))
	} else {
		w.Key("circuit", circuit, "")
	}
	says := phrase.Of("the middle of what it draws while it is on")
	switch {
	case l.onW < 0:
		says = phrase.Of("the mean: it is never off")
	case !l.Steady:
		says = phrase.Of("it varies: under this for 95 %% of its time on, the middle is %s W", watts(l.MedianW))
	}
	w.Key("running_w", draft.Num(l.RunningW), say.of(says))
	if l.PowerFactor > 0 {
		w.Key("power_factor", draft.Num(l.PowerFactor), say.of(phrase.Of("W over VA while it is on")))
	}
	l.writeStart(w, say)
	hours := phrase.Of("%s Wh over the running power, %s", watts(l.WhPerDay), l.Basis)
	w.Key("hours_per_day", draft.Num(l.HoursPerDay), say.of(hours))
	if l.OnMin > 0 {
		w.Key("cycle", fmt.Sprintf("{ on_min = %s, off_min = %s }", draft.Num(l.OnMin), draft.Num(l.OffMin)),
			say.of(phrase.Of("the middle of what was seen")))
	}
	return w.String()
}

func (l *Load) writeStart(w *draft.Writer, say Say) {
	if l.StartingW == 0 {
		return
	}
	says := say.of(phrase.Of("the highest of %s, a lower bound: readings are %s apart", starts(l.Starts),
		duration(l.StepS)))
	least := l.RunningW
	if l.PowerFactor > 0 {
		least /= l.PowerFactor
	}
	if l.StartingVA > 0 {
		va := max(math.Ceil(l.StartingVA), math.Ceil(least))
		w.Key("starting_va", draft.Num(va), says)
		w.Key("starting_pf", draft.Num(min(1, max(0.01, round(l.StartingW/va, 2)))),
			say.of(phrase.Of("W over VA of that start")))
	} else {
		w.Key("starting_w", draft.Num(max(math.Ceil(l.StartingW), math.Ceil(least))), says)
	}
	w.Key("starting_s", draft.Num(l.StartingS), say.of(phrase.Of("the longest of them, in whole readings")))
}

// Drawing is the power through time, as text: * up to the mean of each column, | up to its highest reading.
func (l *Load) Drawing(say Say) []string {
	const wide, high = 64, 8
	tr := l.trace
	n := len(tr.at)
	begin := tr.at[0]
	span := tr.at[n-1] + l.hold(n-1) - begin
	var wh, s, most [wide]float64
	for i := range n {
		c := min(wide-1, int((tr.at[i]-begin)/span*wide))
		w := float64(tr.w[i])
		wh[c] += w * l.hold(i)
		s[c] += l.hold(i)
		most[c] = max(most[c], w)
	}
	// Readings that are farther apart than the columns hold on.
	for c := 1; c < wide; c++ {
		if s[c] == 0 && span/wide < l.StepS {
			wh[c], s[c], most[c] = wh[c-1], s[c-1], most[c-1]
		}
	}
	top := max(l.HighestW, 1)
	var lines []string
	for row := high; row > 0; row-- {
		edge := top * (float64(row) - 0.5) / high
		var b strings.Builder
		label := ""
		switch row {
		case high:
			label = say.of(phrase.Symbols("%s W", watts(top)))
		case high / 2:
			label = say.of(phrase.Symbols("%s W", watts(top/2)))
		}
		fmt.Fprintf(&b, "%9s ", label)
		for c := range wide {
			mean := 0.0
			if s[c] > 0 {
				mean = wh[c] / s[c]
			}
			switch {
			case mean >= edge || row == 1 && mean > 0.02*top:
				b.WriteByte('*')
			case most[c] >= edge:
				b.WriteByte('|')
			default:
				b.WriteByte(' ')
			}
		}
		lines = append(lines, strings.TrimRight(b.String(), " "))
	}
	return append(lines, strings.Repeat(" ", 10)+strings.Repeat("-", wide),
		fmt.Sprintf("%10s0%*s", "", wide-1, say.of(duration(span))),
		strings.Repeat(" ", 10)+say.of(phrase.Of("* mean, | highest reading")))
}

// NameOf is a name that a load may have, of a text that came from elsewhere.
func NameOf(text string) string {
	text = strings.Join(strings.Fields(strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r >= 0x80 && r < 0xa0 || r == '\ufffd' {
			return -1
		}
		return r
	}, text)), " ")
	if r := []rune(text); len(r) > strict.MaxText {
		text = string(r[:strict.MaxText])
	}
	if text == "" {
		return "Logged"
	}
	return text
}
