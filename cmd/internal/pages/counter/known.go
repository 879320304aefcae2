package counter

import (
	"cmp"
	"net/http"
	"slices"
	"strings"
	"time"

	"fettlebook/cmd/internal/newjob"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

// known is what is on record of a vehicle that comes in, as far as it can be told from
// what is typed.
type known struct {
	Vehicles  []offer // that fit the VIN or the plate
	Customers []offer // and that only fit the customer's name
	Jobs      string  // how many the vehicle had, if there is no doubt which one it is
	Last      string  // and what its odometer showed last
	Put       string  // as it was typed then
}

// offer is a vehicle that can be taken over in one press, with its customer.
type offer struct {
	Key   record.Key
	Name  string // its plate; "" where only its VIN is known
	Looks string
	Says  []string
	Job   journal.JobID // that is open; "" if none is
}

// know finds what is on record of what is typed. What would change nothing any more is not
// offered.
func (c *Counter) know(s *live.Snapshot, d *newJobPage) {
	d.ReadyOn = journal.Date(d.Words.Ready).Weekday(s.Shop.Writing())
	list := c.returning(s, &d.Words)
	for _, r := range list {
		after := d.Words
		if !take(&after, r) {
			continue
		}
		if r.Fits == shop.SameCustomer {
			d.Known.Customers = append(d.Known.Customers, offered(r))
		} else {
			d.Known.Vehicles = append(d.Known.Vehicles, offered(r))
		}
	}
	sure := slices.DeleteFunc(list, func(r shop.Returning) bool { return !certain(r, list) })
	if len(sure) != 1 {
		return
	}
	d.Known.Jobs = words.Either(len(sure[0].Jobs), "job of this vehicle is", "jobs of this vehicle are") + " on record"
	if read := sure[0].Read; read.Line != nil {
		d.Known.Last, d.Known.Put = odometerOn(read), read.Odometer.String()
	}
}

// certain reports whether a vehicle is the one that is typed: by its VIN, or by its plate
// where no VIN tells otherwise.
func certain(r shop.Returning, all []shop.Returning) bool {
	is := func(fits shop.Fit) bool {
		return slices.ContainsFunc(all, func(o shop.Returning) bool { return o.Fits == fits })
	}
	return r.Fits == shop.SameVIN || r.Fits == shop.SamePlate && !is(shop.SameVIN) && !is(shop.NearVIN)
}

func (c *Counter) returning(s *live.Snapshot, w *newjob.Words) []shop.Returning {
	return s.Returning(journal.Vehicle{VIN: w.VIN, Plate: w.Plate}, w.Customer.Name, c.Cards)
}

// takeOver takes over the vehicle of a key that is offered.
func (c *Counter) takeOver(r *http.Request, w *newjob.Words, key string) (taken bool) {
	for _, one := range c.returning(c.Live.View(r.Context()), w) {
		if string(one.Key) == key {
			take(w, one)
			return true
		}
	}
	return false
}

// take fills in what is on record of a vehicle and its customer, and reports whether that
// changes anything. What was typed goes before it: a car may have another plate by now, and
// another owner. A VIN with a slip is put right.
func take(w *newjob.Words, r shop.Returning) (changed bool) {
	was := w.Customer
	put := func(into *string, is string, over bool) {
		if is != "" && *into != is && (*into == "" || over) {
			*into, changed = is, true
		}
	}
	put(&w.VIN, r.VIN, r.Fits == shop.NearVIN)
	put(&w.Plate, newest(r.Plates), false)
	put(&w.Looks, newest(r.Looks), false)
	if r.Card.Card == "" || !shop.HasName(r.Card.Details.Name, was.Name) {
		return changed
	}
	put(&w.Customer.Name, r.Card.Details.Name, true)
	put(&w.Customer.Phone, r.Card.Details.Phone, false)
	put(&w.Customer.Mail, r.Card.Details.Mail, false)
	put(&w.Customer.Address, r.Card.Details.Address, false)
	w.Known = r.Card
	return changed
}

func newest(list []string) string {
	if len(list) == 0 {
		return ""
	}
	return list[len(list)-1]
}

// offered says of a vehicle why it is offered, when it was here last, whose it was, and what
// its odometer showed.
func offered(r shop.Returning) offer {
	o := offer{Key: r.Key, Name: newest(r.Plates), Looks: newest(r.Looks)}
	switch r.Fits {
	case shop.SameVIN:
		o.Says = append(o.Says, "This VIN is on record.")
	case shop.NearVIN:
		o.Says = append(o.Says, "A VIN on record is almost the same: "+r.VIN+". Compare every character.")
	case shop.SamePlate:
		o.Says = append(o.Says, "This plate is on record.")
	}
	o.Says = append(o.Says, "Here last on "+r.Last.Units().Writing.Day(time.Time(r.Last.Opened.Clocks.Device))+".")
	switch {
	case r.Erased:
		o.Says = append(o.Says, "The customer’s card was erased.")
	case r.Card.Card != "":
		o.Says = append(o.Says, "Customer: "+strings.TrimSuffix(r.Card.Details.Name, ".")+".")
	}
	if r.Read.Line != nil {
		o.Says = append(o.Says, "Odometer: "+odometerOn(r.Read)+".")
	}
	for _, note := range r.Notes {
		o.Says = append(o.Says, words.Sentence(note))
	}
	if r.Last.State == record.Open {
		o.Job = r.Last.ID
	}
	return o
}

// odometerOn is a reading with the day on which it was taken.
func odometerOn(r record.Reading) string {
	w := r.Line.Writing()
	return r.Odometer.Written(w) + " on " + w.Day(time.Time(r.Line.Clocks.Device))
}

// Called is what the vehicle is called, for who does not see the row that it stands in.
func (o offer) Called() string { return cmp.Or(o.Name, o.Looks, string(o.Key)) }
