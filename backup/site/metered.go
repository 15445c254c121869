package site

import (
	"errors"
	"fmt"

	"outlast/backup/fault"
	"outlast/backup/measured/meter"
	"outlast/catalog/strict"
)

// ReadMeter has the meter file read that the site names, if it does; read is given the name as it stands in the site
// file. The error is of type [strict.Problems]: those of the meter file as they are, others stand at the site's
// `meter`.
func (s *Site) ReadMeter(read func(name string) (*meter.Use, error)) error {
	if s.Meter == "" {
		return nil
	}
	use, err := read(s.Meter)
	if own := (strict.Problems)(nil); errors.As(err, &own) {
		return own
	}
	if err != nil {
		return strict.Problems{{File: s.File, Line: s.meterAt.Line, Col: s.meterAt.Col,
			Msg: fmt.Sprintf("meter in [site]: %s: %s", strict.Quote(s.Meter), fault.Reason(err))}}
	}
	s.Use = use
	for _, o := range s.Options {
		o.Site.Use = use
	}
	return nil
}
