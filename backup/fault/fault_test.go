package fault_test

import (
	"context"
	"errors"
	"fmt"
	"testing"

	"outlast/backup/fault"
)

// The reason of an error is what stands behind its place; an error without a place is told whole, whatever stands
// before a colon in it.
func TestReason(t *testing.T) {
	errs := fault.In("battery")
	for _, tt := range []struct {
		err        error
		text, told string
	}{
		{errs.Errorf("%d strings, want at least 1", 0), "battery: 0 strings, want at least 1",
			"0 strings, want at least 1"},
		{errs.Errorf("load: %s", "5 W"), "battery: load: 5 W", "load: 5 W"},
		{fmt.Errorf("bank: %w", fault.Reason(errs.Errorf("no cells"))), "bank: no cells", "bank: no cells"},
		{errors.New("bank: no cells"), "bank: no cells", "bank: no cells"},
		{fault.In("outage").Of(errs.Errorf("no cells")), "outage: battery: no cells", "battery: no cells"},
	} {
		if got := tt.err.Error(); got != tt.text {
			t.Errorf("%q, want %q", got, tt.text)
		}
		if got := fault.Reason(tt.err).Error(); got != tt.told {
			t.Errorf("the reason of %q is %q, want %q", tt.err, got, tt.told)
		}
	}
	err := fmt.Errorf("not followed: %w", fault.Reason(errs.Errorf("ended: %w", context.Canceled)))
	if !errors.Is(err, context.Canceled) {
		t.Errorf("%q has lost what ended it", err)
	}
}
