package exchange

import (
	"context"
	"fmt"
	"io"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/record"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// EPCIS writes the record as an EPCIS document; see [Mapping].
func (s *Source) EPCIS(ctx context.Context, w io.Writer) (Left, error) {
	var left Left
	lines, err := s.gather(ctx)
	if err != nil {
		return left, err
	}
	e := &epcis{Source: s, by: make(map[journal.EntryID]*line), holds: make(map[journal.EntryID]*line)}
	for i := range lines {
		if l := &lines[i]; l.Kind != "" {
			e.by[l.ID] = l
		}
	}
	for i := range lines {
		if l := &lines[i]; l.Struck != nil && l.Kind != journal.EntryCorrected {
			if last := e.last(l); last != nil {
				e.holds[last.ID] = l
			}
		}
	}
	d := document{Context: contexts(), Type: "EPCISDocument", Version: "2.0", Cautions: record.Caution, Body: body{Events: []event{}}}
	var newest time.Time
	for i := range lines {
		l := &lines[i]
		if at := time.Time(l.Clocks.Device); at.After(newest) {
			newest = at
		}
		switch {
		case l.Kind == "":
			left.Unreadable++
		case !l.Counts():
			left.Idle++
		default:
			d.Body.Events = append(d.Body.Events, e.event(l))
		}
	}
	d.Created, _ = clock(journal.Stamp(newest.UTC()))
	d.Idle, d.NotRead = left.Idle, left.Unreadable
	raw, err := json.Marshal(d, json.Deterministic(true), jsontext.WithIndent(" "))
	if err != nil {
		return left, fmt.Errorf("write EPCIS: %w", err)
	}
	return left, write(ctx, w, "EPCIS", append(raw, '\n'))
}

// epcis makes events of lines.
type epcis struct {
	*Source
	by    map[journal.EntryID]*line // the lines that are entries
	holds map[journal.EntryID]*line // what a correction corrects that states what stands
}

// last returns the correction that states what stands instead of a struck
// line, nil if nothing does. A correction may have been corrected in its turn.
func (e *epcis) last(l *line) *line {
	for seen := 0; seen <= len(e.by); seen++ {
		if l.Struck == nil || len(l.Struck.Replacement) == 0 {
			return nil
		}
		by := e.by[l.Struck.At]
		if by == nil || by.Struck == nil {
			return by
		}
		if l = by; len(l.Struck.Replacement) == 0 {
			return nil
		}
	}
	return nil // corrections in a circle strike nothing
}

// event says in EPCIS what a line states.
func (e *epcis) event(l *line) event {
	v := event{
		ID: l.hash(), About: string(l.Subject), By: e.called(l.By), Says: e.says(l),
		Read: place{e.device(l.Device)}, Location: place{ours + string(e.Shop)},
		Entry: entry{l.ID.String(), string(l.Kind), l.Version, string(l.Device), l.Index + 1},
	}
	v.Time, v.Offset = clock(l.Clocks.Device)
	if !l.Clocks.Received.IsZero() {
		v.Recorded, _ = clock(l.Clocks.Received)
	}
	for _, p := range l.Photos {
		v.Photos = append(v.Photos, photograph{picture(p.Ref), p.Role, string(p.Taken), !p.Withdrawn.IsZero()})
	}
	for _, f := range l.Flags {
		v.Marks = append(v.Marks, string(f))
	}
	if l.Beside != nil && l.Struck == nil {
		v.Amounts = l.Beside.Facts
	}
	data := l.Payload
	if of := e.holds[l.ID]; of != nil { // the corrective event: what stands, when it was
		data = of.Effect()
		v.Time, v.Offset = clock(of.Clocks.Device)
		v.About, v.Says = string(of.Subject), e.now(of)
		if of.Beside != nil {
			v.Amounts = of.Beside.Facts
		}
		e.shape(&v, of, data)
	} else {
		e.shape(&v, l, data)
	}
	if l.Struck != nil {
		v.Error = e.mistaken(l)
	}
	return v
}

// mistaken declares a struck line an error.
func (e *epcis) mistaken(l *line) *mistaken {
	s := l.Struck
	m := &mistaken{Reason: "did_not_occur", By: e.called(s.By), Struck: terms + s.At.String()}
	if !e.together(l) {
		m.Says = s.Reason
	}
	m.Declared, _ = clock(s.Time)
	if by := e.by[s.At]; by != nil {
		m.Struck = by.hash()
	}
	if len(s.Replacement) > 0 {
		m.Reason = "incorrect_data"
	}
	if last := e.last(l); last != nil {
		m.Instead = []string{last.hash()}
	}
	return m
}

// says is what was written, unless it may tell of other vehicles.
func (e *epcis) says(l *line) string {
	if e.shared(l) {
		return ""
	}
	return l.Plainly()
}

// now is what stands instead of a struck line.
func (e *epcis) now(l *line) string {
	if e.shared(l) || e.together(l) {
		return ""
	}
	return l.NowPlainly()
}

// jobs lists the jobs that an entry is about, as transactions.
func (e *epcis) jobs(l *line, data journal.Payload) (list []transaction) {
	about := []journal.Subject{l.Subject}
	for _, s := range append(about, e.parts(l, data)...) {
		if id := s.Job(); id != "" {
			t := transaction{terms + "job", e.urn(journal.About(id, "", ""))}
			if !slices.Contains(list, t) {
				list = append(list, t)
			}
		}
	}
	return list
}

// clock writes a time with its zone, and the zone alone. A zone that EPCIS
// has no room for is written as UTC.
func clock(s journal.Stamp) (at, offset string) {
	t := time.Time(s)
	if _, seconds := t.Zone(); seconds%60 != 0 || seconds > 14*3600 || seconds < -13*3600-59*60 {
		t = t.UTC()
	}
	return t.Format("2006-01-02T15:04:05.999999999Z07:00"), t.Format("-07:00")
}
