package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"fettlebook/cmd/internal/exit"
	"fettlebook/journal/parts"
	"fettlebook/journal/words"

	"github.com/go-json-experiment/json/jsontext"
)

type listParts struct {
	Where      []string `arg:"" optional:"" name:"condition" help:"Only coats for which this holds, such as pattern=K17 or soak_minutes<30; of several conditions, all."`
	CSV        bool     `name:"csv" xor:"form" help:"Print all columns as CSV."`
	JSON       bool     `name:"json" xor:"form" help:"Print all columns as JSON."`
	People     bool     `help:"Tell who sprayed, by initials."`
	Dictionary bool     `help:"Print what the columns are, as CSV, and nothing else."`
	Out        string   `short:"o" help:"The file to write, as CSV unless it is to be JSON; left out, standard output." type:"path" placeholder:"FILE"`
}

// Help says how conditions are written.
func (*listParts) Help() string {
	return `The table has a row for each coat of each part: what may have had a part in how it came out, and how it came out. --dictionary says of each column what it is, its unit, and how it comes about. What nobody wrote down is left empty; that is never zero and never "no". A coat that nobody has looked at yet has "no" under looked and nothing under the defects.

A condition is a column, one of = != < > <= >=, and a value. Put it in quotes, since < and > mean something else to a command line. Days may be cut short: "day>=2026-03" is from March on. A ? asks for what was not written down: "film_um=?". Upper and lower case do not matter in words. A condition on a value leaves out the rows that do not have it.

Names of people are left out, and cannot be asked for in a condition, unless --people is given.`
}

// Run lists coats.
func (c *listParts) Run(ctx context.Context, t *terminal) error {
	filter, err := parts.ParseFilter(c.Where...)
	if err != nil {
		return &exit.Error{Status: exit.Usage, Sentence: err.Error()}
	}
	if i := slices.IndexFunc(filter, func(f parts.Condition) bool { return f.Column.Person }); i >= 0 && !c.People {
		return &exit.Error{Status: exit.Usage, Sentence: fmt.Sprintf("%s tells of people; add --people", filter[i])}
	}
	var out bytes.Buffer
	if c.Dictionary {
		err = parts.WriteDictionary(&out)
	} else {
		err = c.list(ctx, t, &out, filter)
	}
	switch {
	case err != nil:
		return err
	case c.Out != "":
		return writeWhole(c.Out, out.Bytes(), 0o600)
	}
	_, err = t.Out.Write(out.Bytes())
	return err
}

func (c *listParts) list(ctx context.Context, t *terminal, out io.Writer, filter parts.Filter) error {
	var all *parts.Table
	var in words.Writing
	err := onShelf(ctx, t, func(s *shelf) error {
		all, in = s.view.Parts(), s.view.Shop.Writing()
		return nil
	})
	if err != nil {
		return err
	}
	some := all.Where(filter)
	switch {
	case c.JSON:
		return printReport(out, "parts", coatRows(some, c.People))
	case c.CSV || c.Out != "":
		return some.WriteCSV(out, c.People)
	}
	return writeCoats(out, some, all.Len(), in)
}

// coatRows are the rows with the columns that each has.
func coatRows(table *parts.Table, people bool) []map[parts.Name]any {
	rows := make([]map[parts.Name]any, table.Len())
	for i := range rows {
		rows[i] = make(map[parts.Name]any)
		for _, c := range table.Columns() {
			switch v := table.At(i, c.Name); {
			case !v.Known(), c.Person && !people:
			case c.Kind == parts.Number:
				rows[i][c.Name] = jsontext.Value(v.String())
			case c.Kind == parts.YesNo:
				rows[i][c.Name] = v.Is()
			default:
				rows[i][c.Name] = v.String()
			}
		}
	}
	return rows
}

// writeCoats lists coats in a few columns.
func writeCoats(out io.Writer, table *parts.Table, of int, in words.Writing) error {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	if table.Len() > 0 {
		fmt.Fprintln(w, "DAY\tJOB\tPART\tCOAT\tCASTING\tPOWDER LOT\tBAKE\tDEFECTS\tHANDED BACK")
	}
	for i := range table.Len() {
		r := table.Row(i)
		at := r.Subject()
		var cells []string
		for _, name := range []parts.Name{parts.Date, parts.Job, "", parts.Coat, parts.Casting, parts.PowderLot, parts.Bake} {
			cells = append(cells, r.Get(name).Written(in))
		}
		cells[2] = fmt.Sprintf("%s %s", at.Corner(), at.Part())
		cells = append(cells, defectsOf(table, i), r.Get(parts.HandedBack).Written(in))
		for i, cell := range cells {
			if cell == "" {
				cell = "–"
			}
			cells[i] = oneLine(cell)
		}
		fmt.Fprintln(w, strings.Join(cells, "\t"))
	}
	if err := w.Flush(); err != nil {
		return err
	}
	total := words.Choose(table.Len() == of, in.Count(of, "coat"), in.Of(table.Len(), of, "coat"))
	_, err := fmt.Fprintf(out, "%s. `--csv` has all %d columns, `--dictionary` says what they are.\n", total, len(table.Columns()))
	return err
}

// defectsOf names the defects of a coat.
func defectsOf(table *parts.Table, row int) string {
	switch seen, looked := table.Defects(row); {
	case len(seen) > 0:
		return words.Commas(seen...)
	case looked:
		return "none"
	}
	return "not looked at yet"
}
