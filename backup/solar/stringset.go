package solar

// maxModules is the most modules in a string and the most strings side by side that are taken for real.
const maxModules = 1000

// A StringSet is equal strings side by side.
type StringSet struct {
	Module    Module // [Module.WithDefaults] is applied to it
	PerString int    // modules in series, 1..1000
	Strings   int    // in parallel, 1..1000
}

// RatedW returns the power of all modules at standard test conditions, in W.
func (s StringSet) RatedW() float64 {
	return float64(s.PerString) * float64(s.Strings) * s.Module.RatedW
}

func (s StringSet) check() error {
	if err := s.Module.Check(); err != nil {
		return err
	}
	if s.PerString < 1 || s.PerString > maxModules {
		return errs.Errorf("%d modules in a string, want 1 to %d", s.PerString, maxModules)
	}
	if s.Strings < 1 || s.Strings > maxModules {
		return errs.Errorf("%d strings, want 1 to %d", s.Strings, maxModules)
	}
	return nil
}
