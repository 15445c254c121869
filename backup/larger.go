package backup

import (
	"slices"

	"outlast/catalog"
)

// largerInverters are the catalog's inverters that could take the place of the site's and carry more, smallest first: the same
// bank voltage, phases and output.
func (s *Site) largerInverters() []catalog.Inverter {
	if s.catalog == nil {
		return nil
	}
	var out []catalog.Inverter
	for _, v := range s.catalog.Inverters {
		if v.RatedVA > s.Inverter.RatedVA && v.NominalDCV == s.Inverter.NominalDCV && v.Phases == s.Inverter.Phases && v.OutputV == s.Inverter.OutputV {
			out = append(out, v)
		}
	}
	slices.SortStableFunc(out, func(a, b catalog.Inverter) int {
		switch {
		case a.RatedVA < b.RatedVA:
			return -1
		case a.RatedVA > b.RatedVA:
			return 1
		}
		return 0
	})
	return out
}
