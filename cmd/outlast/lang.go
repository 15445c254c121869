package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"outlast/backup/sheet/paper/words"
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

func checkLang(lang string) error {
	known := words.Languages()
	if !slices.Contains(known, lang) {
		return terminal.Usage(fmt.Sprintf("--lang %q is unknown", lang), "give one of "+strings.Join(known, ", "))
	}
	return nil
}
