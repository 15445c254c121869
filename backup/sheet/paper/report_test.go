package paper

import (
	"context"
	"testing"

	"outlast/backup"
	"outlast/backup/samplehome"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
)

// reportOn is the work behind the papers of a sample site.
func reportOn(t *testing.T, home, lang string) *report {
	t.Helper()
	s := samplehome.Site(t, home)
	if reports[home] == nil {
		p, err := backup.NewPlan(context.Background(), s)
		if err != nil {
			t.Fatal(err)
		}
		reports[home] = &findings.Report{Plan: p}
		if err := reports[home].Follow(context.Background()); err != nil {
			t.Fatal(err)
		}
	}
	r, with := *reports[home], findings.New(reports[home].Plan, voiceOf(t, lang), nil)
	r.Voice, r.Speaker = with.Voice, with.Speaker
	return &report{Report: &r}
}

// reports are the work on the sample sites, done once.
var reports = map[string]*findings.Report{}

func voiceOf(t testing.TB, lang string) speech.Voice {
	t.Helper()
	v, err := speech.NewVoice(lang, false)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
