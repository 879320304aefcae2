package main

import (
	"bufio"
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"
	"unicode/utf8"

	"fettlebook/cmd/internal/exit"
	"fettlebook/journal/trade/sheet"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// figures works the trade's figures out without a journal.
type figures struct {
	Bake    figureBake    `cmd:"" help:"Whether a logged bake met the powder’s schedule, and the heat that a casting has had."`
	Film    figureFilm    `cmd:"" help:"Whether a film is as thick as specified."`
	Torque  figureTorque  `cmd:"" help:"Whether a bolt was tightened to its specification, and how far that is proven."`
	Bolt    figureBolt    `cmd:"" help:"The clamp that a torque gives, and what creep takes of it."`
	Bleed   figureBleed   `cmd:"" help:"The order of bleeding, what is still to be bled, the reservoir, and the fluid."`
	Vin     figureVIN     `cmd:"" help:"Whether a VIN’s check digit fits."`
	Dew     figureDew     `cmd:"" help:"Whether metal is warm enough to be coated."`
	Rate    figureRate    `cmd:"" help:"How large a rate may really be, from so many defects of so many parts."`
	Compare figureCompare `cmd:"" help:"Whether two groups differ, also sorted by a third thing, and which of many causes stands out."`
	Chart   figureChart   `cmd:"" help:"Whether the last weeks are worse than chance explains."`
}

// figure works a figure out and shows its sheet. What cannot be worked out shows
// nothing, and what was typed wrong is said before what that makes of the calculation.
func (t *terminal) figure(name string, asJSON bool, work func(*intake) (sheet.Sheet, error)) error {
	var in intake
	s, err := work(&in)
	if err := cmp.Or(in.err, err); err != nil {
		return refusal(err)
	}
	s.Inputs = in.inputs
	for i, l := range s.Limits {
		s.Limits[i].ChangeWith = flags(l.SetBy)
	}
	if !asJSON {
		return printSheet(t.Out, s)
	}
	results, err := json.Marshal(s.Results, json.WithMarshalers(json.MarshalToFunc(writeObject)))
	if err != nil {
		return fmt.Errorf("encode figure: %w", err)
	}
	return printReport(t.Out, "figure", struct {
		Figure string `json:"figure"`
		sheet.Sheet
		Results jsontext.Value `json:",embed"`
	}{name, s, results})
}

// flags names the flags of inputs: "--low and --high".
func flags(inputs string) string {
	words := strings.Fields(inputs)
	for i, word := range words {
		if word != "and" && word != "or" {
			words[i] = "--" + word
		}
	}
	return strings.Join(words, " ")
}

// writeObject writes results as an object with their names.
func writeObject(e *jsontext.Encoder, results []sheet.Result) error {
	if err := e.WriteToken(jsontext.BeginObject); err != nil {
		return err
	}
	for _, r := range results {
		if r.Name == "" {
			continue
		}
		if err := cmp.Or(e.WriteToken(jsontext.String(r.Name)), json.MarshalEncode(e, r.Value)); err != nil {
			return err
		}
	}
	return e.WriteToken(jsontext.EndObject)
}

// printSheet writes a sheet for people.
func printSheet(out io.Writer, s sheet.Sheet) error {
	w := bufio.NewWriter(out)
	column(w, "formula", rows(s.Formula, func(text string) []string { return []string{text} }))
	column(w, "input", rows(s.Inputs, func(i sheet.Input) []string {
		if i.TakenAs != "" && i.TakenAs != i.Typed {
			return []string{i.Name, i.Typed + " = " + i.TakenAs}
		}
		return []string{i.Name, i.Typed}
	}))
	var results [][]string
	sheet.Read(s.Results, func(r sheet.Result) { results = append(results, []string{r.Label, r.Words}) })
	column(w, "result", results)
	column(w, "table", s.Table)
	column(w, "limit", rows(s.Limits, func(l sheet.Limit) []string {
		if l.ChangeWith != "" {
			return []string{l.Name, fmt.Sprintf("%s (%s; change it with %s)", l.Is, l.Source, l.ChangeWith)}
		}
		return []string{l.Name, fmt.Sprintf("%s (%s)", l.Is, l.Source)}
	}))
	column(w, "warning", rows(s.Warnings, func(text string) []string { return []string{text} }))
	column(w, "verdict", rows(s.Verdicts, func(v sheet.Verdict) []string { return []string{v.Sentence} }))
	return w.Flush()
}

// refusal gives the error of a calculation the code of wrong input. Trouble with a
// file is none.
func refusal(err error) error {
	var coded *exit.Error
	var path *fs.PathError
	switch {
	case errors.As(err, &coded):
		return err
	case errors.As(err, &path) && errors.Is(err, fs.ErrNotExist):
		return &exit.Error{Status: exit.NotFound, Sentence: fmt.Sprintf("there is no file %s", oneLine(path.Path)), Err: err}
	case errors.As(err, &path), interrupted(err):
		return err
	}
	return &exit.Error{Status: exit.Refused, Sentence: oneLine(err.Error()), Err: err}
}

// wrongUse is a command line that asks for nothing that can be worked out.
func wrongUse(format string, args ...any) error {
	return &exit.Error{Status: exit.Usage, Sentence: fmt.Sprintf(format, args...)}
}

// rows turns a list into rows of cells.
func rows[T any](list []T, cells func(T) []string) (all [][]string) {
	for _, one := range list {
		all = append(all, cells(one))
	}
	return all
}

// column writes rows after the name of what they are, their cells one under the other.
func column(w io.Writer, name string, rows [][]string) {
	const margin = 10
	var widths []int
	for _, row := range rows {
		for i, cell := range row {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	for _, row := range rows {
		line := padded(name, margin)
		last := len(row) - 1
		for i, cell := range row[:last] {
			line += padded(cell, widths[i]+2)
		}
		if row[last] == "" {
			line = strings.TrimRight(line, " ")
		}
		wrap(w, "", line, row[last])
		name = ""
	}
}

// padded fills a text with spaces up to a width in characters.
func padded(text string, width int) string {
	return text + strings.Repeat(" ", max(0, width-utf8.RuneCountInString(text)))
}
