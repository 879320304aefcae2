package invented

import (
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/trade/unit"
)

// job writes a car's way through the shop, and what was heard of it after.
func (w *writing) job(j *Job) error {
	by, _ := j.bench()
	at := j.opened()
	if err := w.open(j, at); err != nil {
		return err
	}
	at = at.Add(time.Hour)
	b := &Bench{Job: j.ID, Corners: j.Corners(), Fluid: w.can(j.Back), Small: map[journal.PersonID]journal.ToolID{first: "tw-2", second: "tw-3"}[by], Dice: w.dice,
		Shots: func(int, string) journal.Evidence { return journal.Evidence{} },
		Then: func(about journal.Subject, p journal.Payload) {
			w.beside(w.say(at, Booth, by, about, p), j, p)
			at = at.Add(2 * time.Minute)
		}}
	bare := make(map[journal.Subject]*Coat)
	for _, c := range j.Coats {
		bare[c.Part()] = c // of a part with two coats either says the same of the casting
	}
	b.TakeOff(func(p journal.Subject) *journal.Removal {
		return &journal.Removal{Condition: "rust on the outside", Supplied: bare[p] != nil && bare[p].Brought}
	}, func(p journal.Subject, i int) *journal.Tagging {
		c := bare[p]
		if c == nil { // it goes back without a coat
			return &journal.Tagging{Tag: fmt.Sprintf("%s-%d", p.Corner(), i), Metal: journal.MetalNotKnown}
		}
		return &journal.Tagging{Tag: fmt.Sprintf("%s-%d", c.Corner, i), Number: c.Casting, Pattern: c.Pattern, Metal: c.Metal}
	})
	for _, c := range j.Coats {
		if c.Number == 1 {
			b.Then(c.Part(), MakeUp(c.Part().Part()))
		}
	}
	for _, c := range j.Coats {
		w.coat(c)
	}
	at = j.Back.Add(-4 * time.Hour)
	b.PutBack()
	w.waive(j)
	w.handOver(j)
	w.after(j)
	return nil
}

// open writes what is written at the counter when a car comes.
func (w *writing) open(j *Job, at time.Time) error {
	name, err := journal.NewCardID(w.rand)
	if err != nil {
		return err
	}
	customer, err := journal.NewCard(name, journal.Details{
		Name:    pick(w.dice, "Wilma", "Odo", "Tessa", "Bran", "Ilse", "Jory") + " " + pick(w.dice, "Tarn", "Quill", "Marrow", "Fenn", "Ashby", "Holt"),
		Phone:   fmt.Sprintf("00 555 %04d", w.dice.IntN(10000)),
		Address: fmt.Sprintf("%d Candle Row", 1+w.dice.IntN(90)),
	}, w.rand)
	if err != nil {
		return err
	}
	commitment, err := customer.Commitment()
	if err != nil {
		return err
	}
	written := w.say(at, Counter, desk, journal.Of("card", string(name)), &journal.CardWriting{Card: name, Commitment: commitment})
	written.Card = &customer
	written.Wrote = func(id journal.EntryID) { customer.Written = id }
	about := journal.About(j.ID, "", "")
	vehicle := Vehicle(j.Number)
	vehicle.Looks = pick(w.dice, "moss-green estate", "grey two-door", "white van", "blue hatchback", "black saloon")
	km := q[unit.Distance](fmt.Sprintf("%d km", 20000+137*j.Number))
	w.say(at.Add(time.Minute), Counter, desk, about, &journal.Job{Vehicle: vehicle, Odometer: km, Customer: &journal.Citation{Card: name, Commitment: commitment}, Corners: j.Corners(),
		Wish: "Calipers and brackets in " + j.Coats[0].Lot.Colour + "; pads and discs stay.", Route: card.Usual, Edition: j.Card})
	came := w.say(at.Add(5*time.Minute), Counter, desk, about, &journal.Arrival{Odometer: km, Agreed: true, Found: []string{"rust on the outside"}})
	w.shoot(came, Shot{Shows: CameIn, Role: "as it came in"}, vehicle.Plate)
	by, _ := j.bench()
	w.say(at.Add(10*time.Minute), Booth, by, about, &journal.Raising{Points: "sills, rubber pads on the seams", Stands: 2 * j.axles()})
	return nil
}

// handOver writes that the car was driven, looked at and handed back.
func (w *writing) handOver(j *Job) {
	about := journal.About(j.ID, "", "")
	_, looks := j.bench()
	var road journal.EntryID
	w.say(j.Back.Add(-30*time.Minute), Counter, desk, about, &journal.RoadTest{Distance: q[unit.Distance]("6 km"), Result: "brakes straight, no noise, pedal firm"}).Wrote = func(id journal.EntryID) { road = id }
	w.say(j.Back.Add(-25*time.Minute), Booth, looks, about, nil).Data = func() (journal.Payload, error) {
		return &journal.SecondCheck{Of: road, Finds: journal.FoundRight}, nil
	}
	w.say(j.Back, Counter, desk, about, &journal.Release{Odometer: q[unit.Distance](fmt.Sprintf("%d km", 20006+137*j.Number)), Told: []string{"wheel nuts again after 50 km", "pads need bedding in"}})
}

// after writes what was heard of the car, an hour after so many days: what
// showed late, and the complaint about it.
func (w *writing) after(j *Job) {
	about := journal.About(j.ID, "", "")
	looks := "sound"
	for _, c := range j.Coats {
		if c.LateDays == 0 {
			continue
		}
		looks = "damaged"
		at := j.days(c.LateDays)
		var claim journal.EntryID
		w.say(at.Add(-10*time.Minute), Counter, desk, about, &journal.Claim{Says: "there are specks in the coat"}).Wrote = func(id journal.EntryID) { claim = id }
		w.defect(c, at, first)
		w.say(at.Add(30*time.Minute), Counter, desk, about, nil).Data = func() (journal.Payload, error) {
			return &journal.ClaimDecision{Of: claim, Decision: journal.PutRight, Reason: "within the warranty"}, nil
		}
	}
	w.say(j.Back.AddDate(0, 0, 9), Counter, desk, about, &journal.Retorque{Torque: q[unit.Torque]("120 N.m"), Tool: "tw-1"})
	if j.Heard == 0 {
		w.say(j.days(1), Counter, desk, about, &journal.Contact{How: journal.ByTelephone, About: "fluid at the joints", Reached: false})
		return
	}
	w.say(j.days(1), Counter, desk, about, &journal.Contact{How: journal.ByTelephone, About: "fluid at the joints", Reached: true, Answer: "dry"})
	w.say(j.days(j.Heard), Counter, desk, about, &journal.Contact{How: journal.ByTelephone, About: "how the coat looks", Reached: true, Answer: looks})
}
