package loads

import "fmt"

// Probable returns the probable demand in W.
func (s *Set) Probable(confidence float64) (w float64, err error) {
	if !(confidence > 0 && confidence <= 1) {
		return 0, fmt.Errorf("loads: confidence %g, want above 0 and at most 1", confidence)
	}
	return s.Scheduled().W, nil
}
