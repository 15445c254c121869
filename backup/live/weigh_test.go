package live

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"outlast/backup/edit"
)

// hillside is a home whose backup board has three ways and five circuits that want one: whatever is taken off makes room
// for one that the planner may put there.
func hillside(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", "hillside.toml"))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// minutesOf reads the time that a text begins with or ends in; a text with none is 0.
func minutesOf(t *testing.T, text string) (out int) {
	t.Helper()
	for _, m := range regexp.MustCompile(`(\d+)\s(days?|h|min)\b`).FindAllStringSubmatch(text, -1) {
		n, err := strconv.Atoi(m[1])
		if err != nil {
			t.Fatal(err)
		}
		out += n * map[string]int{"min": 1, "h": 60, "day": 1440, "days": 1440}[m[2]]
	}
	return out
}

// shown is the answer that the page comes to rest at, with its large figure.
func shown(t *testing.T, table *Table, changes, view, figure string, from int) (a Answer, large Hours, hours int) {
	t.Helper()
	hours = from
	for range 9 {
		a = ask[Answer](t, table, "answer", fmt.Sprintf(`{"changes": %s, "view": {"hours": %d%s}}`, changes, hours, view))
		if a.Problems != nil {
			t.Fatalf("%s is refused: %+v", changes, a.Problems)
		}
		if hours = a.Outage.ShowH; hours == a.Outage.LengthH {
			break
		}
	}
	if a.Outage.Promise != nil && figure != FigureOutage {
		return a, *a.Outage.Promise, hours
	}
	return a, a.Outage.Hours, hours
}

// What a row of the house says is what its switch gives: the figure is the difference of the large figures before and
// after, to the last digit and in words, and the circuits that the planner moves by itself are those that it names.
func TestARowSaysWhatItsSwitchGives(t *testing.T) {
	texts := map[string][]byte{"hillside": []byte(hillside(t)),
		"hillside, one string": []byte(strings.Replace(hillside(t), "strings = 4", "strings = 1", 1))}
	for _, home := range homes {
		text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "sites", home+".toml"))
		if err != nil {
			t.Fatal(err)
		}
		texts[home] = text
	}
	rows, moves, unpromised := 0, 0, 0
	for home, text := range texts {
		table := tableWith(t, home+".toml", text)
		for _, ask := range []struct{ view, figure string }{{"", ""}, {`, "month": 1`, FigurePromise}, {"", FigureOutage}} {
			r, m, u := rowsOf(t, home, table, ask.view, ask.figure)
			rows, moves, unpromised = rows+r, moves+m, unpromised+u
		}
	}
	if rows < 100 || moves < 5 || unpromised < 5 {
		t.Errorf("%d rows, %d that move others and %d without a promise: this test sees too few", rows, moves, unpromised)
	}
}

func rowsOf(t *testing.T, home string, table *Table, view, what string) (rows, moves, unpromised int) {
	t.Helper()
	now, before, hours := shown(t, table, "[]", view, what, 0)
	weights := ask[Weights](t, table, "weigh", fmt.Sprintf(`{"view": {"hours": %d%s}, "figure": %q}`, hours, view, what))
	for _, w := range weights.Circuits {
		i := slices.IndexFunc(now.Circuits, func(c Circuit) bool { return c.ID == w.ID })
		c := now.Circuits[i]
		other := "backup"
		if c.Board == "backup" {
			other = "main"
		}
		list, err := json.Marshal(append(slices.Clone(c.Write),
			edit.Change{Do: "set", Table: "circuit", At: c.ID, Key: "board", Value: other}))
		if err != nil {
			t.Fatal(err)
		}
		touch := string(list)
		then, after, _ := shown(t, table, touch, view, what, hours)
		rows++
		fault := func(format string, args ...any) {
			t.Helper()
			t.Errorf("%s%s, figure %q, %s on %s (%q, %q, %s then %s): %s", home, view, what, c.ID, c.Board, w.Text, w.Then,
				before.Text, after.Text, fmt.Sprintf(format, args...))
		}
		var moved []Moved
		for _, was := range now.Circuits {
			if was.ID == c.ID {
				continue
			}
			is := then.Circuits[slices.IndexFunc(then.Circuits, func(c Circuit) bool { return c.ID == was.ID })]
			if is.Board == was.Board {
				continue
			}
			moved = append(moved, Moved{was.ID, is.Board})
			if !strings.Contains(w.Then, was.Label) {
				fault("%s moves and is not named", was.Label)
			}
		}
		if len(moved) > 0 {
			moves++
		}
		byID := func(a, b Moved) int { return strings.Compare(a.ID, b.ID) }
		slices.SortFunc(moved, byID)
		slices.SortFunc(w.Moves, byID)
		if !slices.Equal(moved, w.Moves) || (len(moved) == 0) != (w.Then == "") {
			fault("the touch moves %v, the row says %v", moved, w.Moves)
		}
		failsThen, failsNow := failsOf(then), failsOf(now)
		if more := len(without(failsThen, failsNow)) > 0; more == w.Allowed {
			fault("after the touch fails %v, before %v", failsThen, failsNow)
		}
		promised := func(a Answer) bool { return a.Outage.Promise != nil && what != FigureOutage }
		switch {
		case promised(now) && !promised(then):
			unpromised++
			if w.GainsH != nil || !strings.HasPrefix(w.Text, "no hours promised with") {
				fault("the touch takes the promise away")
			}
			continue
		case !promised(now) && promised(then):
			unpromised++
			if w.GainsH != nil || !strings.Contains(w.Text, after.Text+" promised with") {
				fault("the touch makes a promise")
			}
			continue
		}
		gains := after.Hours - before.Hours
		if c.Board == "main" {
			gains = -gains
		}
		change := minutesOf(t, after.Text) - minutesOf(t, before.Text)
		if before.Long && (after.Long || change >= 0) || after.Long && change <= 0 {
			if w.GainsH != nil || w.Text != "" {
				fault("nothing is seen of the touch")
			}
			continue
		}
		if w.GainsH == nil || *w.GainsH != gains {
			fault("gains %v, the figures %g", w.GainsH, gains)
		}
		said := minutesOf(t, w.Text)
		if strings.Contains(w.Text, " less ") {
			said = -said
		}
		if said != change {
			fault("the figure changes by %d min, the row says %d", change, said)
		}
		if long := before.Long || after.Long; long != strings.Contains(w.Text, "more than ") {
			fault("of what lasts longer than was looked at the row must say so")
		}
	}
	return rows, moves, unpromised
}

func failsOf(a Answer) (out []string) {
	for _, c := range a.Checks {
		if c.Status == "fail" {
			out = append(out, c.ID)
		}
	}
	return out
}

// Where a circuit that is taken off makes room for another one, the bank may last shorter: the row says so, and names it.
func TestARowNamesWhatThePlannerMoves(t *testing.T) {
	for lang, want := range map[string][2]string{
		"en": {"%s less without it", "The plan then also keeps on: Freezers."},
		"de": {"%s weniger ohne ihn", "Der Plan lässt dann auch an: Freezers."},
		"es": {"%s menos sin él", "El plan deja entonces también encendido: Freezers."},
		"fr": {"%s de moins sans lui", "Le plan garde alors aussi alimenté\u00a0: Freezers."},
	} {
		table := tableWith(t, "hillside.toml", []byte(hillside(t)))
		w := ask[Weights](t, table, "weigh", fmt.Sprintf(`{"lang": %q, "circuits": ["lights"]}`, lang)).Circuits[0]
		less := strings.TrimPrefix(want[0], "%s")
		if !strings.HasSuffix(w.Text, less) || w.GainsH == nil || *w.GainsH >= 0 || w.Then != want[1] {
			t.Errorf("%s: lights: %q, %q, %v; want %q, %q", lang, w.Text, w.Then, w.GainsH, want[0], want[1])
		}
	}
}
