package sizing

import (
	"slices"

	"outlast/backup/verdict"
)

// A constant is how the checks came out that hang on no equipment ([verdict.Stands]), as far as a trial has asked.
type constant []verdict.Check

// apart parts the checks of a trial into those that other equipment may cure, as far as they fail, and those that
// hang on none.
func apart(checks []verdict.Check) (failing []verdict.Check, same constant) {
	for _, c := range checks {
		switch {
		case verdict.Stands(c.ID):
			same = append(same, c)
		case c.Status == verdict.Fail:
			failing = append(failing, c)
		}
	}
	return failing, same
}

// standing are the checks that fail with every inverter and battery, as all trials together tell. Where the phases of
// circuits are open, each inverter has its own arrangement of them: what another one cures does not stand, and counts
// against those with which it fails.
func (z *sizer) standing(found []found) ([]verdict.Check, error) {
	var all []constant
	complete := false
	for i := range found {
		all = append(all, found[i].constant)
		complete = complete || len(found[i].passing) > 0
	}
	if !complete { // trials ended before they had asked for all: the loads behind the site's own equipment do
		v, a, err := z.placed(z.site)
		if err != nil {
			return nil, err
		}
		e := z.effort()
		e.Curt = true
		if p, err := z.shared.Serve(v, a, e); err == nil { // else the equipment is of no use, and says nothing
			_, same := apart(p.Checks)
			all = append(all, same)
		}
	}
	var out []verdict.Check
	cured := map[string]bool{}
	for _, same := range all {
		for _, c := range same {
			if c.Status != verdict.Fail {
				cured[c.ID] = true
			} else if !has(out, c.ID) {
				out = append(out, c)
			}
		}
	}
	return slices.DeleteFunc(out, func(c verdict.Check) bool { return cured[c.ID] }), z.ctx.Err()
}

// differing are those that fail and do not stand.
func (same constant) differing(standing []verdict.Check) (out []verdict.Check) {
	for _, c := range same {
		if c.Status == verdict.Fail && !has(standing, c.ID) {
			out = append(out, c)
		}
	}
	return out
}

// count lets checks that fail whatever the bank count against what was found behind the inverters.
func (f *found) count(failing []verdict.Check) {
	if len(failing) == 0 {
		return
	}
	for i := range f.misses {
		f.misses[i].Failing = append(f.misses[i].Failing, failing...)
	}
	for _, p := range f.passing {
		f.misses = append(f.misses, Miss{p.Inverter, p.Count, &p.Unit, p.Series, p.Strings, failing})
	}
	f.passing, f.larger = nil, nil
}

func has(checks []verdict.Check, id string) bool {
	return slices.ContainsFunc(checks, func(c verdict.Check) bool { return c.ID == id })
}
