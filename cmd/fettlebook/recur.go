package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"text/tabwriter"

	"fettlebook/cmd/internal/exit"
	"fettlebook/journal/parts"
	"fettlebook/journal/recur"
	"fettlebook/journal/words"
)

type recurring struct {
	Where  []string `arg:"" optional:"" name:"condition" help:"Only parts that meet this, such as pattern=K17 or \"soak_minutes<30\"; see parts --dictionary."`
	Defect string   `help:"What it looks like, such as pinhole (default: the most frequent one)." placeholder:"LOOK"`
	Since  string   `help:"Only coats whose powder went on since a day, a month or a year." placeholder:"2026-03"`
	Table  string   `help:"Study the table in this file, which \"parts --csv\" wrote, or - for standard input, instead of the shop’s own." placeholder:"FILE"`
	People bool     `help:"Name who sprayed, instead of letters."`
	JSON   bool     `name:"json" help:"Print JSON."`
}

// Run says what a defect goes with.
func (c *recurring) Run(ctx context.Context, t *terminal) error {
	conditions := c.Where
	if c.Since != "" {
		conditions = append(conditions, "day>="+c.Since)
	}
	filter, err := parts.ParseFilter(conditions...)
	if err != nil {
		return &exit.Error{Status: exit.Usage, Sentence: err.Error(), Err: err}
	}
	q := recur.Question{Defect: c.Defect, Filter: filter, People: c.People}
	if err := q.Check(); err != nil {
		return &exit.Error{Status: exit.Usage, Sentence: err.Error(), Err: err}
	}
	var study *recur.Study
	var in words.Writing
	if c.Table != "" {
		var table *parts.Table
		if table, err = c.read(t); err == nil {
			study, err = recur.Of(table, q)
		}
	} else {
		err = onShelf(ctx, t.plainly(c.JSON), func(s *shelf) (err error) {
			in = s.view.Shop.Writing()
			if study, err = recur.Of(s.view.Parts(), q); err == nil {
				study = study.Explained(s.view.Behind)
			}
			return err
		})
	}
	if err != nil {
		return err
	}
	if c.JSON {
		return printReport(t.Out, "recur", study)
	}
	return writeStudy(t.Out, study, in)
}

// read reads a parts table in its CSV form.
func (c *recurring) read(t *terminal) (*parts.Table, error) {
	file := io.NopCloser(t.In)
	if c.Table != "-" {
		var err error
		if file, err = os.Open(c.Table); err != nil {
			return nil, notFound("there is no file %s", oneLine(c.Table))
		}
	}
	defer file.Close()
	table, err := parts.ReadCSV(file)
	if err != nil {
		return nil, &exit.Error{Status: exit.Usage, Sentence: fmt.Sprintf("%s cannot be read as a parts table: %s", words.Quoted(c.Table), err), Err: err}
	}
	return table, nil
}

func writeStudy(w io.Writer, s *recur.Study, in words.Writing) error {
	for _, said := range s.Say(in) {
		fmt.Fprintln(w, said)
	}
	for _, n := range s.Named {
		if len(n.Defects) > 0 {
			fmt.Fprintf(w, "Entries behind %q, %s: %s\n", n.Pattern, n.Place(in), words.And(n.Defects...))
		}
	}
	if len(s.Factors) == 0 {
		return nil
	}
	fmt.Fprintln(w)
	table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "factor\twhere it shows most\tthere\telsewhere\tpercentage points more, 95 %\tall tries counted\thow it stands")
	for _, f := range s.Factors {
		if f.Split == "" {
			continue
		}
		difference := "–"
		if f.Effect != nil {
			difference = in.Number(fmt.Sprintf("%s to %s", recur.Signed(f.Effect.Size.Low), recur.Signed(f.Effect.Size.High)))
		}
		stands := s.Standing(f, in)
		if stands == "" && f.More > 0 {
			stands = "would need " + f.SayMore(in)
		}
		fmt.Fprintf(table, "%s\t%s\t%s\t%s\t%s\t%s\t%s\n", f.Says, f.Called(f.Split, in), f.Pair.First.Written(in), f.Pair.Second.Written(in), difference, in.Number(recur.Chance(f.Adjusted)), stands)
	}
	return table.Flush()
}
