// Package fault names the few kinds of error a person meets. A finding is
// about the car; a fault is about the program's own work.
package fault

import "errors"

// Kind decides the exit status, the hint and the page.
type Kind uint8

// The kinds. Internal is the zero value: an error nobody gave a kind.
const (
	Internal Kind = iota
	Invalid       // the input isn't what it claims to be
	NotFound
	Conflict // somebody else changed it meanwhile, or it is in use
	Corrupt  // a file that was ours is damaged
	Newer    // made by a newer version of the program
	Usage    // a command was called wrongly
)

// Error carries a kind, a hint of what to do instead, and the cause.
type Error struct {
	Kind Kind
	Hint string // one sentence, may be empty
	Err  error
}

// Error is the cause's text.
func (e *Error) Error() string { return e.Err.Error() }

// Unwrap gives the cause.
func (e *Error) Unwrap() error { return e.Err }

// New makes an error of a kind with a hint.
func New(k Kind, hint string, err error) error { return &Error{k, hint, err} }

// Of is the kind of err: that of the outermost Error in its chain.
func Of(err error) Kind {
	if e, ok := errors.AsType[*Error](err); ok {
		return e.Kind
	}
	return Internal
}

// Hint is the hint of the outermost Error in err's chain that has one.
func Hint(err error) string {
	for err != nil {
		e, ok := errors.AsType[*Error](err)
		if !ok {
			return ""
		}
		if e.Hint != "" {
			return e.Hint
		}
		err = e.Err
	}
	return ""
}
