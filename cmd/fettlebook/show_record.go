package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"fettlebook/cmd/internal/exit"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/sqlitelog"

	"github.com/go-json-experiment/json/jsontext"
)

type showRecord struct {
	What       []string `arg:"" name:"vin|plate|job" help:"The vehicle's VIN or plate, or a job; a cast mark or a tag finds its job."`
	Clocks     bool     `help:"Show every clock of every line."`
	NoReceipts bool     `help:"Leave out when the hub received each entry: then the same entries give the same text on every machine."`
	Customer   bool     `help:"Show what is on the customer's card too."`
	JSON       bool     `name:"json" help:"Print JSON."`
}

// shown is a record that can be shown: a vehicle's or a job's.
type shown interface {
	WriteText(io.Writer, record.Options) error
	JSON(record.Options) ([]byte, error)
}

var (
	_ shown = (*record.Vehicle)(nil)
	_ shown = (*record.Job)(nil)
)

// Run prints the record of one vehicle or one job.
func (c *showRecord) Run(ctx context.Context, t *terminal) (err error) {
	s, err := openShelf(ctx, t)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.log.Close()) }()
	found, jobs, err := s.find(strings.Join(c.What, " "))
	if err != nil {
		return err
	}
	if err := c.show(ctx, t.Out, s, found, jobs); err != nil {
		return err
	}
	if len(s.unproven) > 0 {
		return &exit.Error{Status: exit.Damaged, Sentence: fmt.Sprintf("what is shown rests on entries that are not those which the devices signed (log %s); find them with `fettlebook audit`", list(s.unproven))}
	}
	return nil
}

func (c *showRecord) show(ctx context.Context, out io.Writer, s *shelf, found shown, jobs []*record.Job) error {
	o := record.Options{Receipts: !c.NoReceipts, Clocks: c.Clocks}
	var customers []customer
	if c.Customer {
		var err error
		if customers, err = s.customers(ctx, jobs); err != nil {
			return err
		}
	}
	if c.JSON {
		return c.print(out, found, o, customers)
	}
	if err := found.WriteText(out, o); err != nil {
		return err
	}
	if err := s.writeHoldsOf(out, jobs); err != nil {
		return err
	}
	for _, who := range customers {
		if _, err := fmt.Fprintf(out, "\nCUSTOMER of job %s\n%s", who.Job, who.text()); err != nil {
			return err
		}
	}
	return nil
}

// print writes the record as JSON; with customers, as a member beside them.
func (c *showRecord) print(out io.Writer, found shown, o record.Options, customers []customer) error {
	raw, err := found.JSON(o)
	if err != nil {
		return err
	}
	if !c.Customer {
		_, err := fmt.Fprintf(out, "%s\n", raw)
		return err
	}
	return printJSON(out, struct {
		Record    jsontext.Value `json:"record"`
		Customers []customer     `json:"customers"`
	}{raw, customers})
}

// find looks for the one vehicle or job that was meant.
func (s *shelf) find(typed string) (shown, []*record.Job, error) {
	var vehicles []*record.Vehicle
	var jobs []*record.Job
	for _, m := range s.shop.Find(typed) {
		switch {
		case m.By == "VIN" || m.By == "plate":
			vehicles = append(vehicles, m.Vehicle)
		case m.Job != nil && !slices.Contains(jobs, m.Job):
			jobs = append(jobs, m.Job)
		}
	}
	switch {
	case len(vehicles) == 1:
		return vehicles[0], vehicles[0].Jobs, nil
	case len(vehicles) > 1:
		var names []string
		for _, v := range vehicles {
			names = append(names, strings.Join(jobIDs(v.Jobs), " and "))
		}
		return nil, nil, notFound("%s fits several vehicles; name one of their jobs: %s", oneLine(typed), list(names))
	case len(jobs) == 1:
		return jobs[0], jobs, nil
	case len(jobs) > 1:
		return nil, nil, notFound("%s fits several jobs; name one: %s", oneLine(typed), list(jobIDs(jobs)))
	}
	return nil, nil, notFound("there is no vehicle and no job %s here; `fettlebook jobs --all` lists all%s", oneLine(typed), didYouMean(typed, s.names()))
}

// names lists all that a record can be asked for by.
func (s *shelf) names() []string {
	names := jobIDs(s.shop.Jobs)
	for _, v := range s.shop.Vehicles {
		names = append(names, v.Plates...)
		if v.VIN != "" {
			names = append(names, v.VIN)
		}
	}
	return names
}

func jobIDs(jobs []*record.Job) []string {
	var ids []string
	for _, j := range jobs {
		ids = append(ids, string(j.ID))
	}
	return ids
}

// customer is a job's customer, as far as the card is here.
type customer struct {
	Job     journal.JobID    `json:"job"`
	Card    journal.CardID   `json:"card"`
	State   cardState        `json:"state"`
	Details *journal.Details `json:"details,omitempty"`
}

// cardState says how a card stands against what the journal says of it.
type cardState string

const (
	cardFits   cardState = "fits the journal"
	cardNewer  cardState = "was written again since"
	cardErased cardState = "was erased"
	cardAway   cardState = "is not here yet"
)

// customers reads the cards that jobs cite.
func (s *shelf) customers(ctx context.Context, jobs []*record.Job) ([]customer, error) {
	var all []customer
	for _, j := range jobs {
		if j.Customer == nil {
			continue
		}
		who := customer{Job: j.ID, Card: j.Customer.Card, State: cardFits}
		card, err := s.log.Card(ctx, who.Card)
		switch {
		case errors.Is(err, journal.ErrCardErased):
			who.State = cardErased
		case errors.Is(err, sqlitelog.ErrNoCard):
			who.State = cardAway
		case err != nil:
			return nil, err
		default:
			who.Details = &card.Details
			if !card.Opens(j.Customer.Commitment) {
				who.State = cardNewer
			}
		}
		all = append(all, who)
	}
	return all, nil
}

func (c customer) text() string {
	var b strings.Builder
	if d := c.Details; d != nil {
		for _, row := range []struct{ label, text string }{{"name", d.Name}, {"phone", d.Phone}, {"mail", d.Mail}, {"address", d.Address}} {
			if row.text != "" {
				fmt.Fprintf(&b, "  %-9s %s\n", row.label, oneLine(row.text))
			}
		}
	}
	fmt.Fprintf(&b, "  card %s %s\n", c.Card, c.State)
	return b.String()
}
