package paper

import (
	"fmt"

	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
	"outlast/loads"
)

// A report is what is known of a plan, on its way to paper.
type report struct {
	*findings.Report
	options Options
	room    room // of the owner's page
}

// stamp is what tells this paper from any other.
func (r *report) stamp() []string {
	var out []string
	if r.options.Source != "" {
		out = append(out, r.Say("stamp.source", speech.Name(r.options.Source)))
	}
	if r.options.Revision != "" {
		out = append(out, r.Say("stamp.revision", shortHash(speech.Clean(r.options.Revision))))
	}
	if r.options.Program != "" {
		out = append(out, speech.Clean(r.options.Program))
	}
	return out
}

// shortHash is enough of a hash to tell the revisions of one file apart by eye.
func shortHash(s string) string { return s[:min(len(s), 12)] }

// medical are the loads that someone depends on, wherever they are.
func (r *report) medical() []loads.Load {
	var out []loads.Load
	for _, l := range r.Plan.Site.Loads {
		if l.Medical {
			out = append(out, l)
		}
	}
	return out
}

// onBackup tells whether a circuit is on the backup board.
func (r *report) onBackup(id string) bool {
	for _, c := range r.Plan.Circuits {
		if c.ID == id {
			return c.OnBackup
		}
	}
	return false
}

// medicalBox names the loads that someone depends on, on the papers of every reader.
func (r *report) medicalBox() []doc.Section {
	ls := r.medical()
	if len(ls) == 0 {
		return nil
	}
	var on, off []string
	for _, l := range ls {
		if r.onBackup(l.CircuitID) && !l.HeldOff {
			on = append(on, r.quantity(l))
		} else {
			off = append(off, r.quantity(l))
		}
	}
	box := &doc.Box{Kind: "medical", Title: r.Say("medical.title")}
	if len(on) > 0 {
		box.Items = append(box.Items, doc.Item{Lead: r.Say("medical.on"), Text: doc.Text{S: findings.List(on) + "."}})
	}
	if len(off) > 0 {
		box.Items = append(box.Items, doc.Item{Lead: r.Say("medical.off"), Text: doc.Text{S: findings.List(off) + "."}})
	}
	box.Texts = []doc.Text{{S: r.Say("medical.text")}}
	return []doc.Section{{ID: "medical", Class: "full", Blocks: []doc.Block{{Box: box}}}}
}

// quantity names a load, and how many there are of it.
func (r *report) quantity(l loads.Load) string {
	if l.Quantity == 1 {
		return speech.Name(r.Called(l.Name))
	}
	return fmt.Sprintf("%d × %s", l.Quantity, speech.Name(r.Called(l.Name)))
}

// safety is what every paper ends with.
func (r *report) safety() doc.Section {
	box := &doc.Box{Kind: "safety", Title: r.Say("safety.title")}
	for _, id := range []string{"safety.aid", "safety.wiring", "safety.bank", "safety.life"} {
		box.Texts = append(box.Texts, doc.Text{S: r.Say(id)})
	}
	return doc.Section{ID: "safety", Class: "full", Blocks: []doc.Block{{Box: box}}}
}
