package inventory

import (
	"fmt"
	"strconv"
	"strings"

	"outlast/backup/draft"
	"outlast/backup/measured/tabular"
	"outlast/catalog/strict"
)

// Text writes circuits and loads as they stand in a site file, with a comment beside each decision.
func (l *List) Text() string {
	w := &draft.Writer{}
	for _, n := range l.Notes {
		w.Comment("The list: " + n + ".")
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
func (l *List) circuit(w *draft.Writer, it *item, circuits map[string]string) string {
	label, says, key := it.circuit, "", it.board+" "+tabular.Plain(it.circuit)
	if it.allPhases {
		key += " all phases"
	}
	if label == "" {
		if it.class != nil && it.board == "backup" && !it.allPhases {
			return ""
		}
		label, says, key = it.name, "the list tells no circuit: one of its own", ""
	}
	if id, ok := circuits[key]; ok && key != "" {
		return id
	}
	id := w.Unique("#"+tabular.ID(label, "circuit"), "-")[1:]
	if key != "" {
		circuits[key] = id
	}
	w.Line("[[circuit]]")
	w.Key("id", strconv.Quote(id), says)
	w.Key("label", strconv.Quote(label), "")
	switch {
	case it.allPhases:
		w.Key("phase", "0", "by its volts between them: on all phases")
	case l.phases > 1 && it.board != "main": // on the main board it is no matter
		w.Key("phase", `"any"`, "")
	}
	w.Key("board", strconv.Quote(it.board), "")
	w.Line("")
	return id
}

// write writes one item.
func (l *List) write(w *draft.Writer, it *item, circuits map[string]string) {
	circuit := l.circuit(w, it, circuits)
	w.Line("[[load]]")
	name := w.Unique(it.name, " ")
	says := fmt.Sprintf("line %d", it.line)
	if it.said != name && it.said != "" {
		says += ": " + strict.Quote(it.said)
	}
	w.Key("name", strconv.Quote(name), says)
	if it.class != nil {
		w.Key("use", strconv.Quote(it.class.ID), it.classSays+"; it gives "+l.left(it))
	}
	if circuit != "" {
		w.Key("circuit", strconv.Quote(circuit), "")
	}
	if it.quantity != 1 {
		w.Key("quantity", strconv.Itoa(it.quantity), it.counted)
	}
	if it.power.v > 0 {
		w.Key("running_w", draft.Num(it.power.v), it.power.says)
	}
	if it.pf.v > 0 {
		w.Key("power_factor", draft.Num(it.pf.v), "")
	}
	if it.start.v > 0 {
		w.Key(it.startKey, draft.Num(it.start.v), it.start.says)
	}
	if it.startS.v > 0 && it.startVA() > 0 {
		w.Key("starting_s", draft.Num(it.startS.v), "")
	}
	if it.hours.v > 0 || it.hours.says != "" {
		w.Key("hours_per_day", draft.Num(it.hours.v), it.hours.says)
	}
	if it.when != nil {
		w.Key("when", `["`+strings.Join(it.when, `", "`)+`"]`, "")
	}
	if it.priority > 0 {
		w.Key("priority", strconv.Itoa(it.priority), "")
	}
	for _, n := range it.notes {
		w.Comment(n)
	}
	w.Line("")
}

// left names what the row leaves out and its class gives.
func (l *List) left(it *item) string {
	c := it.class
	var all []string
	if it.power.v == 0 {
		all = append(all, draft.Num(c.Typical.RunningW)+" W")
	}
	if it.pf.v == 0 && c.PowerFactor > 0 {
		all = append(all, "power factor "+draft.Num(c.PowerFactor))
	}
	if it.start.v == 0 && c.Typical.StartingVA > 0 {
		all = append(all, draft.Num(c.Typical.StartingVA)+" VA at its start")
	}
	if it.hours.v == 0 && it.hours.says == "" {
		all = append(all, draft.Num(c.Typical.HoursPerDay)+" h a day")
	}
	return strings.Join(append(all, it.classAlso...), ", ")
}
