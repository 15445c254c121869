package main

import (
	"context"
	"fmt"
	"io"
	"path/filepath"

	"outlast/backup"
	"outlast/backup/live"
	"outlast/backup/sheet/paper/words"
	"outlast/backup/verdict"
	"outlast/catalog/strict"
	"outlast/cmd/outlast/files"
	"outlast/cmd/outlast/homes"
	"outlast/cmd/outlast/tablepage"
	"outlast/cmd/outlast/terminal"
)

// runLive writes the page of serve as one file, with all that the plan reads inside.
func runLive(ctx context.Context, in io.Reader, out io.Writer, file string, o reportOptions) error {
	site, src, cat, err := o.read(ctx, in, file)
	if err != nil {
		return err
	}
	plan, err := backup.NewPlan(ctx, site)
	if err != nil {
		return fmt.Errorf("%s: %w", site.File, err)
	}
	c := tablepage.Carried{File: filepath.Base(site.File), Text: string(src), Files: map[string]string{}}
	if file == "-" {
		c.File = "site.toml"
	}
	for _, path := range o.catalogs {
		if path == "-" {
			return terminal.Usage("--live needs catalogs that can be read twice", "give the name of a file")
		}
		name, text, err := files.Read(ctx, in, path)
		if err != nil {
			return err
		}
		c.Catalogs = append(c.Catalogs, tablepage.CarriedCatalog{Name: name, Text: string(text)})
	}
	for _, a := range site.Arrays {
		if a.Weather == "" {
			continue
		}
		text, err := readWhole(homes.Beside(file), a.Weather)
		if err != nil {
			return strict.Problems{{File: a.Weather, Msg: "cannot be opened: " + terminal.Cause(err)}}
		}
		c.Files[a.Weather] = text
	}
	home, err := live.New(live.Home{File: c.File, Text: src, Catalog: cat, Open: homes.Beside(file)})
	if err != nil {
		return err
	}
	if err := o.output.Write(ctx, out, func(w io.Writer) error {
		return tablepage.WriteFile(ctx, w, c, home, o.paper.Lang, words.Languages())
	}); err != nil {
		return err
	}
	if plan.Verdict() == verdict.Fail {
		return homes.ErrChecksFail
	}
	return nil
}

// readWhole reads a file that a site file names.
func readWhole(open func(string) (io.ReadCloser, error), name string) (string, error) {
	f, err := open(name)
	if err != nil {
		return "", err
	}
	defer f.Close()
	text, err := io.ReadAll(f)
	return string(text), err
}
