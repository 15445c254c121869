package main

import (
	"context"
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"

	"outlast/backup/interview"
	"outlast/backup/measured/inventory"
	"outlast/backup/measured/tabular"
	"outlast/backup/measured/tabular/workbook"
	"outlast/backup/phrase"
	"outlast/backup/sheet/paper/words"
	"outlast/backup/site"
	"outlast/catalog/strict"
	"outlast/cmd/outlast/files"
	"outlast/cmd/outlast/homes"
	"outlast/cmd/outlast/terminal"
)

func newImport() *cobra.Command {
	cmd := &cobra.Command{
		Use:     "import",
		GroupID: "plan",
		Short:   "Take in data as people have them: lists of appliances, logs of power",
		Long: `import reads what is there already and writes it as a site file, or as a part of one, with a comment beside each decision.
What is unsure is asked back, with row and column, and never guessed. outlast help importing tells more.`,
		Example: `  outlast import loads loads.csv -o cottage.toml
  outlast import trace fridge.csv`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return terminal.Usage(fmt.Sprintf("import knows no %s", strict.Quote(args[0])),
					"one of its kinds: outlast import --help lists them")
			}
			return terminal.Usage("import wants to know what", "one of its kinds: outlast import --help lists them")
		},
		RunE: func(*cobra.Command, []string) error { return nil },
	}
	cmd.AddCommand(newImportLoads(), newImportTrace(), newImportMeter())
	return cmd
}

type importLoadsOptions struct {
	table   tableFlags
	lang    string
	path    string
	answers interviewOptions
}

func newImportLoads() *cobra.Command {
	var o importLoadsOptions
	kinds, _ := inventory.Kinds()
	cmd := &cobra.Command{
		Use:   "loads FILE",
		Short: "Make a site file of a list of appliances (.csv or .xlsx)",
		Long: `import loads reads a list of appliances, a table as text or a workbook, and writes a site file that plan takes.
Columns are found by their words in English, German, Spanish and French, or named with --column. A row whose name is a
class of the catalog takes from it what the row leaves out. What the list cannot tell of the home is answered as init
asks it, with --hours and --answer, or assumed; equipment that is not named is chosen as size finds it.`,
		Example: `  outlast import loads loads.csv -o cottage.toml
  outlast import loads --column power=3 --answer supply:230 --hours 24 loads.xlsx`,
		Args: oneTable,
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
			return []cobra.Completion{"csv", "tsv", "txt", "xlsx"}, cobra.ShellCompDirectiveFilterFileExt
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			return runImportLoads(cmd.Context(), cmd.InOrStdin(), cmd.OutOrStdout(), cmd.ErrOrStderr(), args[0], o)
		},
	}
	f := cmd.Flags()
	o.table.flags(cmd, kinds)
	f.VarP(named{&o.path, "a file"}, "output", "o",
		"write to `FILE` instead; one that is there already is never overwritten")
	o.answers.homeFlags(cmd)
	langFlag(cmd, &o.lang, false)
	return cmd
}

func runImportLoads(ctx context.Context, in io.Reader, out, errw io.Writer, path string, o importLoadsOptions) error {
	if err := checkLang(o.lang); err != nil {
		return err
	}
	say := saying(o.lang)
	if o.path != "" {
		if _, err := os.Lstat(o.path); err == nil {
			return files.ThereAlready(o.path)
		}
	}
	tableOptions, wishes, err := o.table.read(inventory.Kinds())
	if err != nil {
		return err
	}
	cat, err := homes.ReadCatalog(ctx, in, o.answers.catalogs)
	if err != nil {
		return err
	}
	// What was answered counts before the list is read (the volts of amps), and once more when its loads are there.
	home := interview.New(cat)
	home.CallAlso(words.Called)
	home.Speak(say)
	if err := o.answers.take(ctx, in, home); err != nil {
		return err
	}
	volts, phases, told := home.Supply()
	assumed := volts
	if !told {
		volts = 0
	}
	list, name, err := readLoads(ctx, in, path, tableOptions, inventory.NewNames(cat, words.Called),
		inventory.Options{Wishes: wishes, Volts: volts, Phases: phases, Assumed: assumed})
	if err != nil {
		return err
	}
	iv := interview.WithLoads(cat, list.Text(say))
	iv.Speak(say)
	if err := iv.Same(home); err != nil {
		return err
	}
	bar := terminal.NewProgress(errw, 1)
	defer bar.End()
	equipment, err := iv.Propose(ctx, func(done, of int) { bar.Show(0, done, of) })
	bar.End()
	if err != nil {
		return err
	}
	text := iv.SiteText(equipment)
	if _, err := site.Read(name+", as a site file", []byte(text), cat); err != nil {
		return err
	}
	if o.path == "" {
		if _, err := io.WriteString(out, text); err != nil {
			return err
		}
	} else if err := files.WriteNew(o.path, []byte(text)); err != nil {
		return err
	}
	fmt.Fprintln(errw, "outlast:", terminal.Visible(say(list.Summary())))
	for _, n := range list.Notes {
		fmt.Fprintln(errw, "outlast:", terminal.Visible(say(n)))
	}
	if o.path != "" {
		fmt.Fprintln(errw, "outlast:", terminal.Visible(say(phrase.Of("wrote %s; now try: outlast plan %s", o.path, o.path))))
	}
	return nil
}

// readLoads reads a list of appliances.
func readLoads(ctx context.Context, in io.Reader, path string, o tabular.Options, names *inventory.Names,
	io inventory.Options) (*inventory.List, string, error) {
	r, name, err := files.Open(in, path)
	if err != nil {
		return nil, name, err
	}
	defer r.Close()
	list, err := files.Interruptible(ctx, func() (*inventory.List, error) {
		t, err := workbook.Open(name, r, o)
		if err != nil {
			return nil, err
		}
		return inventory.Read(t, names, io)
	})
	return list, name, err
}
