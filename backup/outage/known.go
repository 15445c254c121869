package outage

import (
	"reflect"
	"slices"
	"sync"
)

// KnownDays are the mean days of the outages of a home and its options: one that is like another in all that it hangs
// on is followed once, also where both are asked for side by side.
type KnownDays struct {
	mu    sync.Mutex
	known []*knownDay
}

type knownDay struct {
	of   Scenario
	find func() (Day, error)
}

// Daily is the function of that name. The scenario's own bank tells only which bank it is, and stays as it is: the one
// that is followed comes from newBank.
func (d *KnownDays) Daily(s Scenario, newBank func() Bank) (Day, error) {
	d.mu.Lock()
	i := slices.IndexFunc(d.known, func(k *knownDay) bool { return k.of.same(s) })
	if i < 0 {
		i = len(d.known)
		d.known = append(d.known, &knownDay{s, sync.OnceValues(func() (Day, error) {
			s.Bank = newBank()
			return Daily(s)
		})})
	}
	k := d.known[i]
	d.mu.Unlock()
	return k.find()
}

// same tells whether all of two scenarios is the same. The many figures are looked at first, as they tell most apart.
func (s Scenario) same(o Scenario) bool {
	if !slices.Equal(s.PVW, o.PVW) || !slices.Equal(s.BaseW, o.BaseW) {
		return false
	}
	s.PVW, s.BaseW, o.PVW, o.BaseW = nil, nil, nil, nil
	return reflect.DeepEqual(s, o)
}
