package desk

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// silence is how long a tablet may be quiet before the desk speaks of it: a
// weekend is none.
const silence = 72 * time.Hour

// tabletRow is a tablet that joined.
type tabletRow struct {
	Device                 journal.DeviceID
	Name                   string
	Entries, Countersigned int64
	Last                   time.Time // when it was heard of last; zero if never
	Heard                  string
	Clock                  string // how far its clock is off
	Gone                   string // why it may write no more, or ""
	Silent                 bool
	CutOff                 string // why it is not let in for a while, and until when; or ""
	Revoke                 string // path of the page that revokes it
	Keys                   string // what became of the question whether it agrees to the hub's new keys; or ""
	Disagrees              bool   // nobody agreed there
}

// tablets joins what the record knows of the tablets to what the hub knows.
func (d *Desk) tablets(ctx context.Context, s *live.Snapshot) ([]tabletRow, error) {
	known, err := d.Hub.Tablets(ctx)
	if err != nil {
		return nil, err
	}
	by := make(map[journal.DeviceID]Tablet)
	for _, t := range known {
		by[t.Device] = t
	}
	var list []tabletRow
	for _, dev := range s.Shop.Devices {
		if s.Shop.Founded != nil && s.Shop.Founded.Device == dev.ID {
			continue // the hub itself
		}
		row := newTabletRow(dev, s.Clock(dev.ID), by[dev.ID], d.Now())
		row.ask(dev, founded(s.Shop))
		list = append(list, row)
	}
	return list, nil
}

func newTabletRow(dev *record.Device, clock *record.Line, t Tablet, now time.Time) tabletRow {
	row := tabletRow{Device: dev.ID, Name: string(dev.ID), Entries: t.Entries, Countersigned: t.Countersigned, Last: t.Heard, Revoke: "/people/revoke/" + string(dev.ID), Clock: "not compared yet"}
	if dev.Stated != nil {
		row.Name = dev.Stated.Name
	}
	lines := dev.Lines
	if clock != nil {
		lines = append(slices.Clip(lines), clock)
	}
	for _, l := range lines {
		switch p := l.Effect().(type) {
		case *journal.Device: // it was here to join
			row.hear(time.Time(l.Clocks.Device))
		case *journal.ClockReading:
			row.hear(time.Time(l.Clocks.Device))
			row.Clock = skew(time.Duration(p.OffsetMs) * time.Millisecond)
		}
	}
	row.Heard = "not since the hub was started"
	if !row.Last.IsZero() {
		row.Heard = ago(row.Last, now)
	}
	switch {
	case dev.Forked:
		row.Gone = "It showed two histories, so its log is closed; both are kept. Let it join again with a new invitation."
	case dev.Revoked:
		row.Gone = "Revoked: it can no longer write. What it wrote before stays."
	}
	if c := t.CutOff; row.Gone == "" && !c.Until.IsZero() {
		row.CutOff = fmt.Sprintf("is cut off until %s, since it sent %s. Look after the tablet, and revoke it if you do not know why. What it had written before stays, and the rest comes when it is let in.", words.Moment(c.Until.In(now.Location())), c.Why)
	}
	row.Silent = row.Gone == "" && now.Sub(row.Last) > silence
	return row
}

// founded is the last change of the hub's keys that the keys before did not
// sign, and where it lies; nil if there is none.
func founded(s *record.Shop) (last *record.Line) {
	for _, l := range s.Lines {
		p, ok := l.Payload.(*journal.KeyChange)
		if ok && p.Unsigned() && l.Counts() && (last == nil || l.Position().Index > last.Position().Index) {
			last = l
		}
	}
	return last
}

// ask says whether somebody at the tablet agreed to the hub's new keys, if it
// was there before them.
func (t *tabletRow) ask(dev *record.Device, change *record.Line) {
	if change == nil || t.Gone != "" {
		return
	}
	keys, before := change.Payload.(*journal.KeyChange).New(), false
	for _, l := range dev.Lines {
		switch p := l.Payload.(type) {
		case *journal.Device:
			before = before || l.Position().Index < change.Position().Index
		case *journal.KeyAgreement:
			if p.New == keys && p.Device == dev.ID && l.Counts() {
				t.Keys = "Agreed to the hub’s new keys."
				return
			}
		}
	}
	if before {
		t.Disagrees, t.Keys = true, "has not agreed to the hub’s new keys, so nothing is taken of it. Bring its people what “fettlebook hub appeal” prints, or revoke it."
	}
}

func (t *tabletRow) hear(at time.Time) {
	if at.After(t.Last) {
		t.Last = at
	}
}

// skew says how far a clock is off the hub's.
func skew(d time.Duration) string {
	rounded := d.Round(100 * time.Millisecond)
	switch {
	case rounded == 0:
		return "correct to a tenth of a second"
	case rounded < 0:
		return (-rounded).String() + " slow"
	default:
		return rounded.String() + " fast"
	}
}

// reasonOf reads the field of a reason; the problem is for beside it.
func reasonOf(text string) (reason, problem string) {
	reason = strings.TrimSpace(text)
	switch n := len([]rune(reason)); {
	case n == 0:
		return "", "Say why; it is written in the journal."
	case n > journal.MaxText:
		return reason, fmt.Sprintf("This has %d characters; at most %d are allowed. Shorten it.", n, journal.MaxText)
	default:
		return reason, ""
	}
}
