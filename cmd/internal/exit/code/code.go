// Package code holds the numbers of the exit codes, for programs that know
// nothing of journals; what they are given for is in package exit. They are an
// interface: a number never changes its meaning.
package code

// The codes.
const (
	OK       = 0
	Trouble  = 1 // something that nobody foresaw; the message says what
	Usage    = 2 // the command line is wrong
	Refused  = 3 // the input is wrong: nothing was written
	NotFound = 4 // there is no such job, vehicle, file or journal
	Busy     = 5 // in use, closed, or the hub cannot be reached; try again later
	Damaged  = 6 // damage or tampering was found
	Full     = 7 // the disk is almost full: nothing was written
	Newer    = 8 // the data was written by a newer fettlebook
)

// Error is a sentence with its code.
type Error struct {
	Status   int
	Sentence string
	Err      error // may be nil
}

func (e *Error) Error() string { return e.Sentence }

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Err }

// ExitCode returns the code.
func (e *Error) ExitCode() int { return e.Status }
