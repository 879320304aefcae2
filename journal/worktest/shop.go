package worktest

import (
	"cmp"
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/invented"
	"fettlebook/journal/trade/unit"
)

// The people: IO is at the counter, JR and MK are at the benches.
const (
	counter journal.PersonID = "io"
	jr      journal.PersonID = "jr"
	mk      journal.PersonID = "mk"
)

// shop is what the history has come to.
type shop struct {
	turns   int
	groups  int
	opened  int    // lots
	lots    [2]lot // that are open: of the colour that most ask for, and another
	air     int    // °C at the booth today
	cans    int
	fluid   journal.FluidID
	cars    int
	gone    []*car // handed back, the earliest first
	weekday int
	shots   int // photographs of which there are bytes

	castings int
}

// lot is a box of powder.
type lot struct {
	id     journal.LotID
	colour string
}

// q reads a quantity; a wrong one is a mistake in this package.
func q[Q interface{ unit.Of[D] }, D unit.Dimension](text string) Q {
	quantity, err := unit.Parse[Q](text)
	if err != nil {
		panic(err)
	}
	return quantity
}

// says is a payload that is already known.
func says(p journal.Payload) func() (journal.Payload, error) {
	return func() (journal.Payload, error) { return p, nil }
}

// register writes something about a thing of the shop, at the hub.
func (w *work) register(at time.Time, about journal.Subject, p journal.Payload) {
	w.add(&step{at: at, on: Office, by: counter, about: about, data: says(p)})
}

// found writes the register of a new shop, in the hour before the first job.
func (w *work) found(seed string) error {
	at := opening().Add(-time.Hour)
	say := func(about journal.Subject, p journal.Payload) {
		w.register(at, about, p)
		at = at.Add(20 * time.Second)
	}
	hub, err := Key(seed, Office)
	if err != nil {
		return err
	}
	say(journal.Of("shop", string(Shop)), &journal.Shop{Shop: Shop, Name: "Pin Bore Works", LogKey: hub.Verifier(), CosignKey: cmp.Or(w.opts.Cosign, cosignKey)})
	for _, p := range []journal.Person{
		{Person: counter, Initials: "IO", Duties: []journal.Duty{journal.DeskDuty, journal.WaiveDuty, journal.ReleaseDuty}},
		{Person: jr, Initials: "JR", Duties: []journal.Duty{journal.BenchDuty, journal.SecondCheckDuty}},
		{Person: mk, Initials: "MK", Duties: []journal.Duty{journal.BenchDuty, journal.SecondCheckDuty}},
	} {
		say(journal.Of("person", string(p.Person)), &p)
	}
	for _, name := range Tablets() {
		key, err := Key(seed, name)
		if err != nil {
			return err
		}
		invited := new(journal.EntryID)
		w.add(&step{at: at, on: Office, by: counter, about: journal.Of("shop", string(Shop)),
			data: says(&journal.Invitation{Token: journal.Digest{1}, Expires: journal.Stamp(at.Add(time.Hour)), Name: string(name)}), wrote: remember(invited)})
		w.add(&step{at: at.Add(time.Second), on: Office, by: counter, about: journal.Of("device", string(name)), data: func() (journal.Payload, error) {
			return &journal.Device{Device: name, Name: string(name), LogKey: key.Verifier(), ConnectKey: connectKey, Invitation: *invited}, nil
		}})
		at = at.Add(20 * time.Second)
	}
	text, err := card.Supplied(card.Usual)
	if err != nil {
		return err
	}
	say(journal.Of("route", string(card.Usual)), &journal.RouteCard{Route: card.Usual, Edition: 1, Text: text})
	for _, t := range append(invented.Tools(), journal.Tool{Tool: "ov-1", What: journal.Oven}, journal.Tool{Tool: "ov-2", What: journal.Oven},
		journal.Tool{Tool: "cab-1", What: journal.BlastCabinet}, journal.Tool{Tool: "af-1", What: journal.AirFilter}) {
		say(journal.Of("tool", string(t.Tool)), &t)
	}
	for _, s := range invented.Specs() {
		say(journal.Of("spec", string(s.Spec)), &s)
	}
	w.checkTools(at)
	return nil
}

// remember keeps the id of an entry for those that cite it.
func remember(id *journal.EntryID) func(*journal.Entry, []byte) {
	return func(e *journal.Entry, _ []byte) { *id = e.ID }
}

// checkTools writes the yearly check of every gauge and wrench.
func (w *work) checkTools(at time.Time) {
	for i, t := range []journal.ToolID{"tw-1", "tw-2", "tw-3", "fg-1", "tc-1", "tc-2"} {
		w.register(at.Add(time.Duration(i)*30*time.Second), journal.Of("tool", string(t)), &journal.ToolCheck{
			Tool: t, Result: journal.InTolerance, Certificate: fmt.Sprintf("K-%s-%d", t, at.Year()),
			Due: journal.Date(at.AddDate(1, 0, 14).Format(time.DateOnly))})
	}
}

// planDay plans what begins on the next day.
func (w *work) planDay() error {
	morning := w.planned
	w.planned = morning.AddDate(0, 0, 1)
	if day := morning.Weekday(); day == time.Saturday || day == time.Sunday {
		return nil
	}
	w.shop.weekday++
	n := w.shop.weekday
	w.shop.air = 16 + w.dice.IntN(9)
	if n%80 == 1 {
		w.openLot(0, morning.Add(-25*time.Minute), "signal orange", "60 kg")
	}
	if n%10 == 1 {
		w.openLot(1, morning.Add(-20*time.Minute), pick(w, "slate blue", "moss green", "graphite", "oxide red", "plain silver"), "20 kg")
		w.openCan(morning.Add(-15 * time.Minute))
	}
	if n%25 == 1 {
		w.service(morning.Add(-12*time.Minute), &journal.Service{Tool: "cab-1", Done: journal.MediaChanged, Media: "fresh media"})
	}
	if n%60 == 1 {
		w.service(morning.Add(-10*time.Minute), &journal.Service{Tool: "af-1", Done: journal.FilterChanged})
	}
	if n > 1 && n%250 == 1 {
		w.checkTools(morning.Add(-40 * time.Minute))
	}
	for i, name := range Tablets() {
		w.register(morning.Add(-5*time.Minute+time.Duration(i)*time.Second), journal.Of("device", string(name)),
			&journal.ClockReading{Device: name, OffsetMs: w.devices[name].off.Milliseconds() + w.dice.Int64N(40) - 20, RoundTripMs: 4 + w.dice.Int64N(30)})
	}
	if w.dice.IntN(12) == 0 {
		w.cut(Tablets()[w.dice.IntN(3)], morning.Add(time.Duration(w.dice.IntN(240))*time.Minute))
	}
	if w.opts.Large > 0 {
		if n > 1 {
			return nil
		}
		return w.planLarge(morning)
	}
	for _, l := range w.shop.lots {
		if err := w.planGroup(morning, l); err != nil {
			return err
		}
	}
	return nil
}

// cut takes a tablet's network away for some hours.
func (w *work) cut(name journal.DeviceID, at time.Time) {
	d := w.devices[name]
	w.add(&step{at: at, then: func() error { d.offline = true; return nil }})
	w.add(&step{at: at.Add(time.Duration(60+w.dice.IntN(240)) * time.Minute), then: func() error {
		d.offline = false
		w.send(d)
		return nil
	}})
}

// openLot opens a box of powder instead of one that is used up.
func (w *work) openLot(which int, at time.Time, colour, mass string) {
	w.shop.opened++
	l := lot{journal.LotID(fmt.Sprintf("so-%d", 100+w.shop.opened)), colour}
	w.shop.lots[which] = l
	w.add(&step{at: at, on: "counter", by: counter, about: journal.Of("lot", string(l.id)), data: says(&journal.PowderLot{
		Lot: l.id, Chemistry: pick(w, journal.PolyesterHAA, journal.PolyesterTGIC, journal.EpoxyPolyester), Colour: l.colour, Mass: q[unit.Mass](mass),
		Schedule: []journal.BakePoint{{Metal: q[unit.Temperature]("180 °C"), Hold: q[unit.Duration]("20 min")}, {Metal: q[unit.Temperature]("200 °C"), Hold: q[unit.Duration]("10 min")}},
		FilmLow:  q[unit.Length]("60 µm"), FilmHigh: q[unit.Length]("100 µm"), Sheet: "data sheet of the powder, issue 4", Opened: journal.Date(at.Format(time.DateOnly))})})
}

// service plans that something was done to a machine of the shop.
func (w *work) service(at time.Time, s *journal.Service) {
	w.add(&step{at: at, on: "bench-1", by: mk, about: journal.Of("tool", string(s.Tool)), data: says(s)})
}

func (w *work) openCan(at time.Time) {
	w.shop.cans++
	w.shop.fluid = journal.FluidID(fmt.Sprintf("bf-%d", w.shop.cans))
	w.add(&step{at: at, on: "bench-1", by: mk, about: journal.Of("fluid", string(w.shop.fluid)), data: says(&journal.FluidContainer{
		Fluid: w.shop.fluid, Grade: journal.DOT4, Volume: q[unit.Volume]("1 L"), Batch: fmt.Sprint(2200 + w.shop.cans)})})
}

// pick takes one of several.
func pick[T any](w *work, list ...T) T { return list[w.dice.IntN(len(list))] }

// Public keys of nobody: their private halves were thrown away.
const (
	cosignKey  = "fettlebook/k7m2q4xw/hub+f8c8b3a3+AS2t66Y8jqA6iglM+/cf9SK9to/kWF5ZOKQuzBizIkt0"
	connectKey = "UDQQQTGJBZOCDDZ6V2UHNRMTK2CCYYMLL55WPOUKOKLODYZJON6KRUXO"
)
