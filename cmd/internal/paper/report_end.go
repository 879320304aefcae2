package paper

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"time"

	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// lines are the entries of the report by their numbers.
func (r *report) lines() []*record.Line {
	return slices.SortedFunc(maps.Keys(r.numbers), func(a, b *record.Line) int { return cmp.Compare(r.numbers[a], r.numbers[b]) })
}

// clocks sets the clocks of every entry side by side. None is put right by another.
func (r *report) clocks() {
	table := Table{
		Title: "Clocks", Small: true,
		Head:   []string{"Entry", "In the log of", "That device’s clock", "Ahead of the hub’s (+) when last compared", "After the hub’s entry", "Received by the hub, by its own clock"},
		Shares: []float64{0.06, 0.19, 0.23, 0.21, 0.1, 0.23},
	}
	shopOf, in := r.jobs[0].view.Shop, r.jobs[0].writing()
	for _, l := range r.lines() {
		c := l.Clocks
		off := "never compared before"
		if f := shopOf.Founded; f != nil && f.Device == l.Device {
			off = "it is the hub’s clock"
		} else if o := c.Offset; o != nil {
			off = fmt.Sprintf("%s (within %s)", in.Number(o.Clock), in.Number(o.RoundTrip))
		}
		seen, got := "not known", "not yet"
		if c.Seen > 0 {
			seen = fmt.Sprint(c.Seen)
		}
		if !c.Received.IsZero() {
			got = in.Second(time.Time(c.Received)) + " " + words.Zone(time.Time(c.Received))
		}
		table.Rows = append(table.Rows, []Text{
			figure(fmt.Sprint(r.numbers[l])), say(fmt.Sprintf("%s, %d", shopOf.DeviceName(l.Device), l.Index+1)),
			say(in.Second(time.Time(c.Device)) + " " + words.Zone(time.Time(c.Device))), say(off), say(seen), say(got),
		})
	}
	r.add(NewPage{}, Heading{2, "Clocks, side by side"},
		say("A tablet’s clock can be wrong, and nobody has put one right here. Two bounds rest on no tablet’s clock: an entry is younger than the entry of the hub that it was written after, and older than the moment at which the hub received it. What came first follows from what writers had seen, not from clocks."), table)
}

// unproven is what the record does not prove.
func (r *report) unproven() {
	var list List
	for _, t := range r.jobs {
		for _, text := range t.notProven() {
			list = append(list, say(words.Sentence(text)))
		}
	}
	flagged := make(map[record.Flag][]string)
	var unsigned, waiting, dark []string
	for _, l := range r.lines() {
		number := fmt.Sprint(r.numbers[l])
		for _, f := range l.Flags {
			flagged[f] = append(flagged[f], number)
		}
		if l.Clocks.Received.IsZero() {
			unsigned = append(unsigned, number)
		}
		if l.Waits != nil {
			waiting = append(waiting, number)
		}
	}
	for _, p := range r.photos {
		if p.Taken == "" {
			dark = append(dark, fmt.Sprint(p.number))
		}
	}
	of := func(one string, list []string) string {
		return words.Capital(words.Noun(len(list), one)) + " " + words.And(list...) + ": "
	}
	for _, f := range slices.Sorted(maps.Keys(flagged)) {
		list = append(list, say(of("entry", flagged[f])+words.Sentence(f.Sentence())))
	}
	if len(unsigned) > 0 {
		list = append(list, say(of("entry", unsigned)+"the hub’s signature is not here, so it is not known by when it was written."))
	}
	if len(waiting) > 0 {
		list = append(list, say(of("entry", waiting)+"what was written before is not here, so it counts for nothing yet."))
	}
	if len(dark) > 0 {
		list = append(list, say(of("photograph", dark)+"the camera gave no time, so it is not known when the picture was taken, only by when it was here."))
	}
	list = append(list,
		say("That what somebody wrote is true. The signatures show that it was written then and is unchanged since."),
		say("Who stood at a tablet. Initials are chosen by a tap; what is proven is which tablet wrote."),
		say("That a part is cured. “Schedule met” means that a probe showed the time at metal temperature that the powder’s sheet asks for, where the probe was."),
	)
	r.add(Heading{2, "What is not proven"}, list)
}

// notProven are the statements of a job that say so themselves.
func (t *told) notProven() (says []string) {
	for _, v := range t.Verdicts.List {
		for _, s := range v.Statements {
			if s.Sure != facts.NotProven && s.Sure != facts.AtMost && s.Met != facts.NotKnown || s.Sure == facts.NotYet {
				continue
			}
			text := t.thing(s.About) + ": " + s.Say()
			if !slices.Contains(says, text) {
				says = append(says, text)
			}
		}
	}
	return says
}
