package split

import (
	"outlast/backup/facts"
	"outlast/backup/site"
)

// ForEquipment puts the circuits that may go on either board where the equipment is to carry them: on the backup board,
// as far as its ways reach, the most important ones first.
func ForEquipment(s *site.Site, essential bool, sh *facts.Shared) (*site.Site, error) {
	d := NewDecider(s, sh)
	picks := d.none()
	if !essential {
		result, err := d.mostImportant()
		if err != nil {
			return nil, err
		}
		for n := range picks {
			if result[n] {
				picks[n] = s.Circuits[d.Open[n]].Phase
			}
		}
	}
	for n := range picks {
		if d.Must[n] {
			picks[n] = s.Circuits[d.Open[n]].Phase
		}
	}
	return d.Split(picks), nil
}
