package backup_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"outlast/backup"
	"outlast/backup/split"
)

// threePhases is the house on three phases; each carries 4000/3 W and 5000/3 VA.
func threePhases() *house {
	return newHouse().set("site.phases", 3).set("inverter.phases", 3).set("bank.strings", 40)
}

// TestBalancing: the fewest moves that bring the phases within 0.3, or else lower the imbalance most.
func TestBalancing(t *testing.T) {
	on := func(phase int, w float64) string { return fmt.Sprintf("phase = %d; %g", phase, w) }
	for _, tt := range []struct {
		what          string
		circuits      []string // "phase = 1; watts"
		before, after float64
		moves         string // "" where nothing is to be said
	}{
		{"even", []string{on(1, 500), on(2, 500), on(3, 500)}, 0, 0, ""},
		{"within 0.3", []string{on(1, 500), on(2, 500), on(3, 400)}, 0, 0, ""},
		{"all phases at once", []string{on(0, 900)}, 0, 0, ""},
		// Ties keep the first circuits on the lower phases. 1000, 500, 0 W: the move of 500 W from 1 to 3 leaves all
		// with 500 W.
		{"one move", []string{on(1, 500), on(1, 500), on(2, 500)}, 2, 0, "c1 1 3"},
		// 1200, 300, 600 W: 300 W to phase 2 leave 900, 600, 600 W, and 450 W leave 750, 750, 600 W.
		{"the best of several", []string{on(1, 300), on(1, 450), on(1, 450), on(2, 300), on(3, 600)}, 900. / 700,
			150. / 700, "c2 1 2"},
		// 1250, 0, 0 W.
		{"two moves", []string{on(1, 500), on(1, 500), on(1, 250)}, 3, 250. / (1250. / 3), "c1 1 2, c2 1 3"},
		{"one large load", []string{on(2, 1200)}, 3, 0, ""}, // wherever it stands, the others are empty
	} {
		t.Run(tt.what, func(t *testing.T) {
			h := threePhases()
			for i, text := range tt.circuits {
				phase, w, _ := strings.Cut(text, "; ")
				h.circuit(fmt.Sprintf("c%d", i), phase).load(fmt.Sprintf("L%d", i),
					fmt.Sprintf(`running_w = %s; circuit = "c%d"`, w, i))
			}
			b := h.plan(t).Balancing()
			if tt.moves == "" {
				if b != nil {
					t.Fatalf("suggests %+v", *b)
				}
				return
			}
			if b == nil {
				t.Fatal("suggests nothing")
			}
			near(t, "before", b.Before, tt.before)
			near(t, "after", b.After, tt.after)
			var moves []string
			for _, m := range b.Moves {
				moves = append(moves, fmt.Sprintf("%s %d %d", m.ID, m.From, m.To))
			}
			if got := strings.Join(moves, ", "); got != tt.moves || !b.Best {
				t.Errorf("moves %s (best: %t), want %s", got, b.Best, tt.moves)
			}
		})
	}
	// A start that phase 2 does not bear beside what runs there: c0 must not go there, though it is the emptier one.
	h := threePhases().circuit("c0", "phase = 1").circuit("c1", "phase = 1").circuit("c2", "phase = 2").circuit("c3",
		"phase = 3").
		load("A", `running_w = 600; circuit = "c0"; starting_va = 3300; starting_s = 1`).load("B",
		`running_w = 600; circuit = "c1"`).
		load("C", `running_w = 100; circuit = "c2"`).load("D", `running_w = 600; circuit = "c3"`)
	b := h.plan(t).Balancing()
	if b == nil || len(b.Moves) != 1 || b.Moves[0].ID != "c1" || b.Moves[0].To != 2 {
		t.Errorf("suggests %+v, want c1 to phase 2", b)
	}
	if text := b.Text(func(id string) string {
		return id
	}); text.String() != `Moving "c1" from phase 1 to 2 lowers the imbalance of the phases from 1.74 to 0.16.` {
		t.Errorf("says %q", text) // 1200, 100, 600 W; 600, 700, 600 W
	}
}

// TestBalancingIsBest: no single move, worked through as a plan of its own, is more even than a suggested single move,
// and the imbalance that is promised is the one that the plan then has.
func TestBalancingIsBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawFull(t)
		s.phases = rapid.IntRange(2, 3).Draw(t, "phases")
		s.unitPhases, s.count, s.ways = s.phases, 1, 9
		for i := range s.boards {
			s.boards[i] = "backup"
			s.circuitPhase[i] = rapid.IntRange(0, s.phases).Draw(t, "phase")
		}
		p := s.planned(t)
		b := p.Balancing()
		if b == nil {
			return
		}
		moved := func(moves ...split.PhaseMove) *backup.Plan {
			c := *s
			c.circuitPhase = slices.Clone(s.circuitPhase)
			for _, m := range moves {
				var i int
				if _, err := fmt.Sscanf(m.ID, "c%d", &i); err != nil || c.circuitPhase[i] != m.From {
					t.Fatalf("moves %+v, but it stands on %d", m, c.circuitPhase[i])
				}
				c.circuitPhase[i] = m.To
			}
			return c.planned(t)
		}
		q := moved(b.Moves...)
		if got := imbalanceOf(q); math.Abs(got-b.After) > 1e-9*(1+got) {
			t.Errorf("promises %g, but then it is %g", b.After, got)
		}
		if breaks(q, p) {
			t.Error("a check breaks that held before")
		}
		if len(b.Moves) > 1 {
			return
		}
		for i, from := range s.circuitPhase {
			for to := 1; from > 0 && to <= s.phases; to++ {
				if to == from {
					continue
				}
				r := moved(split.PhaseMove{ID: fmt.Sprintf("c%d", i), From: from, To: to})
				if got := imbalanceOf(r); got < b.After-1e-6 && !breaks(r, p) {
					t.Errorf("%g, but c%d on phase %d would give %g", b.After, i, to, got)
				}
			}
		}
	})
}
