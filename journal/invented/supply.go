package invented

import (
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// register writes who and what is in the shop.
func (w *writing) register() {
	at := w.opened()
	say := func(about journal.Subject, p journal.Payload) {
		w.say(at, Office, desk, about, p)
		at = at.Add(20 * time.Second)
	}
	for _, p := range []journal.Person{
		{Person: desk, Initials: "IO", Duties: []journal.Duty{journal.DeskDuty, journal.WaiveDuty, journal.ReleaseDuty, journal.BenchDuty}},
		{Person: first, Initials: "MO", Duties: []journal.Duty{journal.BenchDuty, journal.SecondCheckDuty}},
		{Person: second, Initials: "TY", Duties: []journal.Duty{journal.BenchDuty, journal.SecondCheckDuty}},
	} {
		say(journal.Of("person", string(p.Person)), &p)
	}
	for _, t := range append(Tools(), machines()...) {
		say(journal.Of("tool", string(t.Tool)), &t)
	}
	for _, s := range Specs() {
		say(journal.Of("spec", string(s.Spec)), &s)
	}
	for _, t := range Tools() {
		// A wrench's uses run out before its year does.
		for from := w.opened(); from.Before(w.plan.end()); from = from.AddDate(0, 0, 100) {
			w.say(from.Add(time.Hour), Counter, desk, journal.Of("tool", string(t.Tool)), &journal.ToolCheck{
				Tool: t.Tool, Result: journal.InTolerance, Certificate: fmt.Sprintf("K-%s-%s", t.Tool, from.Format("0601")), Due: journal.Date(from.AddDate(1, 0, 14).Format(time.DateOnly))})
		}
	}
}

// machines are what parts go through, and where their air comes from.
func machines() []journal.Tool {
	return []journal.Tool{
		{Tool: "oven-1", What: journal.Oven}, {Tool: "oven-2", What: journal.Oven},
		{Tool: "cab-1", What: journal.BlastCabinet}, {Tool: "af-1", What: journal.AirFilter},
	}
}

// end is the day after the last that was planned for.
func (p *Plan) end() time.Time { return p.Begun.AddDate(0, 0, p.Days) }

// supplies writes what came in and what was serviced.
func (w *writing) supplies() {
	for _, lot := range w.plan.Lots {
		w.say(lot.Opened.Add(-40*time.Minute), Counter, desk, journal.Of("lot", string(lot.ID)), &journal.PowderLot{
			Lot: lot.ID, Chemistry: lot.Chemistry, Colour: lot.Colour, Mass: q[unit.Mass]("20 kg"), Schedule: sheet(),
			FilmLow: q[unit.Length]("60 µm"), FilmHigh: q[unit.Length]("100 µm"), Sheet: "data sheet of the powder, issue 4", Opened: journal.Date(lot.Opened.Format(time.DateOnly))})
	}
	for at := w.plan.Begun.Add(-30 * time.Minute); at.Before(w.plan.last()); at = at.AddDate(0, 0, canLasts) {
		can := w.can(at)
		w.say(at, Counter, desk, journal.Of("fluid", string(can)), &journal.FluidContainer{
			Fluid: can, Grade: journal.DOT4, Volume: q[unit.Volume]("1 L"), Batch: fmt.Sprint(2200 + number(at, w.plan.Begun))})
	}
	for _, at := range w.plan.MediaChanged {
		w.say(at, Booth, first, "tool/cab-1", &journal.Service{Tool: "cab-1", Done: journal.MediaChanged, Media: "fresh media"})
	}
	for _, at := range w.plan.FilterChanged {
		w.say(at, Booth, first, "tool/af-1", &journal.Service{Tool: "af-1", Done: journal.FilterChanged})
	}
}

// canLasts is after how many days the next can of fluid is opened.
const canLasts = 10

// can is the can of fluid that is open on a day.
func (w *writing) can(at time.Time) journal.FluidID {
	return journal.FluidID(fmt.Sprintf("bf-%03d", 1+number(at, w.plan.Begun)))
}

// number is that of the can which is open on a day, from 0.
func number(at, begun time.Time) int { return max(0, days(begun.Add(-30*time.Minute), at)/canLasts) }
