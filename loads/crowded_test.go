package loads

import (
	"math"
	"reflect"
	"slices"
	"testing"
)

// TestCrowds: the members of an interlock take turns, so their hours have to find room in their windows, all of them and
// each few of them.
func TestCrowds(t *testing.T) {
	day := 24.0
	turn := func(name string, hours float64, windows ...Window) Load {
		l := steady(name, 1000)
		l.HoursPerDay, l.Windows, l.Interlock = hours, windows, "i"
		return l
	}
	free := func(l Load) Load { l.Interlock = ""; return l }
	of := func(interlock string, l Load) Load { l.Interlock = interlock; return l }
	night, morning := Window{1320, 360}, Window{300, 420} // 22:00-06:00, 05:00-07:00: together 9 h
	for _, tt := range []struct {
		what string
		of   []Load
		want []Crowd
	}{
		{"a whole day is full", []Load{turn("a", 20), turn("b", 4)}, nil},
		{"just above", []Load{turn("a", 20), turn("b", math.Nextafter(4, 5)+1e-6)}, []Crowd{{[]string{"a", "b"}, day + 1e-6, day}}},
		{"each may run as long as the other waits", []Load{turn("a", 20), turn("b", 20)}, []Crowd{{[]string{"a", "b"}, 40, day}}},
		{"no interlock", []Load{free(turn("a", 20)), free(turn("b", 20))}, nil},
		{"two interlocks", []Load{of("j", turn("a", 20)), of("i", turn("b", 20))}, nil},
		{"two interlocks, in the order of their names", []Load{of("j", turn("a", 20)), of("i", turn("b", 13)),
			of("i", turn("c", 12)), of("j", turn("d", 5))},
			[]Crowd{{[]string{"b", "c"}, 25, day}, {[]string{"a", "d"}, 25, day}}},
		{"windows that overlap hold what both hold", []Load{turn("a", 8, night), turn("b", 1, morning)}, nil},
		{"and no more", []Load{turn("a", 8, night), turn("b", 1.5, morning)}, []Crowd{{[]string{"a", "b"}, 9.5, 9}}},
		{"two in one window, with room for a third elsewhere", []Load{turn("a", 2, morning), turn("b", 3),
			turn("c", 1, morning)}, []Crowd{{[]string{"a", "c"}, 3, 2}}},
		{"the most that lacks", []Load{turn("a", 2, morning), turn("b", 1, morning), turn("c", 24)},
			[]Crowd{{[]string{"a", "b", "c"}, 27, day}}},
		{"one without hours is not named", []Load{turn("a", 20), turn("idle", 0), turn("b", 20)},
			[]Crowd{{[]string{"a", "b"}, 40, day}}},
	} {
		got := Crowds(tt.of)
		turned := slices.Clone(tt.of)
		slices.Reverse(turned)
		if other := Crowds(turned); !reflect.DeepEqual(other, got) {
			t.Errorf("%s: %v in the order of the file, %v in the other", tt.what, got, other)
		}
		for i := range got {
			if i < len(tt.want) && near(got[i].HoursPerDay, tt.want[i].HoursPerDay) {
				got[i].HoursPerDay = tt.want[i].HoursPerDay
			}
		}
		if !reflect.DeepEqual(got, tt.want) {
			t.Errorf("%s: %v, want %v", tt.what, got, tt.want)
		}
	}
	// More windows than are tried one with another: all together are.
	var many []Load
	for i := range 24 {
		many = append(many, turn(string(rune('a'+i)), 1, Window{60 * i, 60*i + 60}))
	}
	if got := Crowds(many); got != nil {
		t.Errorf("an hour each: %v, want none", got)
	}
	many = append(many, turn("z", 0.5))
	if got := Crowds(many); len(got) != 1 || len(got[0].Names) != 25 || got[0].Hours != day {
		t.Errorf("half an hour more than the day has: %v, want all 25", got)
	}
}
