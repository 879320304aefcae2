package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/newjob"
	"fettlebook/journal"
	"fettlebook/journal/record"

	"github.com/go-json-experiment/json/jsontext"
)

type openJob struct {
	opening `embed:""`
	Stdin   bool `help:"Read JSON objects from standard input, one a line or in a list, with the names of the flags: vin, plate, looks, corners, photos … What an object leaves out is taken from the flags."`
	JSON    bool `name:"json" help:"Print each job as JSON."`
}

// opening is what is said at the counter, with flags or in a JSON object.
type opening struct {
	VIN      string    `json:"vin,omitzero" name:"vin" help:"The vehicle identification number." placeholder:"VIN"`
	VINAsIs  bool      `json:"vin_as_is,omitzero" name:"vin-as-is" help:"Take the VIN as it is typed. Vehicles from before 1981 have numbers of other lengths."`
	Plate    string    `json:"plate,omitzero" help:"The number plate." placeholder:"PLATE"`
	Looks    string    `json:"looks,omitzero" help:"How the vehicle looks, such as \"moss-green estate\"." placeholder:"TEXT"`
	Odometer string    `json:"odometer,omitzero" help:"What the odometer shows, with its unit." placeholder:"\"84210 km\""`
	Corners  []string  `json:"corners,omitempty" name:"corner" sep:"none" help:"A corner to be worked on: LF, RF, LR, RR or NC; can be given again." placeholder:"LF"`
	Route    string    `json:"route,omitzero" default:"caliper" help:"The route card of the job; \"route list\" lists them (default: ${default})." placeholder:"CARD"`
	Wish     string    `json:"wish,omitzero" help:"What the customer wants done." placeholder:"TEXT"`
	Ready    string    `json:"ready,omitzero" help:"The day by which the vehicle is promised, such as 2026-03-06." placeholder:"DAY"`
	Months   int       `json:"warranty_months,omitzero" name:"warranty-months" help:"How many months the warranty lasts." placeholder:"N"`
	Distance string    `json:"warranty_distance,omitzero" name:"warranty-distance" help:"Or up to which distance, with its unit." placeholder:"\"20000 km\""`
	Warranty string    `json:"warranty,omitzero" help:"What the warranty covers, and what ends it." placeholder:"TEXT"`
	Excludes []string  `json:"excludes,omitempty" name:"excludes" sep:"none" help:"A question that is asked at a complaint, and whose yes lies outside the warranty; can be given again." placeholder:"QUESTION"`
	Claim    string    `json:"claim,omitzero" help:"The complaint that this job answers: its entry’s ID." placeholder:"ENTRY"`
	Customer string    `json:"customer,omitzero" help:"The customer’s name. The name, telephone number, email and postal address go on a card beside the journal, which can be erased." placeholder:"NAME"`
	Phone    string    `json:"phone,omitzero" help:"The customer’s telephone number." placeholder:"NUMBER"`
	Mail     string    `json:"mail,omitzero" help:"The customer’s email address." placeholder:"MAIL"`
	Address  string    `json:"address,omitzero" help:"The customer’s postal address." placeholder:"TEXT"`
	By       string    `json:"by,omitzero" env:"FETTLEBOOK_BY" help:"Who opens the job: a short name such as io." placeholder:"PERSON"`
	Photos   []picture `json:"photos,omitempty" name:"photo" sep:"none" help:"A JPEG or PNG file, and what it shows; can be given again." placeholder:"FILE[:WHAT]"`
	Note     string    `json:"note,omitzero" help:"A remark." placeholder:"TEXT"`
}

const openingMembers = "vin, vin_as_is, plate, looks, odometer, corners, route, wish, ready, warranty_months, warranty_distance, warranty, excludes, claim, customer, phone, mail, address, by, photos, note"

// Run opens one job, or those of standard input.
func (c *openJob) Run(ctx context.Context, t *terminal) error {
	switch {
	case !c.Stdin && c.By == "":
		return nobody()
	case c.Stdin && len(c.Photos) > 0:
		return &exit.Error{Status: exit.Usage, Sentence: "with standard input, each job names its own photographs there"}
	}
	k, err := openEntryWriter(ctx, t)
	if err != nil {
		return err
	}
	if !c.Stdin {
		return k.close(ctx, c.open(ctx, k, c.opening))
	}
	return k.close(ctx, k.each(ctx, "jobs", func(ctx context.Context, raw jsontext.Value) error {
		o := c.opening
		if err := readObject(raw, &o, openingMembers); err != nil {
			return err
		}
		return c.open(ctx, k, o)
	}))
}

// words is what was said, for the counter.
func (o *opening) words() newjob.Words {
	return newjob.Words{VIN: o.VIN, VINAsIs: o.VINAsIs, Plate: o.Plate, Looks: o.Looks, Odometer: o.Odometer, Corners: o.Corners,
		Wish: o.Wish, Route: o.Route, Ready: o.Ready, Warranty: newjob.Warranty{Months: o.Months, Distance: o.Distance, Words: o.Warranty}, Excludes: o.Excludes, Customer: journal.Details{Name: o.Customer, Phone: o.Phone, Mail: o.Mail, Address: o.Address}}
}

// open writes the card, the entry that commits to it, and then the job that
// cites it.
func (c *openJob) open(ctx context.Context, k *entryWriter, o opening) error {
	said := o.words()
	if o.Claim != "" {
		claim, err := complaint(k.shelf, o.Claim)
		if err != nil {
			return err
		}
		said.Claim = claim.Opened.ID
	}
	doubt, err := said.CheckVIN()
	var no *newjob.NotAVIN
	if errors.As(err, &no) {
		return &exit.Error{Status: exit.Refused, Sentence: no.Sentence + ". --vin-as-is takes an older vehicle’s number as it is typed", Err: err}
	}
	if err != nil {
		return err
	}
	card, err := said.Card(k.t.Rand)
	if err != nil {
		return err
	}
	pin, err := pinFor(&said, k.shelf.view.Shop)
	if err != nil {
		return err
	}
	data, err := said.Data(card, pin)
	if err != nil {
		return err
	}
	job, err := k.check(ctx, journal.JobOpened, request{By: o.By, Photos: o.Photos, Note: o.Note}, data)
	if err != nil {
		return err
	}
	if card != nil {
		if err := newjob.WriteCard(ctx, k.w, *card, job.By); err != nil {
			return err
		}
	}
	e, err := k.write(ctx, job)
	if err != nil {
		return err
	}
	if doubt != "" {
		fmt.Fprintln(k.t.Err, "note:", doubt)
	}
	return c.say(k.t.Out, e, card)
}

// pinFor finds the job's route card, and says on the command line what is
// wrong with its name.
func pinFor(said *newjob.Words, shop *record.Shop) (*journal.RouteCard, error) {
	pin, err := said.Pin(shop)
	var none *newjob.NoSuchCard
	switch {
	case errors.As(err, &none):
		return nil, notFound("%s", err)
	case err != nil:
		return nil, &exit.Error{Status: exit.Refused, Sentence: err.Error(), Err: err}
	}
	return pin, nil
}

func (c *openJob) say(out io.Writer, e *journal.Entry, card *journal.Card) error {
	id := e.Subject.Job()
	if c.JSON {
		said := opened{Job: id, Entry: e}
		if card != nil {
			said.Card = card.Card
		}
		return printReport(out, "open", said)
	}
	corner := journal.Corner("LF")
	data, err := e.Payload()
	if err != nil {
		return err
	}
	if job, ok := data.(*journal.Job); ok && len(job.Corners) > 0 {
		corner = job.Corners[0]
	}
	_, err = fmt.Fprintf(out, "Job %s is open.\nAdd to it with:  fettlebook add part.removed --job %[1]s --corner %s --part PART --by %s --photo FILE\nNext to do:      fettlebook next %[1]s\nShow it with:    fettlebook record %[1]s\n", id, corner, e.By)
	return err
}

// opened is what is printed of a new job as JSON.
type opened struct {
	Job   journal.JobID  `json:"job"`
	Card  journal.CardID `json:"card,omitzero"`
	Entry *journal.Entry `json:"entry"`
}
