package verdict_test

import (
	"slices"
	"strings"
	"testing"

	"outlast/backup/verdict"
)

// Each check has one kind: no id is in the table twice, and none that stands for itself begins like a family.
func TestKindsAreApart(t *testing.T) {
	for i, id := range verdict.IDsOn(0) {
		k, _ := verdict.KindOf(id)
		if got, ok := verdict.KindOf(k.ID); !ok || got.ID != k.ID {
			t.Errorf("%s: found as %s", k.ID, got.ID)
		}
		for j, id := range verdict.IDsOn(0) {
			o, _ := verdict.KindOf(id)
			if i != j && (k.ID == o.ID || strings.HasSuffix(o.ID, "-") && strings.HasPrefix(k.ID, o.ID)) {
				t.Errorf("%s is %s too", k.ID, o.ID)
			}
		}
		if !slices.Contains(verdict.Groups(), k.Group) {
			t.Errorf("%s is in no group: %q", k.ID, k.Group)
		}
		if len(k.Units) == 0 || k.Means == "" {
			t.Errorf("%s: units %q, means %q", k.ID, k.Units, k.Means)
		}
	}
	if k, ok := verdict.KindOf("unheard-of"); ok {
		t.Errorf("an id that is not in the table is %s", k.ID)
	}
}

// What stands whatever is bought does not depend on what is bought, nor on how many strings there are.
func TestStandingDependsOnNoEquipment(t *testing.T) {
	n := 0
	for _, id := range []string{"generator-running", "generator-start", "board-ways", "circuit-breaker", "cable-kitchen"} {
		if k, ok := verdict.KindOf(id); !ok || k.On&(verdict.OnEquipment|verdict.OnStrings|verdict.OnCapacity|
			verdict.OnInverterAlone) != 0 {
			t.Errorf("%s: %+v, known %t", id, k, ok)
		}
		if !verdict.Stands(id) {
			t.Errorf("%s does not stand", id)
		}
	}
	for _, id := range append(verdict.IDsOn(verdict.OnEquipment), "generator-input", "generator-soc", "cable-bank",
		"cable-feeder", "cable-input", "cable-array-1") {
		if n++; verdict.Stands(id) {
			t.Errorf("%s stands, but equipment changes it", id)
		}
	}
	if n < 20 {
		t.Errorf("%d checks of equipment", n)
	}
}

// What more strings help depends on their number, and what no bank changes does not.
func TestDependenceIsConsistent(t *testing.T) {
	for _, id := range verdict.IDsOn(0) {
		k, _ := verdict.KindOf(id)
		if k.On&verdict.HelpedByStrings != 0 && k.On&verdict.OnStrings == 0 {
			t.Errorf("%s is helped by strings on which it does not depend", k.ID)
		}
		if k.On&verdict.OnInverterAlone != 0 && k.On&(verdict.OnStrings|verdict.OnCapacity) != 0 {
			t.Errorf("%s depends on inverters alone, and on the bank", k.ID)
		}
	}
}

// TestCommon: a check has one name in all homes, whatever they call their loads and circuits.
func TestCommon(t *testing.T) {
	for id, want := range map[string]string{
		"autonomy": "autonomy", "dc-surge-current": "dc-surge-current", "slip-Kettle 2": "slip", "slip-": "slip",
		"cable-bank": "cable-bank", "cable-feeder": "cable-feeder", "cable-array-2": "cable-array",
		"cable-kitchen": "cable-circuit", "cable-kitchen-2": "cable-circuit",
		"cable-circuit-bank": "cable-circuit", "cable-2": "cable-circuit",
		"cable-array": "cable-circuit", "cable-bank-2": "cable-circuit", // circuits with such ids
		"string-voc-cold": "string-voc-cold", "string-voc-cold-12": "string-voc-cold", "string-input": "string-input",
		"generator-start": "generator-start", "plan": "plan",
	} {
		if got := verdict.Common(id); got != want {
			t.Errorf("Common(%q) = %q, want %q", id, got, want)
		}
	}
}
