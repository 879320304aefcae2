package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"text/tabwriter"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// routeCards are the commands on route cards.
type routeCards struct {
	List    routeList    `cmd:"" help:"List the shop’s route cards and those that come with the program."`
	Show    routeShow    `cmd:"" help:"Print a route card, to read or to edit a copy."`
	Check   routeCheck   `cmd:"" help:"Check a route card in a file: names, kinds, and the type of every rule."`
	Publish routePublish `cmd:"" help:"Publish a checked route card; jobs opened from then on can follow it."`
	Diff    routeDiff    `cmd:"" help:"Show what changed from one route card to another."`
	Facts   routeFacts   `cmd:"" help:"List the facts that the rules of a route card may ask for."`
	Schema  routeSchema  `cmd:"" help:"Print the JSON Schema of a route card."`
}

type routeList struct {
	JSON bool `name:"json" help:"Print JSON."`
}

// cardRow is one line of the list.
type cardRow struct {
	Card     journal.RouteID `json:"card"`
	Edition  int             `json:"edition"`
	Title    string          `json:"title"`
	Holds    int             `json:"holds"`
	Where    string          `json:"where"` // "published" or "comes with the program"
	Unusable string          `json:"unusable,omitzero"`
}

// Run lists the cards.
func (c *routeList) Run(ctx context.Context, t *terminal) error {
	var rows []cardRow
	err := onShelf(ctx, t.plainly(c.JSON), func(s *shelf) error {
		rows = slices.Concat(publishedRows(s.view.Shop), suppliedRows())
		return nil
	})
	if err != nil {
		return err
	}
	if c.JSON {
		return printReport(t.Out, "route list", rows)
	}
	w := tabwriter.NewWriter(t.Out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "CARD\tEDITION\tTITLE\tHOLDS\tWHERE")
	for _, r := range rows {
		fmt.Fprintf(w, "%s\t%d\t%s\t%d\t%s\n", r.Card, r.Edition, oneLine(r.Title), r.Holds, r.Where)
	}
	return w.Flush()
}

func publishedRows(shop *record.Shop) []cardRow {
	var rows []cardRow
	for _, r := range shop.Routes {
		for _, l := range r.Lines {
			if c, ok := l.Effect().(*journal.RouteCard); ok {
				rows = append(rows, rowOf(c.Text, "published", cardRow{Card: c.Route, Edition: c.Edition}))
			}
		}
	}
	return rows
}

func suppliedRows() []cardRow {
	var rows []cardRow
	for _, name := range card.SuppliedNames() {
		text, err := card.Supplied(name)
		if err != nil {
			continue // it is listed because it is there
		}
		rows = append(rows, rowOf(text, "comes with the program", cardRow{Card: name}))
	}
	return rows
}

// rowOf fills a row from the card's text. A card that this version cannot
// read is listed all the same.
func rowOf(text, where string, r cardRow) cardRow {
	r.Where = where
	read, err := card.ParseHeld(text)
	if err != nil {
		r.Title, r.Unusable = "(cannot be read by this version)", err.Error()
		return r
	}
	r.Card, r.Edition, r.Title = read.Name, read.Edition, read.Title
	for _, s := range read.Stages {
		r.Holds += len(s.Holds)
	}
	return r
}

type routeShow struct {
	Card    journal.RouteID `arg:"" help:"The card’s name; \"route list\" lists them." placeholder:"CARD"`
	Edition int             `help:"The edition, if not the newest." placeholder:"N"`
}

// Run prints the text of a card as it was written.
func (c *routeShow) Run(ctx context.Context, t *terminal) error {
	text, err := cardText(ctx, t, c.Card, c.Edition)
	if err != nil {
		return err
	}
	_, err = fmt.Fprint(t.Out, text)
	return err
}

// cardText finds a published card, or one that comes with the program.
func cardText(ctx context.Context, t *terminal, name journal.RouteID, edition int) (string, error) {
	var published *journal.RouteCard
	err := onShelf(ctx, t, func(s *shelf) error {
		published = newest(s.view.Shop, name, edition)
		return nil
	})
	switch {
	case errors.Is(err, folder.ErrNoFolder): // the supplied cards need no shop
	case err != nil:
		return "", err
	case published != nil:
		return published.Text, nil
	}
	text, err := card.Supplied(name)
	if err != nil || edition > 1 {
		return "", notFound("there is no route card %s here%s; `fettlebook route list` lists them", name, ofEdition(edition))
	}
	return text, nil
}

func ofEdition(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf(" of edition %d", n)
}

// newest returns the published card of a name: the edition asked for, or the
// highest; nil if there is none.
func newest(shop *record.Shop, name journal.RouteID, edition int) *journal.RouteCard {
	var found *journal.RouteCard
	for _, r := range shop.Routes {
		if r.ID != name {
			continue
		}
		for _, l := range r.Lines {
			c, ok := l.Effect().(*journal.RouteCard)
			if ok && (edition == 0 && (found == nil || c.Edition > found.Edition) || edition != 0 && c.Edition == edition && found == nil) {
				found = c
			}
		}
	}
	return found
}

type routeCheck struct {
	File string `arg:"" help:"The card, a YAML file." placeholder:"FILE"`
}

// Run checks a card.
func (c *routeCheck) Run(t *terminal) error {
	read, err := readCard(c.File)
	if err != nil {
		return err
	}
	r := rowOf(read.Text(), "", cardRow{})
	_, err = fmt.Fprintf(t.Out, "%s: the card %s, edition %d, is in order: %s with %s.\n", c.File, r.Card, r.Edition, words.Count(len(read.Stages), "stage"), words.Count(r.Holds, "hold point"))
	return err
}

// readCard reads a card from a file.
func readCard(file string) (*card.Card, error) {
	raw, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, notFound("there is no file %s", file)
	}
	if err != nil {
		return nil, fmt.Errorf("read route card: %w", err)
	}
	read, err := card.Parse(string(raw))
	if err != nil {
		return nil, &exit.Error{Status: exit.Refused, Sentence: fmt.Sprintf("%s is not a route card yet:\n%v", file, err), Err: err}
	}
	return read, nil
}

type routePublish struct {
	File string `arg:"" help:"The card, a YAML file." placeholder:"FILE"`
	By   string `required:"" env:"FETTLEBOOK_BY" help:"Who publishes it: a short name such as io." placeholder:"PERSON"`

	Because string `help:"The ID, or its first characters, of the entry of the investigation that the change came out of." placeholder:"ENTRY"`
}

// Run publishes a card. An edition that is published already stays as it is:
// jobs are pinned to it.
func (c *routePublish) Run(ctx context.Context, t *terminal) error {
	read, err := readCard(c.File)
	if err != nil {
		return err
	}
	by, err := person(c.By)
	if err != nil {
		return err
	}
	k, err := openEntryWriter(ctx, t)
	if err != nil {
		return err
	}
	return k.close(ctx, publishCard(ctx, k, read, by, c.Because))
}

func publishCard(ctx context.Context, k *entryWriter, read *card.Card, by journal.PersonID, typed string) error {
	if err := mayWrite(journal.RoutePublished, k.shelf.Identity); err != nil {
		return err
	}
	if old := newest(k.shelf.view.Shop, read.Name, read.Edition); old != nil {
		sentence := fmt.Sprintf("edition %d of the card %s has already been published and jobs may have been opened with it; give the new one a higher edition", read.Edition, read.Name)
		if old.Text == read.Text() {
			sentence = fmt.Sprintf("this edition %d of the card %s has already been published as it is here; nothing was written", read.Edition, read.Name)
		}
		return &exit.Error{Status: exit.Refused, Sentence: sentence}
	}
	draft := folder.CardDraft(read, by)
	if typed != "" {
		because, err := k.shelf.entryOf(typed)
		if err != nil {
			return err
		}
		if !slices.ContainsFunc(k.shelf.view.Line(because), func(l *record.Line) bool { _, ok := l.Effect().(*journal.Investigation); return ok }) {
			return notFound("there is no investigation %s here", because)
		}
		draft.Data.(*journal.RouteCard).Because = because
	}
	e, err := k.w.Append(ctx, draft)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(k.t.Out, "Edition %d of the card %s is in force from now on (entry %s). Jobs under way keep theirs.\n", read.Edition, read.Name, e.ID)
	return err
}

type routeDiff struct {
	From string `arg:"" help:"A file, or the name of a card." placeholder:"CARD"`
	To   string `arg:"" help:"A file, or the name of a card." placeholder:"CARD"`
	JSON bool   `name:"json" help:"Print JSON."`
}

// Run compares two cards.
func (c *routeDiff) Run(ctx context.Context, t *terminal) error {
	from, err := anyCard(ctx, t, c.From)
	if err != nil {
		return err
	}
	to, err := anyCard(ctx, t, c.To)
	if err != nil {
		return err
	}
	changes := card.Diff(from, to)
	if c.JSON {
		return printReport(t.Out, "route diff", changes)
	}
	if len(changes) == 0 {
		fmt.Fprintln(t.Out, "The two cards say the same.")
	}
	for _, change := range changes {
		fmt.Fprintln(t.Out, oneLine(change.String()))
	}
	return nil
}

// anyCard reads a card by file name, else by its own name.
func anyCard(ctx context.Context, t *terminal, what string) (*card.Card, error) {
	if _, err := os.Stat(what); err == nil {
		return readCard(what)
	}
	var name journal.RouteID
	if err := name.UnmarshalText([]byte(what)); err != nil {
		return nil, notFound("there is no file and no route card %s", oneLine(what))
	}
	text, err := cardText(ctx, t, name, 0)
	if err != nil {
		return nil, err
	}
	return card.ParseHeld(text)
}

type routeSchema struct{}

// Run prints the schema.
func (*routeSchema) Run(t *terminal) error {
	raw, err := card.Schema()
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(t.Out, "%s\n", raw)
	return err
}
