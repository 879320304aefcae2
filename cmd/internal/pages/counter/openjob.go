package counter

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"time"

	"fettlebook/cmd/internal/newjob"
	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/journal"
	"fettlebook/journal/words"
)

// write checks what was said and opens the job. What is wrong stands beside
// its field afterwards, and nothing is written.
func (c *Counter) write(r *http.Request, d *newJobPage) (journal.JobID, bool) {
	if _, err := d.Words.CheckVIN(); err != nil {
		d.Wrong["vin"] = words.Capital(err.Error()) + ". If it is an older vehicle, tick that the vehicle bears the number as it is typed."
	}
	if len(d.Words.Corners) == 0 {
		d.Wrong["corner"] = "Tick the corners that are worked on."
	}
	said := d.Words
	if !d.Terms {
		said.Terms = ""
	}
	card, err := said.Card(c.Rand)
	if err != nil {
		d.Wrong["customer"] = words.Sentence(err.Error())
	}
	pin, err := said.Pin(c.Live.View(r.Context()).Shop)
	if err != nil {
		d.Wrong["route"] = words.Sentence(err.Error())
	}
	var payload journal.Payload
	data, err := said.Data(card, pin)
	if err == nil {
		payload, err = journal.ParsePayload(journal.Type{Kind: journal.JobOpened, Version: journal.JobOpened.Version()}, data)
	}
	var bad *journal.Invalid
	if errors.As(err, &bad) {
		for _, p := range bad.Problems {
			d.Wrong[fieldOf(p.Path)] = words.Sentence(beside(p))
		}
	} else if err != nil {
		d.Wrong[""] = words.Sentence(err.Error())
	}
	if len(d.Wrong) > 0 {
		return "", false
	}
	if d.Other = compare(c.Live.View(r.Context()), payload.(*journal.Job), r); len(d.Other.Says) > 0 && !d.Other.Sure {
		return "", false
	}
	id, err := c.open(r, d, card, payload)
	var spent *draft.Spent
	switch {
	case errors.As(err, &spent):
		d.Token, d.Wrong[""] = "", "This form has already opened a job, with something else in it. Press once more to open another."
	case err != nil:
		d.Wrong[""] = words.Sentence(err.Error())
	}
	return id, err == nil
}

// open writes the customer's card and the job, unless this form has done so.
func (c *Counter) open(r *http.Request, d *newJobPage, card *journal.Card, payload journal.Payload) (journal.JobID, error) {
	sum := sha256.Sum256([]byte(fmt.Sprint(d.Words, d.Terms)))
	if d.Token == "" { // not a form of this page, so nothing is known of it
		d.Token = hex.EncodeToString(sum[:]) + c.Now().Format(time.RFC3339Nano)
	}
	press := draft.Press{Token: d.Token, Content: hex.EncodeToString(sum[:])}
	found := func(since time.Time) (journal.EntryID, bool) { return c.opened(r, payload.(*journal.Job), since) }
	entry, err := c.Drafts.Once(press, found, func() (journal.EntryID, error) {
		id, err := journal.NewJobID(c.Rand)
		if err == nil && card != nil {
			err = newjob.WriteCard(r.Context(), c.Book, *card, c.By(r))
		}
		if err != nil {
			return journal.EntryID{}, err
		}
		e, err := c.Book.Append(r.Context(), journal.Draft{Subject: journal.About(id, "", ""), By: c.By(r), Data: payload})
		if err != nil {
			return journal.EntryID{}, err
		}
		return e.ID, nil
	})
	if err != nil {
		return "", err
	}
	s, err := c.Live.Await(r.Context(), entry)
	if err != nil {
		return "", err
	}
	return s.Line(entry)[0].Subject.Job(), nil
}

// opened looks for a job of the vehicle that was opened here since a time: a
// press may have been cut off after it was written.
func (c *Counter) opened(r *http.Request, job *journal.Job, since time.Time) (journal.EntryID, bool) {
	for _, l := range c.Live.Shop.View(r.Context()).Newest(c.Device, lookedBack) {
		if time.Time(l.Clocks.Device).Before(since) {
			break
		}
		if was, ok := l.Payload.(*journal.Job); ok && was.Vehicle == job.Vehicle {
			return l.ID, true
		}
	}
	return journal.EntryID{}, false
}

// lookedBack is how many entries of the machine are looked through for what a
// press wrote that was cut off.
const lookedBack = 200

// beside is what stands beside the field that a problem is about: what was typed and is not
// readable, or cannot be, says so without the field's name.
func beside(p journal.Problem) string {
	if fieldOf(p.Path) != "" && (p.Code == journal.NotReadable || p.Code == journal.OutOfBounds) {
		return p.Say
	}
	return p.String()
}

// fieldOf is the field of this page that holds a path of the data, "" for what
// is about none of them.
func fieldOf(path string) string {
	name, _, _ := strings.Cut(path, ".")
	switch {
	case name == "corners":
		return "corner"
	case path == "vehicle": // neither VIN nor plate
		return "plate"
	case name == "vehicle":
		return strings.TrimPrefix(path, "vehicle.")
	case name == "odometer", name == "wish", name == "ready", name == "warranty", name == "excludes":
		return name
	default:
		return ""
	}
}
