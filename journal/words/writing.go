package words

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Writing is how a shop writes numbers and days where people read them. The zero Writing
// is that of who chose nothing. What programs read is never written by it, and what
// somebody typed in words stays as it is.
type Writing struct {
	Decimal   DecimalSign
	Thousands Grouping
	Days      DayForm
}

// DecimalSign stands between a whole number and its decimals.
type DecimalSign uint8

// The decimal signs.
const (
	Point DecimalSign = iota // 22.5
	Comma                    // 22,5
)

// Grouping is what stands between the thousands of a figure.
type Grouping uint8

// The ways to write thousands.
const (
	Together  Grouping = iota // 63120
	ThinSpace                 // 63 120, from five figures on, by a small space as ISO 80000-1 has it
)

// DayForm is how a day is written.
type DayForm uint8

// The forms of a day.
const (
	MonthInWords      DayForm = iota // 30 November 2026
	YearFirst                        // 2026-11-30, as ISO 8601 has it
	PointsDayFirst                   // 30.11.2026
	SlashesDayFirst                  // 30/11/2026
	SlashesMonthFirst                // 11/30/2026
)

// Words are the names of all decimal signs.
func (DecimalSign) Words() []string { return []string{"point", "comma"} }

// Words are the names of all ways to write thousands.
func (Grouping) Words() []string { return []string{"together", "thin space"} }

// Words are the names of all forms of a day.
func (DayForm) Words() []string {
	return []string{"month in words", "year-month-day", "day.month.year", "day/month/year", "month/day/year"}
}

// String is the sign's name.
func (s DecimalSign) String() string { return s.Words()[s] }

// String is the name of the way.
func (g Grouping) String() string { return g.Words()[g] }

// String is the form's name.
func (f DayForm) String() string { return f.Words()[f] }

// choice is one of a closed set of ways, each with its name.
type choice interface {
	~uint8
	Words() []string
}

// Named is the choice of a name; that of who chose nothing, if no choice has it.
func Named[C choice](name string) C { return C(max(0, slices.Index(C(0).Words(), name))) }

// layout is the form as time.Time.Format takes it.
func (f DayForm) layout() string {
	switch f {
	case YearFirst:
		return time.DateOnly
	case PointsDayFirst:
		return "02.01.2006"
	case SlashesDayFirst:
		return "02/01/2006"
	case SlashesMonthFirst:
		return "01/02/2006"
	}
	return dayForm
}

// monthLayout is the form without its day.
func (f DayForm) monthLayout() string {
	switch f {
	case YearFirst:
		return "2006-01"
	case PointsDayFirst, SlashesDayFirst, SlashesMonthFirst:
		return "01/2006" // 03.2027 may be a number
	}
	return "January 2006"
}

// Day is a day: "2 March 2027".
func (w Writing) Day(t time.Time) string { return t.Format(w.Days.layout()) }

// Weekday is a Day with its name, by which a slip of the finger is seen: "Tuesday, 2 March 2027".
func (w Writing) Weekday(t time.Time) string { return t.Weekday().String() + ", " + w.Day(t) }

// Month is a month: "March 2027".
func (w Writing) Month(t time.Time) string { return t.Format(w.Days.monthLayout()) }

// ShortMonth is a month where there is little room: "Mar 2027".
func (w Writing) ShortMonth(t time.Time) string {
	if w.Days == MonthInWords {
		return t.Format("Jan 2006")
	}
	return w.Month(t)
}

// Moment is a day and a time: "2 March 2027 15:04".
func (w Writing) Moment(t time.Time) string { return w.Day(t) + " " + Clock(t) }

// ThisYear is a Moment of a year that is known: "2 March 15:04". In figures the year
// stands there all the same, since 3/2 alone would not tell which is the month.
func (w Writing) ThisYear(t time.Time) string {
	if w.Days == MonthInWords {
		return t.Format("2 January " + clockForm)
	}
	return w.Moment(t)
}

// Second is a Moment to the second: "2 March 2027 15:04:05".
func (w Writing) Second(t time.Time) string { return w.Moment(t) + t.Format(":05") }

// Zoned is a Moment with its zone, as where a paper may leave the shop: "2 March 2027 15:04
// UTC+01:00".
func (w Writing) Zoned(t time.Time) string { return w.Moment(t) + " " + Zone(t) }

// Number writes a number that was written plainly, with or without a unit behind it, or
// several of them: of "22.5 N·m" it makes "22,5 N·m". What has a comma or more than one
// point is not plain and stays as it is.
func (w Writing) Number(plain string) string {
	if w.Decimal == Point && w.Thousands == Together {
		return plain
	}
	var b strings.Builder
	for rest := plain; rest != ""; {
		from := strings.IndexAny(rest, digits)
		if from < 0 {
			from = len(rest)
		}
		number := rest[from:]
		number = strings.TrimRight(number[:len(number)-len(strings.TrimLeft(number, digits+".,"))], ".,")
		b.WriteString(rest[:from] + w.number(number))
		rest = rest[from+len(number):]
	}
	return b.String()
}

const digits = "0123456789"

// number writes one number without a sign.
func (w Writing) number(plain string) string {
	whole, fraction, pointed := strings.Cut(plain, ".")
	if strings.ContainsAny(whole, ",") || strings.ContainsAny(fraction, ".,") {
		return plain
	}
	whole = w.thousands(whole)
	if !pointed {
		return whole
	}
	return whole + w.sign() + fraction
}

func (w Writing) sign() string { return Choose(w.Decimal == Comma, ",", ".") }

// Plain is the other way round: a number that was typed with the shop's decimal comma, as
// the journal has it. "1,234" stays, since it can be read in two ways, and is refused where
// it is read; so does whatever is not one number with one comma.
func (w Writing) Plain(typed string) string {
	if w.Decimal == Point {
		return typed
	}
	const between, signs = " \u00a0\u2009\u202f", "+-−"
	end := len(typed) - len(strings.TrimLeft(typed, digits+".,"+between+signs))
	whole, fraction, one := strings.Cut(typed[:end], ",")
	decimals := strings.TrimRight(fraction, between)
	first := strings.Trim(whole, between+signs)
	const group = 3
	if !one || strings.Contains(typed[:end], ".") || first == "" || decimals == "" || strings.Trim(decimals, digits) != "" || len(decimals) == group && first != "0" {
		return typed
	}
	return whole + "." + fraction + typed[end:]
}

// thousands parts a whole number. Numbers of four figures stay in one piece, as years do.
func (w Writing) thousands(digits string) string {
	const leastGrouped, group = 5, 3
	if w.Thousands == Together || len(digits) < leastGrouped {
		return digits
	}
	first := (len(digits)-1)%group + 1
	parts := []string{digits[:first]}
	for i := first; i < len(digits); i += group {
		parts = append(parts, digits[i:i+group])
	}
	return strings.Join(parts, "\u202f")
}

// Count does what [Count] does, in this way: "12 345 entries".
func (w Writing) Count(n int, noun string) string {
	return w.Number(strconv.Itoa(n)) + " " + Noun(n, noun)
}

// Either does what [Either] does, in this way.
func (w Writing) Either(n int, one, many string) string {
	return w.Number(strconv.Itoa(n)) + " " + Choose(n == 1, one, many)
}

// Of does what [Of] does, in this way.
func (w Writing) Of(n, all int, noun string) string {
	return w.Number(strconv.Itoa(n)) + " of " + w.Count(all, noun)
}

// Lasting does what [Lasting] does, in this way.
func (w Writing) Lasting(seconds float64) string { return w.Number(Lasting(seconds)) }

// Figured is what has a figure of its own: a quantity, as it was typed.
type Figured interface{ Written(Writing) string }

// Sprintf is [fmt.Sprintf], which writes numbers, with decimals and without, and quantities
// in this way.
func (w Writing) Sprintf(format string, args ...any) string {
	if w != (Writing{}) {
		args = slices.Clone(args)
		for i, arg := range args {
			switch x := arg.(type) {
			case float64, int, int64, uint64:
				args[i] = number{x, w}
			case Figured:
				args[i] = x.Written(w)
			}
		}
	}
	return fmt.Sprintf(format, args...)
}

// number is one that is to be written.
type number struct {
	is any
	in Writing
}

// Format writes the number as the verb asks for.
func (n number) Format(f fmt.State, verb rune) {
	fmt.Fprint(f, n.in.Number(fmt.Sprintf(fmt.FormatString(f, verb), n.is)))
}
