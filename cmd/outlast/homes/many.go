package homes

import (
	"context"
	"errors"
	"fmt"
	"io"

	"outlast/backup"
	"outlast/backup/fleet"
	"outlast/backup/sheet"
	"outlast/backup/sheet/record"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/workers"
	"outlast/catalog"
	"outlast/catalog/strict"
	"outlast/cmd/outlast/files"
	"outlast/cmd/outlast/terminal"
)

// Many are homes that are planned one beside the other and told one after the other: nothing of one is kept once
// the next is told, so their number does not matter.
type Many struct {
	Names   *Names
	Catalog *catalog.Catalog
	Output  files.Output
	Errors  io.Writer // what is wrong with a site file is told here
	Options bool      // plan the options of the homes too

	told, bad int
	fails     bool
	tellBad   func(error) // what is wrong with a site file, where it is not told at once
}

// tell tells what is wrong with a site file.
func (m *Many) tell(err error) {
	if m.tellBad != nil {
		m.tellBad(err)
		return
	}
	terminal.TellErrors(m.Errors, err)
}

// eachHome plans each home and hands what work makes of it to tell, in the order of the names. What is wrong with a
// site file is told, and the others go on.
func eachHome[R any](ctx context.Context, m *Many, work func(p *backup.Plan) (R, error),
	tell func(R) error) error {
	type outcome struct {
		result R
		fails  bool
		err    error // of the site file
		fatal  error
	}
	err := workers.InOrder(ctx, m.Names.Each(), func(name Name) (o outcome) {
		p, err := m.plan(ctx, name)
		if err == nil {
			o.fails = p.Verdict() == verdict.Fail
			o.result, err = work(p)
		}
		var overwrites *terminal.UsageError
		if errors.As(err, &overwrites) || errors.Is(err, context.Canceled) {
			o.fatal = err
			return o
		}
		o.err = err
		return o
	}, func(o outcome) error {
		switch {
		case o.fatal != nil:
			return o.fatal
		case o.err != nil:
			m.bad++
			m.tell(o.err)
			return nil
		}
		m.told++
		m.fails = m.fails || o.fails
		return tell(o.result)
	})
	if err == nil && m.told == 0 {
		return m.End()
	}
	return err
}

// plan reads and plans a home.
func (m *Many) plan(ctx context.Context, name Name) (*backup.Plan, error) {
	if name.Err != nil {
		return nil, name.Err
	}
	if err := m.Output.SparesInputs([]string{name.Path}); err != nil {
		return nil, err
	}
	s, _, err := Read(ctx, m.Names.In, name.Path, m.Catalog)
	if err != nil {
		return nil, err
	}
	if err := m.Output.SparesInputs(NamedFiles(s)); err != nil {
		return nil, err
	}
	plan := backup.Alone
	if m.Options {
		plan = backup.NewPlan
	}
	p, err := plan(ctx, s)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", s.File, err)
	}
	return p, nil
}

// Plans are the plans of all homes that can be planned, for a text that shows them together. What is wrong with the
// others is told; where none can be planned it is the error, and where a file is to be written any of it is: the old one
// is not lost for a part.
func (m *Many) Plans(ctx context.Context) (plans []*backup.Plan, err error) {
	var bad []error
	m.tellBad = func(err error) { bad = append(bad, err) }
	err = eachHome(ctx, m, func(p *backup.Plan) (*backup.Plan, error) { return p, nil }, func(p *backup.Plan) error {
		plans = append(plans, p)
		return nil
	})
	if len(bad) > 0 && (len(plans) == 0 || !m.Output.OnScreen()) {
		var all strict.Problems
		for _, of := range bad {
			if err := Gather(&all, of); err != nil {
				return nil, err
			}
		}
		return nil, all
	}
	for _, of := range bad {
		terminal.TellErrors(m.Errors, of)
	}
	return plans, err
}

// End is how it came out: nil where every home is planned and none fails.
func (m *Many) End() error {
	switch {
	case m.bad > 0 && m.told == 0:
		return terminal.Usage("no home could be planned", "")
	case m.bad > 0:
		return terminal.Usage(fmt.Sprintf("%d of %s could not be planned", m.bad, count(m.told+m.bad, "home")),
			"the others were")
	case m.told == 0:
		return terminal.Usage("no site file is named in the list", "")
	case m.fails:
		return ErrChecksFail
	}
	return nil
}

// WriteRecords writes a line for each home: a record of JSON, or a row below one head.
func WriteRecords(ctx context.Context, out io.Writer, m *Many, format string) error {
	err := m.Output.Stream(ctx, out, func(w io.Writer) error {
		if format == "jsonl" {
			return eachHome(ctx, m, func(p *backup.Plan) ([]byte, error) { return record.Record(p) },
				func(line []byte) error {
					_, err := w.Write(line)
					return err
				})
		}
		if err := record.WriteRows(w, [][]string{record.HomeHead()}, m.Output.Spreadsheet()); err != nil {
			return err
		}
		return eachHome(ctx, m, func(p *backup.Plan) ([]string, error) { return record.HomeRow(p), nil },
			func(row []string) error {
				return record.WriteRows(w, [][]string{row}, false)
			})
	})
	if errors.Is(err, context.Canceled) && m.told > 0 && m.Output.OnScreen() {
		return &PartError{m.told}
	}
	if err != nil {
		return err
	}
	return m.End()
}

// WriteSummary counts the homes, and what a change would do to each.
func WriteSummary(ctx context.Context, out io.Writer, m *Many, change *site.Change, o sheet.Options) error {
	type home struct {
		base, changed fleet.Home
		unsuited      error
	}
	var c fleet.Count
	err := eachHome(ctx, m, func(p *backup.Plan) (h home, err error) {
		if h.base, err = fleet.Of(p.Facts); err != nil || change == nil {
			return h, err
		}
		s, unsuited := p.Site.Changed(change)
		if unsuited != nil {
			h.unsuited = unsuited
			return h, nil
		}
		with, err := backup.Alone(ctx, s)
		if err != nil {
			return h, err
		}
		h.changed, err = fleet.Of(with.Facts)
		return h, err
	}, func(h home) error {
		c.Add(h.base)
		if change != nil {
			c.AddChanged(h.base, h.changed, h.unsuited)
		}
		return nil
	})
	if err != nil {
		return err
	}
	s := record.Summary{Count: &c, Bad: m.bad}
	if change != nil {
		s.Change = change.String()
	}
	if err := m.Output.Write(ctx, out, func(w io.Writer) error { return sheet.WriteSummary(w, s, o) }); err != nil {
		return err
	}
	return m.End()
}

// A PartError ends a command that was interrupted when some of its homes were told already.
type PartError struct{ Told int }

func (e *PartError) Error() string { return "after " + count(e.Told, "home") }

func (e *PartError) Unwrap() error { return context.Canceled }

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
