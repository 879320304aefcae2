package readonly

import (
	"cmp"
	"fmt"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// Line is one entry as a line of what happened.
type Line struct {
	Path      string
	Time, Hub string      // "11:31", "hub 17:40"
	By        string      // initials
	Place     string      // "RF caliper"
	Says      []pages.Bit // as written
	Struck    bool
	Now       []pages.Bit // what stands instead of a struck line, if anything does
	Strike    string      // who struck it, when and why
	Cites     []Link      // the entries that it is about
	Photos    []Snap
	Flags     []string // a sentence each
	After     bool     // added after handover
	day       string
}

// Snap is a photograph of an entry.
type Snap struct {
	Path        string // of its own page
	Thumb       string
	Shows       string
	Place, When string
	Withdrawn   bool
	On          bool // of several: the one that is looked at
}

// NewLine makes a line of an entry.
func NewLine(l *record.Line, snap *live.Snapshot) Line {
	at := time.Time(l.Clocks.Device)
	v := Line{
		Path: EntryPath(l.ID), Time: words.Clock(at), day: dayOf(l), Hub: received(l, snap),
		By: snap.Initials(l.By), Place: words.Capital(pages.Place(l.Subject)), Says: pages.Bits(words.Capital(l.Says())),
		Cites: cites(l, snap), Photos: snaps(l), Flags: flags(l, snap), After: l.Has(record.AfterHandover),
	}
	if l.Kind == "" {
		v.Path, v.Place = "", "Bytes that are not an entry"
	}
	if l.Struck != nil {
		v.Struck, v.Now, v.Strike = true, pages.Bits(words.Capital(l.Now())), strike(l.Struck, at, snap)
	}
	return v
}

// Dated makes a line that stands alone, under no day.
func Dated(l *record.Line, snap *live.Snapshot) Line {
	v := NewLine(l, snap)
	v.Time = l.Writing().Day(time.Time(l.Clocks.Device))
	return v
}

// strike says who struck a line through, when and why.
func strike(s *record.Strike, entry time.Time, snap *live.Snapshot) string {
	at := time.Time(s.Time)
	when := words.Clock
	if at.Format(time.DateOnly) != entry.Format(time.DateOnly) {
		when = words.Moment
	}
	verb := "corrected"
	if len(s.Replacement) == 0 {
		verb = "struck out"
	}
	return fmt.Sprintf("%s %s by %s: %s", verb, when(at), snap.Initials(s.By), s.Reason)
}

// flags says what is odd about a line, and first where it was taken over from.
// That it came after handover is marked on the line itself.
func flags(l *record.Line, snap *live.Snapshot) []string {
	var list []string
	if came := snap.Shop.Came(l); came != "" {
		list = append(list, words.Sentence(came))
	}
	for _, f := range l.Flags {
		if f != record.AfterHandover {
			list = append(list, words.Sentence(f.Sentence()))
		}
	}
	return list
}

// cites are links to the entries that a line is about. Of a word on an order
// the one that was done first comes first.
func cites(l *record.Line, snap *live.Snapshot) (list []Link) {
	_, ordered := l.Payload.(*journal.OrderStatement)
	for i, id := range journal.CitedEntries(l.Payload) {
		link := CiteEntry(id, snap)
		if ordered {
			link.Say = []string{"first: ", "then: "}[i] + link.Say
		}
		list = append(list, link)
	}
	return list
}

// CiteEntry is a link to an entry: its place, when it was written and by whom.
func CiteEntry(id journal.EntryID, snap *live.Snapshot) Link {
	for _, l := range snap.Cited(id) {
		return Link{
			Say:  fmt.Sprintf("%s, %s, %s", words.Capital(pages.Place(l.Subject)), l.Writing().ThisYear(time.Time(l.Clocks.Device)), snap.Initials(l.By)),
			Path: EntryPath(id),
		}
	}
	return Link{Say: "an entry that is not here yet", Path: EntryPath(id)}
}

func snaps(l *record.Line) (list []Snap) {
	for _, s := range facts.Sights(l) {
		list = append(list, newSnap(s, ""))
	}
	return list
}

// newSnap is a photograph as it is seen from the record of a job, if it is from one.
func newSnap(s facts.Sight, in journal.JobID) Snap {
	return Snap{
		Path: PicturePath(s, in), Thumb: path("thumb", s.Thumb.Hex()), Shows: cmp.Or(s.Role, "photograph"), Withdrawn: !s.Withdrawn.IsZero(),
		Place: words.Capital(pages.Place(s.Line.Subject)), When: s.Line.Writing().ThisYear(time.Time(s.Line.Clocks.Device)),
	}
}
