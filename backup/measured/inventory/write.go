package inventory

import (
	"strconv"
	"strings"

	"outlast/backup/draft"
	"outlast/backup/measured/tabular"
	"outlast/backup/phrase"
	"outlast/catalog/strict"
)

// A writer writes comments in a language.
type writer struct {
	draft.Writer
	say func(phrase.Phrase) string
}

func (w *writer) key(name, value string, says phrase.Phrase) { w.Key(name, value, w.say(says)) }

// Text writes circuits and loads as they stand in a site file, with a comment beside each decision, which say writes.
func (l *List) Text(say func(phrase.Phrase) string) string {
	w := &writer{say: say}
	for _, n := range l.Notes {
		w.Comment(say(phrase.Of("The list: %s.", n)))
	}
	w.Line("")
	circuits := map[string]string{}
	for i := range l.items {
		l.write(w, &l.items[i], circuits)
	}
	return w.String()
}

// circuit is the id of the circuit of an item, which is written where it is not there yet; "" where its class gives it
// one.
func (l *List) circuit(w *writer, it *item, circuits map[string]string) string {
	label, says, key := it.circuit, phrase.Phrase{}, it.board+" "+tabular.Plain(it.circuit)
	if it.allPhases {
		key += " all phases"
	}
	if label == "" {
		if it.class != nil && it.board == "backup" && !it.allPhases {
			return ""
		}
		label, says, key = it.name, phrase.Of("the list tells no circuit: one of its own"), ""
	}
	if id, ok := circuits[key]; ok && key != "" {
		return id
	}
	id := w.Unique("#"+tabular.ID(label, "circuit"), "-")[1:]
	if key != "" {
		circuits[key] = id
	}
	w.Line("[[circuit]]")
	w.key("id", strconv.Quote(id), says)
	w.Key("label", strconv.Quote(label), "")
	switch {
	case it.allPhases:
		w.key("phase", "0", phrase.Of("by its volts between them: on all phases"))
	case l.phases > 1 && it.board != "main": // on the main board it is no matter
		w.Key("phase", `"any"`, "")
	}
	w.Key("board", strconv.Quote(it.board), "")
	w.Line("")
	return id
}

// write writes one item.
func (l *List) write(w *writer, it *item, circuits map[string]string) {
	circuit := l.circuit(w, it, circuits)
	w.Line("[[load]]")
	name := w.Unique(it.name, " ")
	says := phrase.Of("line %d", it.line)
	if it.said != name && it.said != "" {
		says = phrase.Of("line %d: %q", it.line, strict.Clip(it.said))
	}
	w.key("name", strconv.Quote(name), says)
	if it.class != nil {
		w.key("use", strconv.Quote(it.class.ID), phrase.Of("%s; it gives %s", it.classSays, l.left(it)))
	}
	if circuit != "" {
		w.Key("circuit", strconv.Quote(circuit), "")
	}
	if it.quantity != 1 {
		w.key("quantity", strconv.Itoa(it.quantity), it.counted)
	}
	if it.power.v > 0 {
		w.key("running_w", draft.Num(it.power.v), it.power.says)
	}
	if it.pf.v > 0 {
		w.Key("power_factor", draft.Num(it.pf.v), "")
	}
	if it.start.v > 0 {
		w.key(it.startKey, draft.Num(it.start.v), it.start.says)
	}
	if it.startS.v > 0 && it.startVA() > 0 {
		w.Key("starting_s", draft.Num(it.startS.v), "")
	}
	if it.hours.v > 0 || !it.hours.says.Empty() {
		w.key("hours_per_day", draft.Num(it.hours.v), it.hours.says)
	}
	if it.when != nil {
		w.Key("when", `["`+strings.Join(it.when, `", "`)+`"]`, "")
	}
	if it.priority > 0 {
		w.Key("priority", strconv.Itoa(it.priority), "")
	}
	for _, n := range it.notes {
		w.Comment(w.say(n))
	}
	w.Line("")
}

// left names what the row leaves out and its class gives.
func (l *List) left(it *item) phrase.Phrase {
	c := it.class
	var all []phrase.Phrase
	if it.power.v == 0 {
		all = append(all, phrase.Symbols("%s", phrase.Measure(draft.Num(c.Typical.RunningW)+" W")))
	}
	if it.pf.v == 0 && c.PowerFactor > 0 {
		all = append(all, phrase.Of("power factor %s", phrase.Number(draft.Num(c.PowerFactor))))
	}
	if it.start.v == 0 && c.Typical.StartingVA > 0 {
		all = append(all, phrase.Of("%s VA at its start", phrase.Number(draft.Num(c.Typical.StartingVA))))
	}
	if it.hours.v == 0 && it.hours.says.Empty() {
		all = append(all, phrase.Of("%s h a day", phrase.Number(draft.Num(c.Typical.HoursPerDay))))
	}
	return phrase.Separated(append(all, it.classAlso...), ", ")
}
