// Package fault is how errors say where: a place, and why.
//
// The packages of formulas make their errors with [In], which puts the package before them. Who tells such an error to
// a person names the thing in its place, and takes the [Reason] alone: "the bank cannot be sized: 3 units in series,
// want at most 2".
package fault

import "fmt"

// An Error is what is wrong at a place.
type Error struct {
	Place string // a package
	Why   error
}

// Error is "place: why".
func (e *Error) Error() string { return e.Place + ": " + e.Why.Error() }

// Unwrap gives what is wrong.
func (e *Error) Unwrap() error { return e.Why }

// Reason is what is wrong, without the place.
func (e *Error) Reason() error { return e.Why }

// In makes the errors of a place.
type In string

// Errorf is an error at the place, for the reason that format and arguments write; an error that they wrap (%w) stays
// found in it.
func (p In) Errorf(format string, args ...any) error { return p.Of(fmt.Errorf(format, args...)) }

// Of is an error at the place for a reason that is an error itself.
func (p In) Of(why error) error { return &Error{string(p), why} }

// Reason is what an error says without the place at which it was found. An error that was found at no place, or has
// been told with more words already, is its own reason.
func Reason(err error) error {
	if found, ok := err.(interface{ Reason() error }); ok {
		return found.Reason()
	}
	return err
}
