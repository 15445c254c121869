package main

import (
	"strings"
	"testing"

	"outlast/backup/interview"
	"outlast/catalog"
)

// TestEveryQuestionIsExplained: whoever writes a file of answers finds every question on the page about the interview.
func TestEveryQuestionIsExplained(t *testing.T) {
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	page, err := topicPage("interview")
	if err != nil {
		t.Fatal(err)
	}
	iv, asked := interview.New(cat), 0
	for key, text := range map[string]string{"latitude": "50", "panels": "12", "stays-on": "well pump"} {
		if err := iv.Take(key, text); err != nil {
			t.Fatal(err)
		}
	}
	for open := iv.Next(); open != nil; open = iv.Next() {
		for _, q := range open {
			key := strings.Replace(q.Key, "well-pump-2200w", "CLASS", 1)
			if asked++; key != "name" && !strings.Contains(page, "`"+key+"`") {
				t.Errorf("%s does not stand on the page", key)
			}
			if err := iv.Take(q.Key, interview.Unknown); err != nil {
				t.Fatal(err)
			}
		}
	}
	if asked < 14 {
		t.Errorf("only %d questions", asked)
	}
}
