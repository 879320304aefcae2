package main

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"

	"github.com/alecthomas/kong"
)

// entered is a flag's value as typed. It may be negative, such as -5 °C, and is
// understood only when the figure is worked out, so that what is wrong with it is told as
// with any other input.
type entered string

// Decode takes the value from the command line.
func (q *entered) Decode(ctx *kong.DecodeContext) error {
	if next, ok := ctx.Scan.Peek().Value.(string); ok && negative(next) {
		ctx.Scan.Pop()
		*q = entered(next)
		return nil
	}
	return ctx.Scan.PopValueInto("flag", (*string)(q))
}

// negative tells -5 °C from the next flag.
func negative(word string) bool {
	return len(word) > 1 && word[0] == '-' && '0' <= word[1] && word[1] <= '9' || strings.HasPrefix(word, "−")
}

// intake understands what was typed, and keeps the first thing that cannot be understood.
type intake struct {
	inputs []sheet.Input
	err    error
}

// typed notes down what was typed where nothing is converted.
func (in *intake) typed(name, text string) {
	if text != "" {
		in.note(sheet.Input{Name: name, Typed: text})
	}
}

func (in *intake) note(i sheet.Input) { in.inputs = append(in.inputs, i) }

func (in *intake) fail(err error) {
	if in.err == nil {
		in.err = err
	}
}

// quantity understands a quantity, and notes it down in the unit that it is computed in.
// Nothing typed is nothing entered.
func quantity[D unit.Dimension](in *intake, name string, text entered, as unit.Unit[D], digits int) unit.Of[D] {
	if text == "" {
		return unit.Of[D]{}
	}
	q, err := unit.Parse[unit.Of[D]](string(text))
	if err != nil {
		in.fail(fmt.Errorf("%s %w", name, err))
		return q
	}
	noted := sheet.Input{Name: name, Typed: q.String()}
	if q.Unit() != as {
		noted.TakenAs = unit.Format(q.In(as), as, digits)
	}
	in.note(noted)
	return q
}

// number understands a number without a unit.
func (in *intake) number(name string, text entered) float64 {
	value, err := unit.Number(string(text))
	if err != nil {
		in.fail(fmt.Errorf("%s %w", name, err))
	}
	in.typed(name, string(text))
	return value
}

// level understands a confidence level such as 95 %, and returns it as a share.
func (in *intake) level(name string, text entered) float64 {
	return quantity(in, name, text, unit.Percent, 0).In(unit.Percent) / 100
}

// day understands a date; with nothing typed it is the zero time.
func (in *intake) day(name, text string, zone *time.Location) time.Time {
	if text == "" {
		return time.Time{}
	}
	day, err := time.ParseInLocation(time.DateOnly, text, zone)
	if err != nil {
		in.fail(fmt.Errorf("%s %q is not a date: write year, month and day, such as 2026-03-02", name, text))
	}
	in.typed(name, text)
	return day
}

// countOf reads a count.
func countOf(text string) (int, error) {
	n, ok := unit.Whole(text)
	if !ok {
		return 0, fmt.Errorf("%q is not a count: write a whole number in digits", text)
	}
	return n, nil
}

func interrupted(err error) bool {
	return errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded)
}
