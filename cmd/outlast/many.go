package main

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
)

// manyHomes are homes that are planned one beside the other and told one after the other: nothing of one is kept once
// the next is told, so their number does not matter.
type manyHomes struct {
	names  *siteNames
	cat    *catalog.Catalog
	output output
	errw   io.Writer

	told, bad int
	fails     bool
}

// eachHome plans each home and hands what work makes of it to tell, in the order of the names. What is wrong with a
// site file is told on errw, and the others go on.
func eachHome[R any](ctx context.Context, m *manyHomes, work func(p *backup.Plan) (R, error),
	tell func(R) error) error {
	type outcome struct {
		result R
		fails  bool
		err    error // of the site file
		fatal  error
	}
	err := workers.InOrder(ctx, m.names.each(), func(name siteName) (o outcome) {
		p, err := m.plan(ctx, name)
		if err == nil {
			o.fails = p.Verdict() == verdict.Fail
			o.result, err = work(p)
		}
		var overwrites *usageError
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
			tellErrors(m.errw, o.err)
			return nil
		}
		m.told++
		m.fails = m.fails || o.fails
		return tell(o.result)
	})
	if err == nil && m.told == 0 {
		return m.end()
	}
	return err
}

// plan reads and plans a home, without its options.
func (m *manyHomes) plan(ctx context.Context, name siteName) (*backup.Plan, error) {
	if name.err != nil {
		return nil, name.err
	}
	if err := m.output.sparesInputs([]string{name.path}); err != nil {
		return nil, err
	}
	s, _, err := readSite(ctx, m.names.in, name.path, m.cat)
	if err != nil {
		return nil, err
	}
	if err := m.output.sparesNamed(s); err != nil {
		return nil, err
	}
	p, err := backup.Alone(ctx, s)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", s.File, err)
	}
	return p, nil
}

// end is how it came out.
func (m *manyHomes) end() error {
	switch {
	case m.bad > 0 && m.told == 0:
		return &usageError{"no home could be planned", ""}
	case m.bad > 0:
		return &usageError{fmt.Sprintf("%d of %s could not be planned", m.bad, count(m.told+m.bad, "home")),
			"the others were"}
	case m.told == 0:
		return &usageError{"no site file is named in the list", ""}
	case m.fails:
		return errChecksFail
	}
	return nil
}

// runRecords writes a line for each home: a record of JSON, or a row below one head.
func runRecords(ctx context.Context, out io.Writer, m *manyHomes, format string) error {
	err := m.output.stream(ctx, out, func(w io.Writer) error {
		if format == "jsonl" {
			return eachHome(ctx, m, func(p *backup.Plan) ([]byte, error) { return record.Record(p) },
				func(line []byte) error {
					_, err := w.Write(line)
					return err
				})
		}
		if err := record.WriteRows(w, [][]string{record.HomeHead()}, m.output.spreadsheet()); err != nil {
			return err
		}
		return eachHome(ctx, m, func(p *backup.Plan) ([]string, error) { return record.HomeRow(p), nil },
			func(row []string) error {
				return record.WriteRows(w, [][]string{row}, false)
			})
	})
	if errors.Is(err, context.Canceled) && m.told > 0 && m.output.onScreen() {
		return &partError{m.told}
	}
	if err != nil {
		return err
	}
	return m.end()
}

// runSummary counts the homes, and what a change would do to each.
func runSummary(ctx context.Context, out io.Writer, m *manyHomes, change *site.Change, o sheet.Options) error {
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
	if err := m.output.write(ctx, out, func(w io.Writer) error { return sheet.WriteSummary(w, s, o) }); err != nil {
		return err
	}
	return m.end()
}

// A partError ends a command that was interrupted when some of its homes were told already.
type partError struct{ told int }

func (e *partError) Error() string { return "after " + count(e.told, "home") }

func (e *partError) Unwrap() error { return context.Canceled }

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
