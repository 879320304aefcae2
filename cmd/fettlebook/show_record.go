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
	"fettlebook/journal/index"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/sqlitelog"

	"github.com/go-json-experiment/json/jsontext"
)

type showRecord struct {
	What       []string `arg:"" name:"vin|plate|job" help:"The vehicle’s VIN or plate, or a job; a casting’s number, pattern or mark, or a tag, finds its job."`
	Clocks     bool     `help:"Show every clock of every line."`
	IDs        bool     `name:"ids" help:"Show the ID of every entry, by which commands name it."`
	NoReceipts bool     `help:"Leave out when the hub received each entry: then the same entries give the same text on every machine."`
	Customer   bool     `help:"Show what is on the customer’s card too."`
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

// found is the record that was asked for, with its jobs.
type found struct {
	shown
	jobs  []*shop.Standing
	seals []*shop.Sealing
}

// records are the records of its jobs.
func (f found) records() (list []*record.Job) {
	for _, st := range f.jobs {
		list = append(list, st.Job)
	}
	return list
}

// Run prints the record of one vehicle or one job.
func (c *showRecord) Run(ctx context.Context, t *terminal) error {
	var record found
	var customers []customer
	var damaged []journal.DeviceID
	err := onShelf(ctx, t.plainly(c.JSON), func(s *shelf) (err error) {
		if record, err = s.find(strings.Join(c.What, " ")); err != nil {
			return err
		}
		if c.Customer {
			if customers, err = s.customers(ctx, record.jobs); err != nil {
				return err
			}
		}
		for _, st := range record.jobs {
			record.seals = append(record.seals, s.view.Sealing(st.Job))
		}
		damaged, err = unproven(ctx, s.log, s.view.Rests())
		return err
	})
	if err != nil {
		return err
	}
	if err := c.show(t.Out, record, customers); err != nil {
		return err
	}
	if !c.JSON {
		if err := writeArchived(ctx, t.Out, t.Data, record.records()); err != nil {
			return err
		}
	}
	for _, seal := range record.seals {
		if seal != nil && seal.State == shop.SealBroken {
			return &exit.Error{Status: exit.Damaged, Sentence: fmt.Sprintf("job %s: %s", seal.Line.Subject.Job(), seal.Says())}
		}
	}
	if len(damaged) > 0 {
		return &exit.Error{Status: exit.Damaged, Sentence: fmt.Sprintf("what is shown rests on entries that are not those which the devices signed (log %s); find them with `fettlebook audit`", list(damaged))}
	}
	return nil
}

func (c *showRecord) show(out io.Writer, is found, customers []customer) error {
	o := record.Options{Receipts: !c.NoReceipts, Clocks: c.Clocks, IDs: c.IDs, Beside: shop.Beside(is.jobs, is.seals...)}
	if c.JSON {
		return c.print(out, is, o, customers)
	}
	if err := is.WriteText(out, o); err != nil {
		return err
	}
	writeHoldsOf(out, is.jobs)
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
	return printReport(out, "record with customers", recordView{raw, customers})
}

// recordView is a record with what is on the customers' cards, as it is printed.
type recordView struct {
	Record    jsontext.Value `json:"record"`
	Customers []customer     `json:"customers"`
}

// mostFound is how many finds are looked at: more than one is too many.
const mostFound = 50

// find looks for the one vehicle or job that was meant: what is so named in
// full, else a job whose id begins so.
func (s *shelf) find(typed string) (found, error) {
	if st := s.view.Standing(journal.JobID(typed)); st != nil { // needs no list
		return found{shown: st.Job, jobs: []*shop.Standing{st}}, nil
	}
	var vehicles []record.Key
	var jobs []journal.JobID
	for _, m := range s.view.Find(typed, mostFound) {
		switch {
		case m.Job == nil || !m.Whole:
		case m.By != index.VIN && m.By != index.Plate:
			jobs = append(jobs, m.Job.Job)
		case !slices.Contains(vehicles, m.Job.Vehicle):
			vehicles = append(vehicles, m.Job.Vehicle)
		}
	}
	slices.Sort(jobs)
	jobs = slices.Compact(jobs)
	switch {
	case len(vehicles) == 1:
		v, jobs := s.view.Vehicle(vehicles[0])
		if v == nil {
			return found{}, notFound("no vehicle is known by %s any longer", oneLine(typed))
		}
		return found{shown: v, jobs: jobs}, nil
	case len(vehicles) > 1:
		var names []string
		for _, key := range vehicles {
			if v, _ := s.view.Vehicle(key); v != nil {
				names = append(names, strings.Join(jobIDs(v.Jobs), " and "))
			}
		}
		return found{}, notFound("%s matches several vehicles; name one of their jobs: %s", oneLine(typed), list(names))
	case len(jobs) == 0:
		jobs = s.fitting(typed)
	}
	if len(jobs) > 1 {
		return found{}, notFound("%s matches several jobs; name one: %s", oneLine(typed), list(jobs))
	}
	for _, id := range jobs {
		if st := s.view.Standing(id); st != nil {
			return found{shown: st.Job, jobs: []*shop.Standing{st}}, nil
		}
	}
	return found{}, notFound("there is no vehicle and no job %s here; `fettlebook jobs --all` lists all%s", oneLine(typed), didYouMean(typed, s.names()))
}

// names lists all that a record can be asked for by.
func (s *shelf) names() []string {
	names := s.view.Names("job")
	for _, v := range s.view.Vehicles() {
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
	cardNewer  cardState = "has been written again since"
	cardErased cardState = "was erased"
	cardAway   cardState = "is not here yet"
)

// customers reads the cards that jobs cite.
func (s *shelf) customers(ctx context.Context, jobs []*shop.Standing) ([]customer, error) {
	var all []customer
	for _, st := range jobs {
		j := st.Job
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
