package conductors

import (
	"testing"

	"outlast/backup/verdict"
)

// TestRunsOfEveryHome: the runs that every home may have are known as such to the table of checks, and no circuit is.
func TestRunsOfEveryHome(t *testing.T) {
	for _, kind := range []Kind{Bank, Feeder, Input, Array} {
		id := "cable-" + string(kind)
		if kind == Array {
			id += "-2"
		}
		if got := verdict.Common(id); got != "cable-"+string(kind) {
			t.Errorf("%s is %s in every home", id, got)
		}
		if got := verdict.Common("cable-" + circuitRunName(string(kind))); got != verdict.AnyCircuit {
			t.Errorf("a circuit that is called %s is %s in every home", kind, got)
		}
	}
}
