package shop

import (
	"cmp"
	"errors"
	"fmt"
	"regexp"
	"strings"
	"time"

	"fettlebook/journal"
)

// NoDays is why what is written as days are names none.
type NoDays struct {
	Text string // what is not in the calendar, or the later of two days that stands first
	Than string // the other one, of two in the wrong order
}

// Error says it to a program.
func (n *NoDays) Error() string {
	if n.Than != "" {
		return fmt.Sprintf("%s is later than %s", n.Text, n.Than)
	}
	return fmt.Sprintf("%s is not in the calendar", n.Text)
}

// ErrOtherwise is returned for a text that is not written as days are.
var ErrOtherwise = errors.New("not written as days are")

// Days reads a day, a month or a year, or two of these with ".." between them.
// Errors are [ErrOtherwise] or a [NoDays].
func Days(text string) (from, to journal.Date, err error) {
	first, second, _ := strings.Cut(text, "..")
	first, second = strings.TrimSpace(first), strings.TrimSpace(cmp.Or(second, first))
	from, _, err = span(first)
	if err != nil {
		return "", "", err
	}
	_, to, err = span(second)
	switch {
	case err != nil:
		return "", "", err
	case from > to:
		return "", "", &NoDays{Text: first, Than: second}
	}
	return from, to, nil
}

// asDay is how days and months are written, whether or not there is such a one. A
// year by itself is any four digits, and more often a number.
var asDay = regexp.MustCompile(`^\d{4}-\d{1,2}(-\d{1,2})?$`)

// span is from the first to the last day of what was written.
func span(text string) (first, last journal.Date, err error) {
	for _, form := range []struct {
		layout        string
		years, months int
	}{{time.DateOnly, 0, 0}, {"2006-01", 0, 1}, {"2006", 1, 0}} {
		at, err := time.Parse(form.layout, text)
		if err != nil {
			continue
		}
		end := at
		if form.years+form.months > 0 {
			end = at.AddDate(form.years, form.months, -1)
		}
		return journal.Date(at.Format(time.DateOnly)), journal.Date(end.Format(time.DateOnly)), nil
	}
	if asDay.MatchString(text) {
		return "", "", &NoDays{Text: text}
	}
	return "", "", ErrOtherwise
}
