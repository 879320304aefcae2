package sheet

// Error says why figures cannot be used, so that there is no sheet.
type Error struct {
	What    string // what is wrong: "the reading"
	Value   string // the value: "0 N.m"
	Problem string // the rule and what to do, as one sentence
}

// Error returns the problem behind the thing and the value it is about.
func (e *Error) Error() string { return e.What + ", " + e.Value + ": " + e.Problem }

// Refuse returns an *Error.
func Refuse(what, value, problem string) error { return &Error{what, value, problem} }

// Typed quotes a quantity as it was typed.
func Typed(q interface {
	IsZero() bool
	String() string
}) string {
	if q.IsZero() {
		return "not entered"
	}
	return q.String()
}

// sameness is how near a figure may be to its limit and still count as equal to it, so
// that a verdict does not hang on the unit it was computed in.
const sameness = 1e-9

// Below reports whether a figure lies below a limit.
func Below(value, limit float64) bool { return value < limit*(1-sameness) }

// Above reports whether a figure lies above a limit.
func Above(value, limit float64) bool { return value > limit*(1+sameness) }
