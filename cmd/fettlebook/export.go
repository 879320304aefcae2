package main

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"fettlebook/cmd/internal/exit"
	"fettlebook/journal"
	"fettlebook/journal/dossier"
	"fettlebook/journal/evidence"
	"fettlebook/journal/exchange"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

type exportForm struct {
	What  []string      `arg:"" name:"vin|plate|job" help:"The vehicle’s VIN or plate, or a job; a casting’s number, pattern or mark, or a tag, finds its job."`
	As    exchange.Form `required:"" enum:"epcis,events,csv,columns" help:"The format: epcis, events (CloudEvents), csv, or columns (what the columns of the csv are)." placeholder:"FORMAT"`
	Out   string        `short:"o" help:"The file to write; left out, standard output. Beside a csv the columns are written too, as FILE.columns.csv." type:"path" placeholder:"FILE"`
	Names bool          `help:"Call people by their names, as far as their cards are here, instead of their initials. The events name them as the entries do."`

	without []evidence.Left // what is left out of the vehicle
}

// Help says how entries become what is written.
func (*exportForm) Help() string { return exchange.Mapping }

// Run writes the record of one vehicle or one job in an open format.
func (c *exportForm) Run(ctx context.Context, t *terminal) error {
	files := make(map[exchange.Form][]byte)
	var left exchange.Left
	err := onShelf(ctx, t, func(s *shelf) error {
		source, err := c.source(ctx, s)
		if err != nil {
			return err
		}
		forms := []exchange.Form{c.As}
		if c.As == exchange.CSV && c.Out != "" {
			forms = append(forms, exchange.Columns)
		}
		for _, f := range forms {
			var out bytes.Buffer
			if left, err = exchange.Write(ctx, &out, f, source); err != nil {
				return err
			}
			files[f] = out.Bytes()
		}
		return nil
	})
	if err != nil {
		return err
	}
	for _, l := range c.without {
		fmt.Fprintln(t.Err, leftOut(l))
	}
	for _, said := range notWritten(left) {
		fmt.Fprintln(t.Err, said)
	}
	if c.Out == "" {
		_, err := t.Out.Write(files[c.As])
		return err
	}
	for form, raw := range files {
		if err := writeWhole(c.file(form), raw, 0o600); err != nil {
			return err
		}
	}
	return nil
}

// file is where a format is written.
func (c *exportForm) file(f exchange.Form) string {
	if f == c.As {
		return c.Out
	}
	return strings.TrimSuffix(c.Out, filepath.Ext(c.Out)) + "." + exchange.Columns.File()
}

// source is what is written, once it was held against its seals and against
// what the devices signed: what is not as it was leaves the shop only as proof
// of that, in a dossier.
func (c *exportForm) source(ctx context.Context, s *shelf) (*exchange.Source, error) {
	typed := strings.Join(c.What, " ")
	of, err := s.leaving(ctx, typed)
	if errors.Is(err, dossier.ErrNothing) {
		return nil, notFound("there is no job of %s here yet", oneLine(typed))
	}
	if err != nil {
		return nil, err
	}
	c.without = of.Left
	source := &exchange.Source{Shop: s.Shop, Log: s.log}
	for _, id := range of.Jobs {
		st := s.view.Standing(id)
		if st == nil {
			return nil, errors.Join(s.view.Err(), notFound("there is no job %s here", id))
		}
		source.Jobs = append(source.Jobs, st)
		if is := s.view.Sealing(st.Job); is != nil && is.State == shop.SealBroken {
			return nil, &exit.Error{Status: exit.Damaged, Sentence: fmt.Sprintf("job %s: %s", st.Job.ID, is.Says())}
		}
	}
	damaged, err := unproven(ctx, s.log, s.view.Rests())
	if err != nil {
		return nil, err
	}
	if len(damaged) > 0 {
		return nil, &exit.Error{Status: exit.Damaged, Sentence: fmt.Sprintf("the record rests on entries that are not those which the devices signed (log %s); find them with `fettlebook audit`", list(damaged))}
	}
	if c.Names {
		source.Name = s.named
	}
	return source, nil
}

// named is the full name of somebody who works here; their initials where no card
// of them is here.
func (s *shelf) named(id journal.PersonID) string {
	return cmp.Or(s.view.NameOf(id, s.log), s.view.Initials(id))
}

// notWritten says which entries are not in a file.
func notWritten(left exchange.Left) (said []string) {
	entries := func(n int, why string) {
		if n > 0 {
			said = append(said, fmt.Sprintf("Left out: %s %s.", words.Count(n, "entry"), why))
		}
	}
	entries(left.Shared, "that may tell of other vehicles")
	entries(left.Idle, words.Choose(left.Idle == 1, "that counts", "that count")+" for nothing")
	entries(left.Unreadable, "that cannot be read")
	return said
}
