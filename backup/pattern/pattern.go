// Package pattern holds regular expressions that are made when they are first asked for: a command that reads no
// inventory and asks no questions does not wait for theirs.
package pattern

import (
	"regexp"
	"sync"
)

// A Pattern is a regular expression. [Of] makes it.
type Pattern func() *regexp.Regexp

// Of is the pattern of an expression, which must be one: a slip in it panics when it is first asked for.
func Of(expression string) Pattern {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(expression) })
}

// MatchString is the method of that name.
func (p Pattern) MatchString(s string) bool { return p().MatchString(s) }

// FindStringSubmatch is the method of that name.
func (p Pattern) FindStringSubmatch(s string) []string { return p().FindStringSubmatch(s) }

// ReplaceAllStringFunc is the method of that name.
func (p Pattern) ReplaceAllStringFunc(s string, replace func(string) string) string {
	return p().ReplaceAllStringFunc(s, replace)
}

// FindAllStringIndex is that of [regexp.Regexp], for all matches.
func (p Pattern) FindAllStringIndex(s string) [][]int { return p().FindAllStringIndex(s, -1) }
