// Package newjob is what happens at the counter when a vehicle comes in: the
// VIN is checked, the customer gets a card beside the journal, and the job is
// opened, pinned to the newest edition of its route card.
package newjob

import (
	"context"
	"crypto/sha256"
	"fmt"
	"io"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/trade/vin"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// Words are what was said at the counter, as typed.
type Words struct {
	VIN     string
	VINAsIs bool // an older vehicle's number is taken as it stands
	Plate   string
	Looks   string

	Odometer string
	Corners  []string
	Wish     string
	Terms    string // the text that the customer saw and accepted
	Ready    string // the day by which the vehicle is promised
	Warranty Warranty
	Excludes []string        // what the warranty asks at a complaint
	Claim    journal.EntryID // the complaint that the job answers
	Route    string

	Customer journal.Details
	Known    journal.Card // the card of the customer who was here before; zero without one
}

// Warranty is what is promised for afterwards, as typed.
type Warranty struct {
	Months   int    `json:"months,omitzero"`
	Distance string `json:"distance,omitzero"`
	Words    string `json:"words,omitzero"`
}

// NotAVIN says that a VIN cannot be one. Readings are those that it may be
// meant for.
type NotAVIN struct{ Sentence string }

func (e *NotAVIN) Error() string { return e.Sentence }

// CheckVIN refuses what is no VIN with a *[NotAVIN], and says what is doubtful
// in one that is.
func (w *Words) CheckVIN() (doubt string, err error) {
	if w.VIN == "" || w.VINAsIs {
		return "", nil
	}
	r := vin.Check(w.VIN)
	var readings []string
	for _, s := range r.Suggestions {
		readings = append(readings, fmt.Sprintf("%s (%s)", s.VIN, s))
	}
	sentence := fmt.Sprintf("the VIN %s: %s", strings.Join(strings.Fields(w.VIN), " "), r.Note)
	if len(readings) > 0 {
		sentence += ". Perhaps " + strings.Join(readings, ", or ")
	}
	switch {
	case r.VIN == "":
		return "", &NotAVIN{sentence}
	case r.Fits || noCheckDigit(r.VIN):
		return "", nil
	}
	return sentence, nil
}

// noCheckDigit reports whether position 9 cannot be a check digit, as is
// usual for vehicles not built for North America.
func noCheckDigit(v vin.VIN) bool { return v[8] >= 'A' && v[8] != 'X' }

// Card makes the customer's card, nil without a customer. A customer who was here before
// and of whom nothing else is said now keeps the card, so that it is erased once for all jobs.
func (w *Words) Card(rand io.Reader) (*journal.Card, error) {
	switch d := w.Customer; {
	case d == journal.Details{}:
		return nil, nil
	case w.Known.Card != "" && w.Known.Details == d:
		known := w.Known
		return &known, nil
	case d.Name == "":
		return nil, journal.Refuse(journal.JobOpened, journal.Missing, "the customer’s name is missing; give it together with the telephone number, the email and the postal address")
	}
	id, err := journal.NewCardID(rand)
	if err != nil {
		return nil, err
	}
	card, err := journal.NewCard(id, w.Customer, rand)
	return &card, err
}

// Data is the data of job.opened. The quantities are as typed: reading the
// data checks them. The terms' text lies in the remark, their hash beside it.
func (w *Words) Data(card *journal.Card, pin *journal.RouteCard) (jsontext.Value, error) {
	if problem := unit.Doubtful(w.Odometer); problem != "" {
		return nil, &journal.Invalid{Kind: journal.JobOpened, Problems: []journal.Problem{{Path: "odometer", Code: journal.WrongShape, Say: problem}}}
	}
	d := struct {
		Vehicle  journal.Vehicle   `json:"vehicle"`
		Odometer string            `json:"odometer,omitzero"`
		Customer *journal.Citation `json:"customer,omitzero"`
		Corners  []string          `json:"corners,omitempty"`
		Wish     string            `json:"wish,omitzero"`
		Terms    journal.Digest    `json:"terms,omitzero"`
		Route    journal.RouteID   `json:"route,omitzero"`
		Edition  int               `json:"edition,omitzero"`
		Note     string            `json:"note,omitzero"`
		Ready    string            `json:"ready,omitzero"`
		Warranty Warranty          `json:"warranty,omitzero"`
		Excludes []string          `json:"excludes,omitempty"`
		Claim    journal.EntryID   `json:"claim,omitzero"`
	}{Vehicle: journal.Vehicle{VIN: w.VIN, Plate: w.Plate, Looks: w.Looks}, Odometer: w.Odometer, Wish: w.Wish, Ready: w.Ready, Warranty: w.Warranty, Excludes: w.Excludes, Claim: w.Claim}
	for _, corner := range w.Corners {
		d.Corners = append(d.Corners, strings.ToUpper(corner))
	}
	if w.Terms != "" {
		d.Terms, d.Note = sha256.Sum256([]byte(w.Terms)), w.Terms
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
		return nil, journal.Refuse(journal.JobOpened, journal.NotText, "something in it is not text; set the terminal to UTF-8 and type it again")
	}
	return raw, nil
}

// NoSuchCard says that no route card of that name was published.
type NoSuchCard struct {
	Name  string
	Known []journal.RouteID
}

func (e *NoSuchCard) Error() string {
	var names []string
	for _, n := range e.Known {
		names = append(names, string(n))
	}
	return fmt.Sprintf("there is no route card %s here; those that are: %s", strings.Join(strings.Fields(e.Name), " "), strings.Join(names, ", "))
}

// Pin finds the newest published edition of the route card. A tablet that has
// not heard of any yet opens the job without one; then the usual card holds.
func (w *Words) Pin(shop *record.Shop) (*journal.RouteCard, error) {
	var id journal.RouteID
	if err := id.UnmarshalText([]byte(w.Route)); err != nil {
		return nil, err
	}
	var known []journal.RouteID
	for _, r := range shop.Routes {
		if r.ID == id {
			if found := Newest(r); found != nil {
				return found, nil
			}
		}
		known = append(known, r.ID)
	}
	if len(shop.Routes) == 0 && id == card.Usual {
		return nil, nil
	}
	return nil, &NoSuchCard{Name: w.Route, Known: known}
}

// Newest returns the published edition with the highest number, or nil.
func Newest(r *record.Route) (found *journal.RouteCard) {
	for _, l := range r.Lines {
		if c, ok := l.Effect().(*journal.RouteCard); ok && (found == nil || c.Edition > found.Edition) {
			found = c
		}
	}
	return found
}

// Book is where cards and entries are written.
type Book interface {
	journal.Appender
	SaveCard(ctx context.Context, s journal.CardState) error
}

// WriteCard keeps a card and commits to it, unless it was written before. The details are here before the
// commitment is, and are then marked with the entry that commits to them. Cut
// off at any point, this leaves at worst a card that no job cites, never a job
// whose customer is unknown.
func WriteCard(ctx context.Context, b Book, card journal.Card, by journal.PersonID) error {
	if !card.Written.IsZero() {
		return nil
	}
	to, err := card.Commitment()
	if err != nil {
		return err
	}
	oldest := journal.EntryID{6: 0x70, 8: 0x80} // smaller than the id of any entry
	if err := b.SaveCard(ctx, journal.CardState{Card: card, Changed: oldest}); err != nil {
		return err
	}
	e, err := b.Append(ctx, journal.Draft{Subject: journal.Of("card", string(card.Card)), By: by,
		Data: &journal.CardWriting{Card: card.Card, Commitment: to}})
	if err != nil {
		return err
	}
	card.Written = e.ID
	return b.SaveCard(ctx, journal.CardState{Card: card, Changed: e.ID})
}
