package main

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"outlast/backup/interview"
	"outlast/backup/phrase"
	"outlast/backup/sheet/columns"
	"outlast/backup/sheet/paper/words"
	"outlast/catalog/strict"
	"outlast/cmd/outlast/asking"
	"outlast/cmd/outlast/files"
	"outlast/cmd/outlast/homes"
	"outlast/cmd/outlast/terminal"
)

type interviewOptions struct {
	path     string
	ask      bool
	plain    bool
	with     string
	hours    string
	answers  string
	given    []string
	catalogs []string
	lang     string
}

func (o *interviewOptions) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.BoolVar(&o.ask, "ask", false, "ask what the home is like, write its site file and print the first plan")
	f.BoolVar(&o.plain, "plain", false, "with --ask, ask line by line on a full terminal too, as for a screen reader")
	f.Var(named{&o.with, "what stays on"}, "with",
		"write a site file of what stays on, a `LIST` such as chest-freezer,led-lamp*8")
	o.homeFlags(cmd)
	langFlag(cmd, &o.lang, false)
}

// homeFlags are those about the home and its equipment.
func (o *interviewOptions) homeFlags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.Var(named{&o.hours, "hours"}, "hours", "with a battery that lasts `HOURS`")
	f.Var(named{&o.answers, "a file"}, "answers", "take the answers in `FILE`, as an interrupted interview leaves them")
	f.StringArrayVar(&o.given, "answer", nil,
		"answer one question, `\"KEY: TEXT\"` as in a file of answers; counts in the place of that file's")
	catalogFlag(cmd, &o.catalogs)
}

// wanted says whether anything of an interview is asked for: else init writes its starter.
func (o *interviewOptions) wanted() bool {
	return o.ask || o.plain || o.with != "" || o.hours != "" || o.answers != "" || len(o.given) > 0 ||
		len(o.catalogs) > 0
}

func runInterview(ctx context.Context, in io.Reader, out, errw io.Writer, o interviewOptions) error {
	if err := checkLang(o.lang); err != nil {
		return err
	}
	if o.plain && !o.ask {
		return terminal.Usage("--plain stands without --ask", "")
	}
	if o.path != "-" {
		if _, err := os.Lstat(o.path); err == nil {
			return files.ThereAlready(o.path)
		}
	}
	cat, err := homes.ReadCatalog(ctx, in, o.catalogs)
	if err != nil {
		return err
	}
	iv := interview.New(cat)
	iv.CallAlso(words.Called)
	say := saying(o.lang)
	iv.Speak(say)
	keep := &asking.Keeper{Interview: iv, Site: o.path}
	if o.lang != words.Languages()[0] {
		keep.Flags = "--lang " + o.lang + " "
	}
	if o.ask {
		if err := keep.Begin(o.answers); err != nil {
			return err
		}
	}
	if err := o.take(ctx, in, iv); err != nil {
		return err
	}
	if o.ask {
		if err := keep.Keep(); err != nil {
			return err
		}
		if err := asking.All(ctx, asking.For(in, errw, o.plain, say), iv, keep); err != nil {
			return err
		}
	}
	if err := iv.LeaveOpen(); err != nil {
		return err
	}
	bar := terminal.NewProgress(errw, 1)
	defer bar.End()
	equipment, err := iv.Propose(ctx, func(done, of int) { bar.Show(0, done, of) })
	bar.End()
	if err != nil {
		return keep.Told(err)
	}
	if o.path == "-" {
		if _, err := io.WriteString(out, iv.SiteText(equipment)); err != nil {
			return err
		}
		keep.Done()
		return nil
	}
	if err := files.WriteNew(o.path, []byte(iv.SiteText(equipment))); err != nil {
		return keep.Told(err)
	}
	keep.Done()
	fmt.Fprintln(errw, "outlast:", terminal.Visible(say(phrase.Of("wrote %s; its first plan:", o.path))))
	err = runPlan(ctx, out, errw, planOptions{format: "text", catalogs: o.catalogs, lang: o.lang,
		names: homes.Names{Args: []string{o.path}, In: in}})
	if err != nil && !errors.Is(err, homes.ErrChecksFail) {
		return err
	}
	return cmp.Or(writeAssumed(out, say(phrase.Of("Not known, and assumed in the site file")), iv.Assumed(equipment)), err)
}

// take takes the answers that were given by flags and in a file.
func (o *interviewOptions) take(ctx context.Context, in io.Reader, iv *interview.Interview) error {
	var flags []interview.Given
	add := func(flag, key, text string) error {
		for _, g := range flags {
			if g.Key == key {
				return terminal.Usage(fmt.Sprintf("%s answers what %s answers", flag, g.From), "")
			}
		}
		flags = append(flags, interview.Given{Key: key, Text: text, From: flag})
		return nil
	}
	if o.with != "" {
		if err := add("--with", interview.KeyStaysOn, o.with); err != nil {
			return err
		}
	}
	if o.hours != "" {
		if err := add("--hours", interview.KeyHours, o.hours); err != nil {
			return err
		}
	}
	for _, line := range o.given {
		g, ok := interview.ReadAnswer(line)
		if !ok {
			return terminal.Usage(fmt.Sprintf("--answer %s, want a question, a colon and its answer", strict.Quote(line)),
				`--answer "hours: 24"`)
		}
		if err := add("--answer "+g.Key, g.Key, g.Text); err != nil {
			return err
		}
	}
	var given []interview.Given
	if o.answers != "" {
		file, src, err := files.Read(ctx, in, o.answers)
		if err != nil {
			return err
		}
		if given, err = interview.ReadAnswers(file, string(src)); err != nil {
			return err
		}
	}
	for _, g := range given {
		over := false
		for _, f := range flags {
			over = over || f.Key == g.Key
		}
		if !over {
			flags = append(flags, g)
		}
	}
	return iv.TakeAll(flags)
}

// writeAssumed lists below the plan what nobody knew.
func writeAssumed(out io.Writer, head string, assumed []string) error {
	if len(assumed) == 0 {
		return nil
	}
	width := terminal.Width(out)
	b := bytes.NewBufferString("\n" + head + "\n" + strings.Repeat("-", utf8.RuneCountInString(head)) + "\n")
	for _, text := range assumed {
		b.WriteString(strings.Join(columns.Wrapped(text, width, "- ", "  "), "\n") + "\n")
	}
	_, err := out.Write(b.Bytes())
	return err
}
