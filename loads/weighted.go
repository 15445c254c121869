package loads

// PeakPartsWith returns what adds up to the VA of [Set.ScheduledWith], all phases together, and the first minute at
// which it runs.
func (s *Set) PeakPartsWith(weight func(Load) float64) (atMin int, parts []Part) {
	draws := make([]draw, len(s.run))
	for i := range draws {
		draws[i] = s.run[i].scale(weight(s.loads[i]))
	}
	alone, choose := s.alone(s.slots, draws), s.chooser(draws)
	var most worst
	at := 0
	for k := range s.slots {
		base, before := alone[k*s.lanes], most
		if most.offer(reach(base, choose.vertices(s.slots[k].state, 0)), float64(s.slots[k].startMin)); most != before {
			at = k
		}
	}
	if len(s.slots) == 0 {
		return 0, nil
	}
	q := picker{set: s, slot: &s.slots[at], draws: draws, apparent: true, without: -1, seconds: -1}
	return s.slots[at].startMin, q.parts(alone[at*s.lanes], nil)
}
