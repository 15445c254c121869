// Package homes is which homes a command is asked about, and how they are read and planned: one, several or a folder of
// thousands.
//
// [Names] gives the site files one after the other. [Read] reads one with what it names: equipment from the catalog of
// [ReadCatalog], weather and meter files beside it. [PlanOne] and [Many.Plans] keep the plans; else [Many] keeps none, and
// writes a line for each home or a count of all.
package homes

import (
	"bufio"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"

	"outlast/backup/measured/meter"
	"outlast/backup/measured/meterfile"
	"outlast/backup/measured/tabular"
	"outlast/backup/measured/tabular/workbook"
	"outlast/backup/sheet/record"
	"outlast/backup/site"
	"outlast/catalog"
	"outlast/catalog/strict"
	"outlast/cmd/outlast/files"
	"outlast/cmd/outlast/terminal"
)

// ReadCatalog reads the generic catalog and lays those in the user's files over it.
func ReadCatalog(ctx context.Context, in io.Reader, catalogs []string) (*catalog.Catalog, error) {
	cat, err := catalog.Generic()
	if err != nil {
		return nil, err
	}
	var problems strict.Problems
	for _, path := range catalogs {
		name, src, err := files.Read(ctx, in, path)
		if err == nil {
			var own *catalog.Catalog
			if own, err = catalog.Read(name, src); err == nil {
				cat.Add(own)
				continue
			}
		}
		if err := Gather(&problems, err); err != nil {
			return nil, err
		}
	}
	if problems != nil {
		return nil, problems
	}
	return cat, nil
}

// Read reads one site file, and gives its text as well.
func Read(ctx context.Context, in io.Reader, path string, cat *catalog.Catalog) (s *site.Site, src []byte,
	err error) {
	name, src, err := files.Read(ctx, in, path)
	if err != nil {
		return nil, nil, err
	}
	s, err = files.Interruptible(ctx, func() (*site.Site, error) {
		s, err := site.Read(name, src, cat)
		if err != nil {
			return nil, err
		}
		if err := s.ReadWeather(Beside(path)); err != nil {
			return nil, err
		}
		return s, readSiteMeter(ctx, path, s)
	})
	return s, src, err
}

// Beside opens files that a site file names: relative names start from the site file's folder.
func Beside(path string) func(string) (io.ReadCloser, error) {
	return func(name string) (io.ReadCloser, error) {
		f, err := os.Open(besidePath(path, name))
		if err != nil {
			return nil, errors.New(terminal.Cause(err))
		}
		return f, nil
	}
}

// besidePath is where a file stands that the site file at path names.
func besidePath(path, name string) string {
	if filepath.IsAbs(name) || path == "-" || path == files.StandardInput {
		return name
	}
	return filepath.Join(filepath.Dir(path), name)
}

// Gather adds the problems in err to all; any other error comes back.
func Gather(all *strict.Problems, err error) error {
	var ps strict.Problems
	if !errors.As(err, &ps) {
		return err
	}
	*all = append(*all, ps...)
	return nil
}

// NamedFiles are the files that a site names: no result may take their place.
func NamedFiles(s *site.Site) []string {
	var read []string
	if s.Meter != "" {
		read = append(read, besidePath(s.File, s.Meter))
	}
	for _, a := range s.Arrays {
		if a.Weather != "" {
			read = append(read, besidePath(s.File, a.Weather))
		}
	}
	return read
}

// readSiteMeter reads the meter file that a site names, beside the site file at path.
func readSiteMeter(ctx context.Context, path string, s *site.Site) error {
	return s.ReadMeter(func(name string) (*meter.Use, error) {
		var o meterfile.TableOptions
		if s.UTCOffsetH != nil {
			o.Else = meter.Fixed(*s.UTCOffsetH * 3600)
		}
		m, err := ReadMeter(ctx, nil, besidePath(path, name), tabular.Options{}, o)
		if one := (strict.Problems)(nil); errors.As(err, &one) && len(one) == 1 && one[0].Line == 0 {
			return nil, errors.New(one[0].Msg) // of the whole file: where the site names it says more
		}
		return m.Use, err
	})
}

// ReadMeter reads a meter file of any kind and adds it up.
func ReadMeter(ctx context.Context, in io.Reader, path string, to tabular.Options,
	o meterfile.TableOptions) (record.MeasuredUse, error) {
	none := record.MeasuredUse{}
	r, name, err := files.Open(in, path)
	if err != nil {
		return none, err
	}
	defer r.Close()
	return files.Interruptible(ctx, func() (record.MeasuredUse, error) {
		d, err := meterData(name, r, to, o)
		if err != nil {
			return none, err
		}
		clock := d.Clock
		if o.Zone != nil {
			clock = meter.Zone{Location: o.Zone}
		}
		if clock == nil {
			clock = o.Else
		}
		use, err := d.Use(clock)
		if err != nil {
			return none, strict.Problems{{File: name, Msg: err.Error()}}
		}
		return record.MeasuredUse{Use: use, File: name, Data: d, Clock: clock}, nil
	})
}

// meterData reads a file of one of the standards, or else a table.
func meterData(name string, r io.Reader, to tabular.Options, o meterfile.TableOptions) (*meter.Data, error) {
	b := bufio.NewReaderSize(r, 64<<10)
	if head, _ := b.Peek(512); meterfile.IsStandard(head) {
		return meterfile.Read(name, b)
	}
	t, err := workbook.Open(name, b, to)
	if err != nil {
		return nil, err
	}
	return meterfile.ReadTable(t, o)
}
