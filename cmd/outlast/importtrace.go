package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"outlast/backup/measured/tabular/workbook"
	"outlast/backup/measured/trace"
	"outlast/backup/phrase"
	"outlast/backup/sheet"
	"outlast/backup/sheet/paper/words"
	"outlast/backup/site"
	"outlast/catalog"
	"outlast/cmd/outlast/files"
	"outlast/cmd/outlast/homes"
	"outlast/cmd/outlast/terminal"
)

type importTraceOptions struct {
	table       tableFlags
	volts       float64
	name, class string
	path        string
	drawing     string
	lang        string
	catalogs    []string
}

func newImportTrace() *cobra.Command {
	var o importTraceOptions
	kinds, _ := trace.Kinds()
	cmd := &cobra.Command{
		Use:   "trace FILE",
		Short: "Make a load of one appliance's logged power (.csv or .xlsx)",
		Long: `import trace reads a log of one appliance, times and powers a second to a minute apart, and prints a load as it
stands in a site file: running and starting power, seconds of the start, rhythm, hours a day, and the power factor
where VA, or A and V, are logged beside W. A drawing stands above it, and every spot that is doubtful; --drawing makes one
for the eye, with starts and doubtful spots marked.`,
		Example: `  outlast import trace fridge.csv
  outlast import trace --column time=1 --column power=3 --class fridge --name Cellar log.csv >> cottage.toml`,
		Args: oneTable,
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
			return []cobra.Completion{"csv", "tsv", "txt", "xlsx"}, cobra.ShellCompDirectiveFilterFileExt
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := checkLang(o.lang); err != nil {
				return err
			}
			return runImportTrace(cmd.Context(), cmd.InOrStdin(), cmd.OutOrStdout(), cmd.ErrOrStderr(), args[0], o)
		},
	}
	f := cmd.Flags()
	o.table.flags(cmd, kinds)
	o.table.datesFlag(cmd)
	f.Float64Var(&o.volts, "volts", 0, "`VOLTS` of the appliance, where amps are logged and no volts")
	f.Var(named{&o.name, "the load"}, "name", "call the load `NAME`; without it, as the file")
	f.Var(named{&o.class, "a class"}, "class", "of `CLASS` in the catalog, which gives what readings do not tell")
	f.VarP(named{&o.path, "a file"}, "output", "o",
		"write to `FILE` instead; one that is there already is never overwritten")
	f.Var(named{&o.drawing, "a file"}, "drawing",
		"also draw the power through time, as SVG, to `FILE`; one that is there already is never overwritten")
	langFlag(cmd, &o.lang, false)
	catalogFlag(cmd, &o.catalogs)
	return cmd
}

func runImportTrace(ctx context.Context, in io.Reader, out, errw io.Writer, path string, o importTraceOptions) error {
	if o.volts != 0 && !(o.volts >= 5 && o.volts <= 1000) {
		return terminal.Usage(fmt.Sprintf("--volts %g, want 5 to 1000", o.volts), "")
	}
	tableOptions, wishes, err := o.table.read(trace.Kinds())
	if err != nil {
		return err
	}
	if err := o.knowsClass(ctx, in); err != nil {
		return err
	}
	r, name, err := files.Open(in, path)
	if err != nil {
		return err
	}
	defer r.Close()
	load, err := files.Interruptible(ctx, func() (*trace.Load, error) {
		t, err := workbook.Open(name, r, tableOptions)
		if err != nil {
			return nil, err
		}
		tr, err := trace.Read(t, trace.Options{Wishes: wishes, Dates: o.table.dates, Volts: o.volts})
		if err != nil {
			return nil, err
		}
		return tr.Load(), nil
	})
	if err != nil {
		return err
	}
	if o.name == "" {
		o.name = strings.TrimSuffix(filepath.Base(name), filepath.Ext(name))
	}
	say, err := sayIn(o.lang)
	if err != nil {
		return err
	}
	text := load.Text(trace.Naming{Name: trace.NameOf(o.name), Class: o.class}, say)
	return o.write(out, errw, text, func() []byte { return []byte(load.SVG(trace.NameOf(o.name), say)) })
}

// sayIn writes what an import says, in a language.
func sayIn(lang string) (trace.Say, error) {
	if lang == words.Languages()[0] {
		return nil, nil
	}
	if _, err := sheet.Say(&site.Site{}, lang, phrase.Of("once")); err != nil {
		return nil, err
	}
	return func(p phrase.Phrase) string {
		text, err := sheet.Say(&site.Site{}, lang, p)
		if err != nil { // the language was tried above
			panic(err)
		}
		return text
	}, nil
}

// knowsClass refuses a class of appliances that the catalog does not have.
func (o *importTraceOptions) knowsClass(ctx context.Context, in io.Reader) error {
	if o.class == "" {
		return nil
	}
	cat, err := homes.ReadCatalog(ctx, in, o.catalogs)
	if err != nil {
		return err
	}
	if _, err := cat.Appliance(o.class); err != nil {
		var unknown *catalog.UnknownID
		hint := "outlast catalog lists them"
		if errors.As(err, &unknown) && unknown.Nearest != "" {
			hint = fmt.Sprintf("did you mean %q?", unknown.Nearest)
		}
		return terminal.Usage("--class: "+err.Error(), hint)
	}
	return nil
}

// write puts the load and its drawing where they are wanted, as new files; nothing where one of them is there.
func (o *importTraceOptions) write(out, errw io.Writer, text string, drawing func() []byte) error {
	if o.drawing != "" && filepath.Clean(o.drawing) == filepath.Clean(o.path) {
		return terminal.Usage(o.path+" is named for both the load and its drawing", "name another file")
	}
	for _, path := range []string{o.path, o.drawing} {
		if _, err := os.Lstat(path); path != "" && err == nil {
			return files.ThereAlready(path)
		}
	}
	if o.drawing != "" {
		if err := files.WriteNew(o.drawing, drawing()); err != nil {
			return err
		}
		fmt.Fprintf(errw, "outlast: wrote %s\n", terminal.Visible(o.drawing))
	}
	if o.path == "" {
		_, err := io.WriteString(out, text)
		return err
	}
	if err := files.WriteNew(o.path, []byte(text)); err != nil {
		return err
	}
	_, err := fmt.Fprintf(errw, "outlast: wrote %s\n", terminal.Visible(o.path))
	return err
}
