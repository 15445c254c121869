package catalog

import (
	"fmt"
	"strings"
	"testing"
)

// TestDefaultsTold: what the table of keys tells of defaults is what is taken.
func TestDefaultsTold(t *testing.T) {
	told := map[string]string{}
	for _, k := range InverterKeys {
		told[k.Name] = k.Otherwise
	}
	for _, d := range inverterDefaults {
		if value, _, _ := strings.Cut(told[d.key], " "); value != fmt.Sprint(d.value) {
			t.Errorf("%s: %q is told, %g is taken", d.key, told[d.key], d.value)
		}
	}
}
