package audit_test

import (
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/audit"
)

// A tablet lets go of originals that the hub has; a hub that had one and has it no more
// lost it.
func TestAnOriginalMissingAtTheHub(t *testing.T) {
	s := theShop(t)
	for _, c := range []struct {
		name   string
		folder kept
		want   audit.Severity
	}{{"hub", s.hub, audit.Damage}, {"tablet", s.tablet, audit.Remark}} {
		k := c.folder
		k.originals = nil
		r := s.lay(t, t.TempDir(), k).audit(t)
		ref := s.photos[11].Ref // it came to the hub
		got := audit.Severity("")
		for _, f := range r.Findings {
			if f.Where.Part == audit.Original && f.Where.Photo == ref {
				got = f.Severity
			}
		}
		if got != c.want {
			t.Errorf("missing at the %s it is a %q:\n%s", c.name, got, text(t, r))
		}
	}
}

// At the hub a log that is not countersigned to its end says so: nothing else shows that
// its last receipt was taken away.
func TestTheLastReceiptTakenAway(t *testing.T) {
	s := theShop(t)
	c := s.lay(t, t.TempDir(), s.hub)
	c.tamper(t, exec(`DELETE FROM countersigned WHERE size = `+"40"))
	r := c.audit(t)
	if !remarks(r, audit.Log, "not countersigned the log to its end: 1 entry comes after") {
		t.Errorf("it is not listed:\n%s", text(t, r))
	}
}

func remarks(r audit.Report, p audit.Part, what string) bool {
	for _, f := range r.Findings {
		if f.Severity == audit.Remark && f.Where.Part == p && strings.Contains(f.What, what) {
			return true
		}
	}
	return false
}

// Whoever has the hub's key may sign any time; it still has to fit what the hub's clock said
// before, in other receipts and in entries that the device had seen.
func TestReceiptsThatRunBack(t *testing.T) {
	at := func(p *paper, d time.Duration) {
		p.watch.Advance(d)
		p.countersign(t, p.tablet(), p.tablet().Size)
		p.watch.Advance(-d)
	}
	for _, c := range []struct {
		name, says string
		do         func(*paper)
	}{
		{"in order", "", func(p *paper) {
			at(p, time.Second)
			p.tablet().note(t, same)
			at(p, time.Second)
		}},
		{"before the one before", "earlier than under the one before", func(p *paper) {
			at(p, time.Hour)
			p.tablet().note(t, same)
			at(p, 0)
		}},
		{"before what the device had seen", "an entry of the hub which the device had already seen", func(p *paper) {
			p.countersign(t, p.hub(), 2)
			p.tablet().note(t, func(e *journal.Entry) { e.Seen = journal.Seen{Size: 2, Root: p.hub().tree.Root()} })
			at(p, -time.Hour)
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := newPaper(t)
			c.do(p)
			r := p.audit(t)
			if c.says == "" && len(r.Findings) > 0 || c.says != "" && !remarks(r, audit.Countersignature, c.says) {
				t.Errorf("want a remark that says %q:\n%s", c.says, text(t, r))
			}
		})
	}
}
