package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"fettlebook/cmd/internal/exit"
	"fettlebook/journal"
	"fettlebook/journal/route"
	"fettlebook/journal/trade/vin"

	"github.com/go-json-experiment/json"
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
	VINAsIs  bool      `json:"vin_as_is,omitzero" name:"vin-as-is" help:"Take the VIN as it stands. Vehicles from before 1981 have numbers of other lengths."`
	Plate    string    `json:"plate,omitzero" help:"The licence plate." placeholder:"PLATE"`
	Looks    string    `json:"looks,omitzero" help:"How the vehicle looks, such as \"moss-green estate\"." placeholder:"TEXT"`
	Odometer string    `json:"odometer,omitzero" help:"What the odometer shows, with its unit." placeholder:"\"84210 km\""`
	Corners  []string  `json:"corners,omitempty" name:"corner" sep:"none" help:"A corner to be worked on: LF, RF, LR, RR or NC; can be given again." placeholder:"LF"`
	Route    string    `json:"route,omitzero" default:"caliper" help:"The route card of the job; \"route list\" lists them (default: ${default})." placeholder:"CARD"`
	Wish     string    `json:"wish,omitzero" help:"What the customer wants done." placeholder:"TEXT"`
	Customer string    `json:"customer,omitzero" help:"The customer's name. Name, phone, mail and address go on a card beside the journal, which can be erased." placeholder:"NAME"`
	Phone    string    `json:"phone,omitzero" help:"The customer's phone." placeholder:"NUMBER"`
	Mail     string    `json:"mail,omitzero" help:"The customer's mail address." placeholder:"MAIL"`
	Address  string    `json:"address,omitzero" help:"The customer's postal address." placeholder:"TEXT"`
	By       string    `json:"by,omitzero" env:"FETTLEBOOK_BY" help:"Who opens the job, a short name such as io." placeholder:"PERSON"`
	Photos   []picture `json:"photos,omitempty" name:"photo" sep:"none" help:"A JPEG or PNG file, and what it shows; can be given again." placeholder:"FILE[:WHAT]"`
	Note     string    `json:"note,omitzero" help:"A remark." placeholder:"TEXT"`
}

const openingMembers = "vin, vin_as_is, plate, looks, odometer, corners, route, wish, customer, phone, mail, address, by, photos, note"

// Run opens one job, or those of standard input.
func (c *openJob) Run(ctx context.Context, t *terminal) error {
	switch {
	case !c.Stdin && c.By == "":
		return nobody()
	case c.Stdin && len(c.Photos) > 0:
		return &exit.Error{Status: exit.Usage, Sentence: "with standard input, each job names its own photos there"}
	}
	k, err := openClerk(ctx, t)
	if err != nil {
		return err
	}
	if !c.Stdin {
		return k.close(c.open(ctx, k, c.opening))
	}
	return k.close(k.each(ctx, "jobs", func(ctx context.Context, raw jsontext.Value) error {
		o := c.opening
		if err := readObject(raw, &o, openingMembers); err != nil {
			return err
		}
		return c.open(ctx, k, o)
	}))
}

// open writes the card, the entry that commits to it, and then the job that
// cites it. Cut off at any point, this leaves at worst a card that no job
// cites, never a job whose customer is unknown.
func (c *openJob) open(ctx context.Context, k *clerk, o opening) error {
	doubt, err := o.checkVIN()
	if err != nil {
		return err
	}
	card, err := o.card(k.t.Rand)
	if err != nil {
		return err
	}
	pin, err := k.pin(o.Route)
	if err != nil {
		return err
	}
	data, err := o.data(card, pin)
	if err != nil {
		return err
	}
	job, err := k.check(ctx, journal.JobOpened, request{By: o.By, Photos: o.Photos, Note: o.Note}, data)
	if err != nil {
		return err
	}
	if card != nil {
		if err := k.writeCard(ctx, *card, job.By); err != nil {
			return err
		}
	}
	e, err := k.write(ctx, job)
	if err != nil {
		return err
	}
	if doubt != "" {
		fmt.Fprintln(k.t.Err, "mind:", doubt)
	}
	return c.say(k.t.Out, e, card)
}

func (c *openJob) say(out io.Writer, e *journal.Entry, card *journal.Card) error {
	id := e.Subject.Job()
	if c.JSON {
		said := opened{Job: id, Entry: e}
		if card != nil {
			said.Card = card.Card
		}
		return printJSON(out, said)
	}
	_, err := fmt.Fprintf(out, "Job %s is open.\nAdd to it with:  fettlebook add part.removed --job %[1]s --corner LF --part caliper --by %s --photo FILE\nShow it with:    fettlebook record %[1]s\n", id, e.By)
	return err
}

// opened is what is printed of a new job as JSON.
type opened struct {
	Job   journal.JobID  `json:"job"`
	Card  journal.CardID `json:"card,omitzero"`
	Entry *journal.Entry `json:"entry"`
}

// checkVIN refuses what is no VIN, and says what is doubtful in one that is.
func (o *opening) checkVIN() (doubt string, err error) {
	if o.VIN == "" || o.VINAsIs {
		return "", nil
	}
	r := vin.Check(o.VIN)
	var readings []string
	for _, s := range r.Suggestions {
		readings = append(readings, fmt.Sprintf("%s (%s)", s.VIN, s))
	}
	sentence := fmt.Sprintf("the VIN %s: %s", oneLine(o.VIN), r.Note)
	if len(readings) > 0 {
		sentence += ". Perhaps " + strings.Join(readings, ", or ")
	}
	switch {
	case r.VIN == "":
		return "", &exit.Error{Status: exit.Refused, Sentence: sentence + ". --vin-as-is takes an older vehicle's number as it stands"}
	case r.Fits || noCheckDigit(r.VIN):
		return "", nil
	}
	return sentence, nil
}

// noCheckDigit reports whether position 9 cannot be a check digit, as is
// usual for vehicles not built for North America.
func noCheckDigit(v vin.VIN) bool { return v[8] >= 'A' && v[8] != 'X' }

// card makes the customer's card, nil without a customer.
func (o *opening) card(rand io.Reader) (*journal.Card, error) {
	d := journal.Details{Name: o.Customer, Phone: o.Phone, Mail: o.Mail, Address: o.Address}
	switch {
	case d == journal.Details{}:
		return nil, nil
	case d.Name == "":
		return nil, &journal.Invalid{Kind: journal.JobOpened, Problems: []string{"the customer's name is missing; give it with phone, mail and address"}}
	}
	id, err := journal.NewCardID(rand)
	if err != nil {
		return nil, err
	}
	card, err := journal.NewCard(id, d, rand)
	return &card, err
}

// data is the data of job.opened. The quantities are as typed: reading the
// data checks them.
func (o *opening) data(card *journal.Card, pin *journal.RouteCard) (jsontext.Value, error) {
	d := struct {
		Vehicle  journal.Vehicle   `json:"vehicle"`
		Odometer string            `json:"odometer,omitzero"`
		Customer *journal.Citation `json:"customer,omitzero"`
		Corners  []string          `json:"corners,omitempty"`
		Wish     string            `json:"wish,omitzero"`
		Route    journal.RouteID   `json:"route,omitzero"`
		Edition  int               `json:"edition,omitzero"`
	}{Vehicle: journal.Vehicle{VIN: o.VIN, Plate: o.Plate, Looks: o.Looks}, Odometer: o.Odometer, Wish: o.Wish}
	for _, corner := range o.Corners {
		d.Corners = append(d.Corners, strings.ToUpper(corner))
	}
	if pin != nil {
		d.Route, d.Edition = pin.Route, pin.Edition
	}
	if card != nil {
		to, err := card.Commitment()
		if err != nil {
			return nil, err
		}
		d.Customer = &journal.Citation{Card: card.Card, Commitment: to}
	}
	raw, err := json.Marshal(d)
	if err != nil {
		return nil, &journal.Invalid{Kind: journal.JobOpened, Problems: []string{"something in it is no text; set the terminal to UTF-8 and type it again"}}
	}
	return raw, nil
}

// pin finds the newest published edition of a route card. A tablet that has
// not heard of any yet opens the job without one; then the usual card holds.
func (c *clerk) pin(name string) (*journal.RouteCard, error) {
	var id journal.RouteID
	if err := id.UnmarshalText([]byte(name)); err != nil {
		return nil, &exit.Error{Status: exit.Refused, Sentence: err.Error(), Err: err}
	}
	if found := newest(c.shelf.shop, id, 0); found != nil {
		return found, nil
	}
	if len(c.shelf.shop.Routes) == 0 && id == route.Usual {
		return nil, nil
	}
	var names []journal.RouteID
	for _, r := range c.shelf.shop.Routes {
		names = append(names, r.ID)
	}
	return nil, notFound("there is no route card %s here; those that are: %s", oneLine(name), list(names))
}

// writeCard keeps a card and commits to it. The details are here before the
// commitment is, and are then marked with the entry that commits to them.
func (c *clerk) writeCard(ctx context.Context, card journal.Card, by journal.PersonID) error {
	to, err := card.Commitment()
	if err != nil {
		return err
	}
	oldest := journal.EntryID{6: 0x70, 8: 0x80} // smaller than the id of any entry
	if err := c.w.SaveCard(ctx, journal.CardState{Card: card, Changed: oldest}); err != nil {
		return err
	}
	e, err := c.w.Append(ctx, journal.Draft{Subject: journal.Of("card", string(card.Card)), By: by,
		Data: &journal.CardWriting{Card: card.Card, Commitment: to}})
	if err != nil {
		return err
	}
	card.Written = e.ID
	return c.w.SaveCard(ctx, journal.CardState{Card: card, Changed: e.ID})
}
