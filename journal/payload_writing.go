package journal

import (
	"fmt"
	"time"

	"fettlebook/journal/words"
)

// Writing is the data of writing.chosen: how the shop writes numbers, days and people
// from now on, on pages and papers alike. What programs read is never written by it.
type Writing struct {
	Decimal   DecimalSign `json:"decimal"`
	Thousands Grouping    `json:"thousands"`
	Days      DayForm     `json:"days"`
	// People says how those who worked on a vehicle stand on the paper of its customer.
	People Naming `json:"people"`
	Evidence
}

// NewWriting is the data of a choice.
func NewWriting(w words.Writing, people Naming) *Writing {
	return &Writing{Decimal: DecimalSign(w.Decimal.String()), Thousands: Grouping(w.Thousands.String()), Days: DayForm(w.Days.String()), People: people}
}

// DecimalSign stands between a whole number and its decimals.
type DecimalSign = Choice[decimalSigns]

type decimalSigns struct{}

func (decimalSigns) words() []string { return words.Point.Words() }

// Grouping is what stands between the thousands of a figure.
type Grouping = Choice[groupings]

type groupings struct{}

func (groupings) words() []string { return words.Together.Words() }

// DayForm is how a day is written.
type DayForm = Choice[dayForms]

type dayForms struct{}

func (dayForms) words() []string { return words.MonthInWords.Words() }

// Naming is how people stand on a customer's paper.
type Naming = Choice[namings]

type namings struct{}

func (namings) words() []string { return written(ByInitials, ByFullName) }

// The words of [Naming].
const (
	ByInitials Naming = "initials"
	ByFullName Naming = "full names" // as far as their cards are here
)

func (*Writing) Kind() Kind { return WritingChosen }

// In is the way that was chosen.
func (p *Writing) In() words.Writing {
	return words.Writing{Decimal: words.Named[words.DecimalSign](string(p.Decimal)), Thousands: words.Named[words.Grouping](string(p.Thousands)), Days: words.Named[words.DayForm](string(p.Days))}
}

func (p *Writing) Say() string {
	w := p.In()
	return fmt.Sprintf("the shop writes numbers like %s and days like %s; on a customer’s paper people stand with their %s",
		w.Number("12345.5"), w.Day(time.Date(2026, time.November, 30, 0, 0, 0, 0, time.UTC)), p.People)
}
