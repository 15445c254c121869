package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"outlast/backup/phrase"
	"outlast/backup/sheet/paper/words"
	"outlast/backup/sheet/speech"
	"outlast/cmd/outlast/terminal"
)

// langFlag gives a command the language in which it tells of a home; data says that some of its formats have none.
func langFlag(cmd *cobra.Command, lang *string, data bool) {
	remark := ""
	if data {
		remark = "; csv and json stay English"
	}
	known := words.Languages()
	cmd.Flags().StringVar(lang, "lang", known[0], "in `LANGUAGE`: "+strings.Join(known, ", ")+remark)
	if err := cmd.RegisterFlagCompletionFunc("lang", cobra.FixedCompletions(known,
		cobra.ShellCompDirectiveNoFileComp)); err != nil {
		panic(err) // the flag is defined above
	}
}

// saying writes phrases that tell of no home in particular in a language, whose blanks are those that people type, as
// answers and comments of site files are read again.
func saying(lang string) func(phrase.Phrase) string {
	voice, err := speech.NewVoice(lang, false)
	if err != nil {
		panic(err) // checkLang was asked
	}
	speaker := speech.NewSpeaker(voice, nil, func(string) string { return "" })
	plain := strings.NewReplacer(speech.Hard, " ", speech.Thin, " ")
	return func(p phrase.Phrase) string { return plain.Replace(speaker.Prose(p)) }
}

func checkLang(lang string) error {
	known := words.Languages()
	if !slices.Contains(known, lang) {
		return terminal.Usage(fmt.Sprintf("--lang %q is unknown", lang), "give one of "+strings.Join(known, ", "))
	}
	return nil
}
