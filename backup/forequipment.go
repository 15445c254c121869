package backup

// ForEquipment puts the circuits that may go on either board where the equipment is to carry them: on the backup board, as far as its
// ways reach, the most important ones first.
func ForEquipment(s *Site, essential bool, sh *shared) (*Site, error) {
	d := newDecider(s, sh)
	picks := d.none()
	if !essential {
		result, err := d.mostImportant()
		if err != nil {
			return nil, err
		}
		for n := range picks {
			if result[n] {
				picks[n] = s.Circuits[d.open[n]].Phase
			}
		}
	}
	for n := range picks {
		if d.must[n] {
			picks[n] = s.Circuits[d.open[n]].Phase
		}
	}
	return d.split(picks), nil
}
