package paper_test

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/samplehome"
	"outlast/backup/sheet/paper"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/site"
	"outlast/catalog"
)

// homes are the sample sites, by the name of their file.
var homes = []string{"clinic", "cottage", "drystone", "farmhouse", "overloaded", "split-phase", "town-flat"}

// plans are those of the sample sites, each worked out once: papers only read them.
var plans = map[string]*backup.Plan{}

// planOf is the plan of a sample site.
func planOf(t testing.TB, home string) *backup.Plan {
	t.Helper()
	if plans[home] == nil {
		plans[home] = planAnew(t, home)
	}
	return plans[home]
}

// planAnew plans a sample site.
func planAnew(t testing.TB, home string) *backup.Plan {
	t.Helper()
	_, src := samplehome.Text(t, home)
	return planText(t, string(src))
}

// inEnglish is the plan of a sample site in metres and the English of its sentences: papers with units = "us" say them
// in American words.
func inEnglish(t testing.TB, home string) *backup.Plan {
	t.Helper()
	if plans["metric "+home] == nil {
		_, src := samplehome.Text(t, home)
		plans["metric "+home] = planText(t, strings.ReplaceAll(string(src), `units = "us"`, ""))
	}
	return plans["metric "+home]
}

// sayingOf gives what English papers say of the sentences of a plan.
func sayingOf(t testing.TB, p *backup.Plan) func(phrase.Phrase) string {
	t.Helper()
	v, err := speech.NewVoice("en", p.Site.Units == "us")
	if err != nil {
		t.Fatal(err)
	}
	v.Signs = true
	return speech.NewSpeaker(v, p.Site.Loads, func(id string) string { return record.RunLabel(p.Facts, id) }).Prose
}

// siteOf reads the text of a site file.
func siteOf(t testing.TB, src string) *site.Site {
	t.Helper()
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	s, err := site.Read("home.toml", []byte(src), cat)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// planText plans the text of a site file.
func planText(t testing.TB, src string) *backup.Plan {
	t.Helper()
	p, err := backup.NewPlan(context.Background(), siteOf(t, src))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// planIfAny plans the text of a site file that may have no plan.
func planIfAny(t testing.TB, src string) (*backup.Plan, error) {
	t.Helper()
	return backup.NewPlan(context.Background(), siteOf(t, src))
}

// write makes the papers of a plan in a format.
func write(t testing.TB, p *backup.Plan, o paper.Options) string {
	t.Helper()
	d, err := paper.New(context.Background(), p, o)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := d.Write(&b, o.Format); err != nil {
		t.Fatal(err)
	}
	return b.String()
}
