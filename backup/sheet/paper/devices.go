package paper

import (
	"fmt"
	"strings"

	"outlast/backup"
)

// devices is the section of conductors and protective devices.
func (r *report) devices() Section {
	w := r.plan.Site.Wiring
	s := Section{ID: "devices", Title: r.say("devices.title"), Blocks: []Block{
		para(r.say("devices.text", strings.ToUpper(string(w.Tables)), r.temperature(w.AmbientC), w.Grouped)), {Table: r.deviceTable()},
	}}
	if len(r.plan.WireNotes) > 0 {
		l := &List{}
		for _, n := range r.plan.WireNotes {
			l.Items = append(l.Items, item(r.prose(n)))
		}
		s.Blocks = append(s.Blocks, Block{List: l})
	}
	return s
}

// deviceTable lists every run with its device. What the planner chose is told from what the file gives.
func (r *report) deviceTable() *Table {
	t := &Table{ID: "devices", Caption: r.say("devices.caption"), Note: r.say("devices.note"), Columns: []Column{
		tight(r.say("col.mark")), head(r.say("col.run")), right(r.say("col.conductor"), "mm²"), right(r.say("col.length"), "m"),
		right(r.say("col.carries"), "A"), right(r.say("col.needs"), "A"), tight(r.say("col.device")), right(r.say("col.rated"), "A"), right(r.say("col.drop"), "%"),
	}}
	refs := r.refs()
	for _, run := range r.plan.Runs {
		label := r.runLabel(run)
		if run.Count > 1 {
			label += ", " + r.say("devices.each", run.Count)
		}
		size := r.size(run.Conductor)
		if run.ConductorChosen {
			size.S += "*"
		}
		device, rated := cell("–"), cell("–")
		if run.DeviceA > 0 {
			device, rated = cell(r.say("device."+string(run.Device))), r.given(run.DeviceA)
			if run.DeviceChosen {
				rated.S += "*"
			}
		}
		drop := cell("–")
		if run.LengthM > 0 {
			drop = r.num(100*run.Drop, 1)
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(refs[run.ID]), cell(label), size, r.given(run.LengthM), r.num(run.CarriesA, 1), r.num(run.NeedsA, 1), device, rated, drop}})
	}
	return t
}

// runLabel is a run in the words of the papers; a circuit has its own.
func (r *report) runLabel(run backup.Run) string {
	if text, ok := r.words["run."+run.ID]; ok {
		return text
	}
	if n, ok := strings.CutPrefix(run.ID, "cable-array-"); ok {
		return r.say("run.cable-array-#", name(n))
	}
	return name(r.called(run.Label.String()))
}

// refs are the marks of the diagram for the runs.
func (r *report) refs() map[string]string {
	out := map[string]string{"cable-input": "Q2", "cable-feeder": "Q3", "cable-bank": "F1"}
	for i := range r.plan.Site.Arrays {
		out[fmt.Sprintf("cable-array-%d", i+1)] = "Q7"
	}
	for _, onBackup := range []bool{true, false} {
		n := 0
		for _, c := range r.plan.Circuits {
			if c.OnBackup != onBackup {
				continue
			}
			n++
			for _, id := range []string{"cable-" + c.ID, "cable-circuit-" + c.ID} {
				if _, taken := out[id]; !taken {
					out[id] = boardRef(onBackup, n)
				}
			}
		}
	}
	return out
}

// runOf is the run of a circuit's cable, if it has one.
func (r *report) runOf(ref string) *backup.Run {
	refs := r.refs()
	for i, run := range r.plan.Runs {
		if refs[run.ID] == ref {
			return &r.plan.Runs[i]
		}
	}
	return nil
}

// rated writes the rating of the device of a run for the diagram, or nothing.
func (r *report) rated(id string) string {
	for _, run := range r.plan.Runs {
		if run.ID == id && run.DeviceA > 0 {
			return r.amount(run.DeviceA, "A")
		}
	}
	return ""
}
