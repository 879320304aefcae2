package route

import (
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/order"
	"fettlebook/journal/record"
)

// InDoubt is the state of a hold point that is met, or not, by the order of
// two entries whose writers knew nothing of each other.
const InDoubt State = "in doubt"

// Late has the hold points judged in other orders that are as true too
// (record.Book.Lates), for each the same job held against the same card. What
// is met, or broken, in one of them only is in doubt. Of the others nothing is
// put in words: they are for nothing else from here on.
func (c *Held) Late(others ...*Held) {
	for _, o := range others {
		o.silent = true
	}
	c.late = append(c.late, others...)
}

// doubts looks whether a hold stands otherwise in another order.
func (c *Held) doubts(v *Verdict, p point) {
	if v.State != Met && v.State != Broken {
		return
	}
	for _, other := range c.late {
		if o := other.verdict(p); o != nil && v.contradicts(o) {
			v.doubt(c.stock.Shop(), o)
			return
		}
	}
}

// verdict returns how a hold point stands, nil if it does not concern what it
// is about or there is no such thing.
func (c *Held) verdict(p point) *Verdict {
	if at := c.site(p.about); at != nil {
		return c.judge(p, at)
	}
	return nil
}

// site returns the facts of a thing of the job; nil if there is no such thing.
func (c *Held) site(of journal.Subject) *facts.Site {
	if c.job == nil {
		return nil
	}
	for _, list := range [][]*facts.Site{{c.job.Vehicle}, c.job.Corners, c.job.Parts} {
		for _, at := range list {
			if at.Subject == of {
				return at
			}
		}
	}
	return nil
}

// contradicts reports whether a hold is met by one verdict only. What was
// waived needs no order.
func (v *Verdict) contradicts(o *Verdict) bool {
	return v.State == Met && o.State != Met && o.State != Waived || v.State == Broken && o.State == Met
}

// doubt has a verdict say whose order is not known. The entry that takes
// away what was there is one of the two, if either verdict names it.
func (v *Verdict) doubt(shop *record.Shop, o *Verdict) {
	v.State, v.Undone = InDoubt, journal.EntryID{}
	all := lines(shop, slices.Concat(v.Entries, o.Entries, []journal.EntryID{o.Undone})...)
	v.say("", "the order of two entries that it rests on is not known; do the later work again")
	first, then := strangers(all, lines(shop, o.Undone))
	if job := shop.Job(v.Subject.Job()); first == nil && job != nil { // neither verdict names it
		rest := slices.SortedFunc(slices.Values(slices.Concat(all, job.Timeline())), facts.Compare)
		first, then = strangers(slices.Compact(rest), all)
	}
	if first == nil {
		return
	}
	v.Doubtful = []journal.EntryID{first.ID, then.ID}
	settled := "do the later work again, or let whoever did one of the two say which was first"
	for _, l := range []*record.Line{first, then} {
		if l.Kind.Is(journal.ChecksBrakes) {
			v.Again, settled = l.ID, "do the check again"
		}
	}
	v.say("", fmt.Sprintf("it is not known which was first: %s, or %s. Neither tablet had seen the other’s entry; %s.", shortly(shop, first), shortly(shop, then), settled))
}

// lines returns the lines of entries in the order of replay, each once.
func lines(shop *record.Shop, ids ...journal.EntryID) (list []*record.Line) {
	for _, id := range ids {
		if !id.IsZero() {
			list = append(list, shop.Line(id)...)
		}
	}
	slices.SortFunc(list, facts.Compare)
	return slices.Compact(list)
}

// strangers returns the last two lines that do not know each other, one of
// them among the wanted ones if there are such.
func strangers(all, wanted []*record.Line) (first, then *record.Line) {
	for _, b := range slices.Backward(all) {
		for _, a := range slices.Backward(all) {
			known := a == b || a.Relation(b) != order.Unknown || facts.Compare(a, b) > 0
			if !known && (len(wanted) == 0 || slices.Contains(wanted, a) || slices.Contains(wanted, b)) {
				return a, b
			}
		}
	}
	if len(wanted) > 0 {
		return strangers(all, nil)
	}
	return nil, nil
}

// shortly names an entry: "the line was opened (by MK on 3 May 2026 14:18 UTC+02:00, on
// tablet bench 2)".
func shortly(shop *record.Shop, l *record.Line) string {
	return fmt.Sprintf("%s (by %s on %s, on %s)", l.About, shop.Initials(l.By), l.Clocks.Device.Said(shop.Writing()), shop.DeviceName(l.Device))
}
