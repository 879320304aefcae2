package record

import (
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

// line writes one line: the device's clock, the stamp, what was stated.
func (t *sheet) line(indent int, l *Line) {
	t.dated(indent, l)
	label := stamped(l.Clocks.Device, words.OneLine(t.initials(l.By)))
	said := t.says(l)
	if l.Struck != nil {
		said = "~~" + said + "~~"
	}
	t.hang(indent, label, said+" "+photographs(l.Photos)+" "+t.marks(l))
	under := indent + utf8.RuneCountInString(label)
	if l.Struck == nil {
		t.beside(under, l)
	}
	if came := t.jobs[0].shop.Came(l); came != "" {
		t.hang(under, "", words.OneLine(came))
	}
	if s := l.Struck; s != nil {
		t.put(under, fmt.Sprintf("struck out %s %s: %s", t.when(s.Time), t.initials(s.By), s.Reason))
		switch now := l.Now(); {
		case now != "":
			t.hang(under, "now ", now)
		case len(s.Replacement) > 0:
			t.hang(under, "instead, but not readable: ", shortened(string(s.Replacement)))
		}
		t.beside(under, l) // of what stands instead
	}
	if t.o.Clocks {
		t.hang(under, "clocks: ", t.clocks(l))
	}
	if t.o.IDs && !l.ID.IsZero() {
		t.put(under, "id "+l.ID.String())
	}
}

// says is what a line states, with the entries of which it speaks. Of a second
// look that is whose work was looked at: nothing beside the line says it again.
func (t *sheet) says(l *Line) string {
	if d, ok := l.Payload.(*journal.SecondCheck); ok {
		if of := t.find(d.Of); of != nil && of.Kind.Work() != "" {
			what := fmt.Sprintf("checked the %s%s of %s by %s (entry %d)", of.Kind.Work(), words.Fill(" at %s", of.Subject.Within()), t.when(of.Clocks.Device), t.initials(of.By), of.Index+1)
			return withNote(d.Checked(what), l.Data)
		}
	}
	return l.Says() + t.cites(l.Payload)
}

// beside writes what makes a line proof, and what it amounts to.
func (t *sheet) beside(indent int, l *Line) {
	if l.Beside != nil {
		for _, clause := range l.Beside.Says {
			t.hang(indent, "– ", clause)
		}
	}
}

// stamped begins a line with its time of day and the stamp of a person.
func stamped(s journal.Stamp, initials string) string {
	return fmt.Sprintf("%s  %-3s  ", clock(s), initials)
}

// cites says of which entries a payload speaks, if it speaks of any.
func (t *sheet) cites(p journal.Payload) string {
	var times []string
	of := journal.CitedEntries(p)
	for _, id := range of {
		if l := t.find(id); l != nil {
			times = append(times, t.when(l.Clocks.Device))
		}
	}
	switch {
	case len(of) == 0:
		return ""
	case len(times) < len(of):
		return " (an entry that is not here yet)"
	case len(times) == 1:
		return fmt.Sprintf(" (the entry of %s)", times[0])
	default:
		return fmt.Sprintf(" (the entries of %s)", words.And(times...))
	}
}

// find returns a line with an id; of several, the first.
func (t *sheet) find(id journal.EntryID) *Line {
	for _, j := range t.jobs {
		for _, l := range j.shop.Line(id) {
			return l
		}
	}
	return nil
}

func (t *sheet) initials(id journal.PersonID) string { return t.jobs[0].shop.Initials(id) }

// dated writes the day above a line if it is another than above the last.
func (t *sheet) dated(indent int, l *Line) {
	if day := t.dayOf(l.Clocks.Device); day != t.day {
		t.day = day
		t.put(indent, day)
	}
}

// marks writes the flags in words.
func (t *sheet) marks(l *Line) string {
	var said []string
	for _, f := range l.Flags {
		t.told[f] = true
		said = append(said, "["+string(f)+"]")
	}
	if l.Waits != nil {
		said = append(said, l.Waits.Sentence())
	}
	return strings.Join(said, " ")
}

// photographs counts the photos and names what they show.
func photographs(photos []Photo) string {
	if len(photos) == 0 {
		return ""
	}
	var roles []string
	withdrawn := 0
	for _, p := range photos {
		roles = append(roles, p.Role)
		if !p.Withdrawn.IsZero() {
			withdrawn++
		}
	}
	return "(" + words.Clauses(words.Count(len(photos), "photograph")+words.Fill(": %s", words.Commas(roles...)), words.If(withdrawn > 0, fmt.Sprintf("%d withdrawn", withdrawn))) + ")"
}

// clocks writes every clock of a line, none put right by another.
func (t *sheet) clocks(l *Line) string {
	c := l.Clocks
	said := []string{"device " + c.Device.String()}
	if o := c.Offset; o != nil {
		said = append(said, fmt.Sprintf("%s against the hub’s when last compared (round trip %s)", t.writing().Number(o.Clock), t.writing().Number(o.RoundTrip)))
	} else {
		said = append(said, "never compared with the hub’s before")
	}
	if up, err := c.Uptime.MarshalText(); err == nil {
		said = append(said, fmt.Sprintf("running %s s since start %s", t.writing().Number(string(up)), c.Boot))
	}
	if c.Seen > 0 {
		said = append(said, fmt.Sprintf("written after entry %d of the hub", c.Seen))
	}
	if t.o.Receipts {
		said = append(said, words.Choose(c.Received.IsZero(), "not yet received by the hub as far as is known here", "received by the hub "+c.Received.String()))
	}
	for _, p := range l.Photos {
		if p.Taken != "" {
			said = append(said, "camera "+string(p.Taken))
		}
	}
	return words.Clauses(said...)
}

// when writes a time of day, with its day if that is not the one above.
func (t *sheet) when(s journal.Stamp) string {
	if t.dayOf(s) != t.day {
		return s.Said(t.writing())
	}
	return clock(s)
}

func clock(s journal.Stamp) string { return words.Clock(time.Time(s)) }

// dayOf is the day with the zone of the clock: the paper may leave the shop.
func (t *sheet) dayOf(s journal.Stamp) string {
	return t.writing().Day(time.Time(s)) + ", " + words.Zone(time.Time(s))
}

// writing is how the shop writes numbers and days.
func (t *sheet) writing() words.Writing { return t.jobs[0].shop.Writing() }
