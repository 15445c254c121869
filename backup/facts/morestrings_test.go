package facts

import (
	"testing"

	"outlast/backup/verdict"
)

// Each check that more strings may help, and that the capacity does not decide, can be made again with more of them.
func TestChecksThatStringsHelpAreMadeAgain(t *testing.T) {
	for _, k := range verdict.Kinds() {
		wanted := k.On&verdict.HelpedByStrings != 0 && k.On&verdict.OnCapacity == 0
		if _, is := byStrings[k.ID]; is != wanted {
			t.Errorf("%s: made again %v, want %v", k.ID, is, wanted)
		}
	}
}
