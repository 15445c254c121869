// Package asking is how the questions of an interview are put to somebody at a terminal, as a form or line by line, and
// how the answers are kept until the site file stands.
//
// What is asked, and what follows from it, is decided in package interview. [All] asks with the asker of [For]; a
// [Keeper] has every answer on the disk before the next question.
package asking

import (
	"context"

	"outlast/backup/interview"
	"outlast/backup/phrase"
)

// An Asker asks at one kind of terminal.
type Asker interface {
	// ask asks some questions, which depend on none of each other. It has keep called whenever an answer is taken.
	ask(ctx context.Context, iv *interview.Interview, questions []interview.Question, keep func() error) error
}

// errEnded ends an interview whose answers end before its questions.
var errEnded = phrase.Error{Phrase: phrase.Of("the answers ended early")}

// All asks until nothing is open, and keeps every answer.
func All(ctx context.Context, a Asker, iv *interview.Interview, keep *Keeper) error {
	for questions := iv.Next(); questions != nil; questions = iv.Next() {
		if err := a.ask(ctx, iv, questions, keep.Keep); err != nil {
			return keep.Told(err)
		}
	}
	return nil
}
