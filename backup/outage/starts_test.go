package outage

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestStarts(t *testing.T) {
	s := Starts{Hours: []int{3, 0, 2, 3, 0}, MaxH: 3}
	if diff := cmp.Diff([]float64{1, 0.6, 0.6, 0.4}, s.Curve()); diff != "" {
		t.Errorf("Curve (-want +got):\n%s", diff)
	}
	if got := s.MeanH(); got != 1.6 {
		t.Errorf("MeanH = %g, want 1.6", got)
	}
	// ties: the earlier first
	if diff := cmp.Diff([]Start{{1, 0}, {4, 0}, {2, 2}}, s.Worst(3)); diff != "" {
		t.Errorf("Worst (-want +got):\n%s", diff)
	}
	if got := len(s.Worst(9)); got != 5 {
		t.Errorf("Worst(9) has %d, want all 5", got)
	}
	for _, d := range []int{-1, 4} {
		if _, err := s.Chance(d); err == nil {
			t.Errorf("Chance(%d) is no error", d)
		}
		if _, err := s.MonthHour(d); err == nil {
			t.Errorf("MonthHour(%d) is no error", d)
		}
	}
	if _, err := s.MonthHour(1); err == nil {
		t.Error("MonthHour of 5 hours is no error")
	}
}

func TestMonthHour(t *testing.T) {
	for _, tt := range []struct {
		hours, february int
		december31      int // index of its first hour
	}{{8760, 28, 364 * 24}, {8784, 29, 365 * 24}} {
		s := Starts{Hours: slices.Repeat([]int{10}, tt.hours), MaxH: 20}
		s.Hours[31*24+5] = 4             // 1 February, 05:00
		s.Hours[tt.december31+23] = 20   // the last hour
		s.Hours[tt.december31-24+23] = 9 // the day before
		table, err := s.MonthHour(10)
		if err != nil {
			t.Fatal(err)
		}
		n := float64(tt.february)
		want := Cell{Starts: tt.february, MeanH: (10*(n-1) + 4) / n, LeastH: 4, Chance: (n - 1) / n}
		if diff := cmp.Diff(want, table[1][5]); diff != "" {
			t.Errorf("%d hours, February 05:00 (-want +got):\n%s", tt.hours, diff)
		}
		want = Cell{Starts: 31, MeanH: (29*10 + 20 + 9) / 31.0, LeastH: 9, Chance: 30 / 31.0}
		if diff := cmp.Diff(want, table[11][23]); diff != "" {
			t.Errorf("%d hours, December 23:00 (-want +got):\n%s", tt.hours, diff)
		}
		if got := table[0][5]; got != (Cell{31, 10, 10, 1}) {
			t.Errorf("%d hours, January 05:00: %+v", tt.hours, got)
		}
	}
}
