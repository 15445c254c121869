package facts

import (
	"testing"

	"outlast/backup/verdict"
)

// Each check that more strings may help, and that the capacity does not decide, can be made again with more of them.
func TestChecksThatStringsHelpAreMadeAgain(t *testing.T) {
	for _, id := range verdict.IDsOn(0) {
		k, _ := verdict.KindOf(id)
		wanted := k.On&verdict.HelpedByStrings != 0 && k.On&verdict.OnCapacity == 0
		if _, is := byStrings[k.ID]; is != wanted {
			t.Errorf("%s: made again %v, want %v", k.ID, is, wanted)
		}
	}
}
