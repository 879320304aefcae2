// Package sheet is what a calculation of the trade comes to, in one shape: its formula,
// what went into it, what came out, what that was held against, what to mind, and the
// verdict. Whoever shows a calculation shows its sheet, as text, as JSON or on a page,
// and works nothing out.
//
//	var s sheet.Sheet
//	s.Formula = []string{"F = T/(K·d)"}
//	s.Figure("clamp_kn", "clamp", 48.6, 1, "kN")
//	s.Limit("proof load", sheet.AtMost(76.4, 1, "kN"), "ISO 898-1", "")
//	s.Judge(true, "the bolt clamps with 48.6 kN")
//
// Names are those of members in JSON: snake case, with the unit at the end. They never
// change their meaning.
package sheet

import (
	"fmt"
	"reflect"
	"slices"
)

// ShopDefault is the source of a limit that is common practice in the trade, without a
// published source, and that a shop may change.
const ShopDefault = "shop default"

type (
	// Sheet is one calculation. Its JSON has all but what came out, whose names depend
	// on the calculation.
	Sheet struct {
		Formula  []string   `json:"formula"` // in plain text, and where it is published
		Inputs   []Input    `json:"inputs"`
		Limits   []Limit    `json:"limits"`
		Warnings []string   `json:"warnings"` // one sentence each
		Verdicts []Verdict  `json:"verdict"`  // one for each question that was asked
		Results  []Result   `json:"-"`
		Table    [][]string `json:"-"` // a heading and rows of as many cells
	}

	// Input is something that was typed. TakenAs is what it was computed with.
	Input struct {
		Name    string `json:"name"`
		Typed   string `json:"typed"`
		TakenAs string `json:"taken_as,omitzero"`
	}

	// Limit is what a result was held against. SetBy names the inputs with which a person
	// sets it, as in "low and high" or "condition or friction"; ChangeWith is how to do
	// that where the sheet is shown, for whoever shows it to say.
	Limit struct {
		Name       string `json:"name"`
		Is         Bound  `json:"limit"`
		Source     string `json:"source"`
		ChangeWith string `json:"change_with,omitzero"`
		SetBy      string `json:"-"`
	}

	// Result is one figure that came out. One without a label is for programs, one
	// without a name for people.
	Result struct {
		Name  string
		Label string
		// Value is a number, a word, true or false, a list of these, []Result for an
		// object, or [][]Result for a list of objects.
		Value any
		Words string // the value with its unit, as people read it
	}

	// Verdict is what a calculation comes to. Word is the calculation's own or that of its
	// standing, and never changes; it is empty for a finding that only says how things are.
	Verdict struct {
		Word     string
		Standing Standing
		Sentence string
	}

	// Standing says whether what was asked for is so.
	Standing string
)

// The standings. A finding has none.
const (
	Passed    Standing = "passed"
	Failed    Standing = "failed"
	NotProven Standing = "not proven"
)

// MarshalText returns the sentence.
func (v Verdict) MarshalText() ([]byte, error) { return []byte(v.Sentence), nil }

// Put adds results for programs, a name and a value in turn.
func (s *Sheet) Put(namesAndValues ...any) {
	for pair := range slices.Chunk(namesAndValues, 2) {
		s.Results = append(s.Results, Result{Name: pair[0].(string), Value: pair[1]})
	}
}

// PutKnown adds a result for programs, unless it is zero, which stands for not known.
func (s *Sheet) PutKnown(name string, value any) {
	if !reflect.ValueOf(value).IsZero() {
		s.Put(name, value)
	}
}

// Figure adds a number for people and programs, with so many digits behind the point for
// people.
func (s *Sheet) Figure(name, label string, value float64, digits int, unit string) {
	s.Results = append(s.Results, Result{Name: name, Label: label, Value: value, Words: Number(value, digits) + " " + unit})
}

// Tell adds a value for programs, which people read in words of its own.
func (s *Sheet) Tell(name, label string, value any, format string, args ...any) {
	s.Results = append(s.Results, Result{name, label, value, fmt.Sprintf(format, args...)})
}

// Span adds two numbers for programs, which people read as one range.
func (s *Sheet) Span(lowName, highName, label string, low, high float64, digits int, unit string) {
	s.Results = append(s.Results, Result{Name: lowName, Label: label, Value: low, Words: Between(low, high, digits, unit).String()})
	s.Put(highName, high)
}

// Say adds a result for people. Without a label it goes on with the one before.
func (s *Sheet) Say(label, format string, args ...any) {
	s.Results = append(s.Results, Result{Label: label, Words: fmt.Sprintf(format, args...)})
}

// Limit adds a limit, with the names of the inputs that set it, if any do.
func (s *Sheet) Limit(name string, is Bound, source, setBy string) {
	s.Limits = append(s.Limits, Limit{Name: name, Is: is, Source: source, SetBy: setBy})
}

// Warn adds warnings.
func (s *Sheet) Warn(sentences ...string) { s.Warnings = append(s.Warnings, sentences...) }

// Find adds a finding that is not a verdict.
func (s *Sheet) Find(sentence string) { s.Conclude("", "", sentence) }

// Judge adds a verdict that passes or fails.
func (s *Sheet) Judge(pass bool, sentence string) {
	is := Failed
	if pass {
		is = Passed
	}
	s.Conclude(string(is), is, sentence)
}

// Conclude adds a verdict with a word of its own.
func (s *Sheet) Conclude(word string, is Standing, sentence string) {
	s.Verdicts = append(s.Verdicts, Verdict{word, is, sentence})
}

// Join adds all of another sheet.
func (s *Sheet) Join(part Sheet) {
	s.Formula = append(s.Formula, part.Formula...)
	s.Inputs = append(s.Inputs, part.Inputs...)
	s.Results = append(s.Results, part.Results...)
	s.Table = append(s.Table, part.Table...)
	s.Limits = append(s.Limits, part.Limits...)
	s.Warnings = append(s.Warnings, part.Warnings...)
	s.Verdicts = append(s.Verdicts, part.Verdicts...)
}

// Under adds all of another sheet, its results as an object of that name.
func (s *Sheet) Under(name string, part Sheet) {
	part.Results = []Result{{Name: name, Value: part.Results}}
	s.Join(part)
}

// Read calls each with every result that people read, in order, also those within
// objects.
func Read(results []Result, each func(Result)) {
	for _, r := range results {
		if r.Words != "" {
			each(r)
		}
		switch inner := r.Value.(type) {
		case []Result:
			Read(inner, each)
		case [][]Result:
			for _, one := range inner {
				Read(one, each)
			}
		}
	}
}
