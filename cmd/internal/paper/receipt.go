package paper

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/shop"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// ErrNotHandedBack is returned when there is nothing to give a receipt for yet.
var ErrNotHandedBack = errors.New("this vehicle was not handed back yet; the receipt is written at handover")

// sheets is on how many pages a receipt should fit: both sides of one sheet.
const sheets = 2

// NewReceipt writes what the customer is given at handover: what was done and what
// shows it, what was not as it should be, what to do and when, and the seal.
func NewReceipt(ctx context.Context, v *shop.View, st *shop.Standing, a Asked) (*Document, error) {
	j := st.Job
	if j.Released == nil {
		return nil, ErrNotHandedBack
	}
	t := tell(ctx, v, st, a)
	t.replaces = t.replacements()
	if t.held != nil && t.held.State == shop.SealBroken {
		return nil, &SealBroken{t.held.Says()}
	}
	d := &Document{
		Title: "Receipt: " + j.Name() + ", job " + string(j.ID), By: v.Shop.Name, Dated: time.Time(j.Released.Clocks.Device), Most: sheets,
		Running: words.Commas(v.Shop.Name, j.Name(), "job "+string(j.ID), "handed back on "+t.day(j.Released.Clocks.Device)),
	}
	d.add(Head{v.Shop.Name, j.Name(), []string{"handed back on", j.Released.Clocks.Device.Said(t.writing())}},
		Heading{1, "What was done on your vehicle, and how we know"}, t.vehicle())
	if j.Stated != nil && j.Stated.Wish != "" {
		d.add(Text{{"You asked for: ", Bold}, {words.Sentence(j.Stated.Wish), Plain}})
	}
	if done := t.done(); done != nil {
		d.add(done)
	}
	pairs, err := t.beforeAndAfter()
	if err != nil {
		return nil, err
	}
	d.add(pairs...)
	if list := t.joints(); len(list) > 0 {
		d.add(t.jointTable(list)...)
	}
	d.add(t.findings())
	if t.baked() {
		d.add(Fine{say("The schedule is the time at metal temperature that the powder’s data sheet asks for. How often it was met is what a probe showed; it is not a degree of cure.")})
	}
	if list := t.amiss(); len(list) > 0 {
		d.add(Together{Heading{2, "Not met, waived or not known"}, list})
	}
	if boxes := t.boxes(); len(boxes) > 0 {
		d.add(Together{Heading{2, "What to do, and when"}, boxes})
	}
	if list := t.open(); len(list) > 0 {
		d.add(Together{Heading{2, "Still open"}, list})
	}
	d.add(t.terms()...)
	d.add(t.seal()...)
	return d, v.Err()
}

// vehicle says which vehicle it was, as it was handed back.
func (t *told) vehicle() Text {
	odometer := t.Job.Odometer
	if r, ok := t.Job.Released.Effect().(*journal.Release); ok && !r.Odometer.IsZero() {
		odometer = r.Odometer
	}
	read := ""
	if !odometer.IsZero() {
		read = "odometer " + t.writing().Number(unit.Typed(odometer, t.Stock.Units().Distance, 0))
	}
	return say(words.Commas(vehicle(t.Job), read, "job "+string(t.Job.ID)) + ".")
}

// step is what an entry of a kind says that was done to a part.
type step struct {
	kind journal.Kind
	done string
}

// steps are in the order in which they are told.
func steps() []step {
	return []step{
		{journal.PartRemoved, "taken off"}, {journal.PartStripped, "taken apart"}, {journal.PartDegreased, "degreased"}, {journal.PartBlasted, "blasted"},
		{journal.BoreMasked, "masked"}, {journal.PartSoaked, "heated to drive out gas"}, {journal.PowderApplied, "powder coated"}, {journal.CureCompleted, "baked"},
		{journal.PartRebuilt, "rebuilt"}, {journal.PartRefitted, "refitted"},
	}
}

// done says in plain words what was done, by the entries that count; nil of nothing.
func (t *told) done() (text Text) {
	var list []same
	for _, p := range t.parts() {
		seen := make(map[journal.Kind]bool)
		for _, e := range p.Events() {
			seen[e.Data.Kind()] = true
		}
		var done []string
		for _, s := range steps() {
			if seen[s.kind] {
				done = append(done, s.done+words.If(s.kind == journal.PowderApplied, words.Fill(" in %s", t.colour(p))))
			}
		}
		if len(done) > 0 {
			list = gather(list, words.And(done...), p.Subject)
		}
	}
	for i, one := range list {
		text = text.then(Run{Text: words.If(i > 0, " ") + fmt.Sprintf("The %s %s %s.", t.things(one.of), words.Choose(len(one.of) == 1, "was", "were"), one.says)})
	}
	return text
}

// colour is what the powder on a part is called.
func (t *told) colour(p *facts.Site) string {
	var list []string
	for _, e := range p.Events() {
		if d, ok := e.Data.(*journal.Coating); ok {
			if lot, _ := t.Stock.Lot(d.Lot); lot != nil && !slices.Contains(list, lot.Colour) {
				list = append(list, lot.Colour)
			}
		}
	}
	return words.And(list...)
}

// terms are what was agreed, and the card that the work was measured by.
func (t *told) terms() (list []Block) {
	var pairs Pairs
	row := func(name string, text Text) {
		if text.plain() != "" {
			pairs = append(pairs, Pair{name, text})
		}
	}
	if w := t.Job.Warranty; w != nil {
		row("Warranty", say(words.Sentence(w.String())))
		if !w.Terms.IsZero() {
			row("Its terms", figure(w.Terms.String()))
		}
	}
	if j := t.Job.Stated; j != nil && !j.Terms.IsZero() {
		row("Terms that you accepted", figure(j.Terms.String()))
	}
	if r, ok := t.Job.Released.Effect().(*journal.Release); ok {
		row("Sheet handed over", say(r.Sheet))
	}
	if t.Card != nil {
		row("Measured by", say(fmt.Sprintf("%s, edition %d of the route card “%s”.", t.Card.Title, t.Card.Edition, t.Card.Name)))
	}
	if t.Job.Erased {
		row("Customer", say("Your details were erased at your wish. The record never held them, only a fingerprint."))
	}
	if len(pairs) > 0 {
		list = append(list, pairs)
	}
	return list
}
