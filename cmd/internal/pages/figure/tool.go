package figure

import (
	"bytes"
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
)

const checks = "ISO 6789-1 for range and tolerance; the shop's own checks come first"

// tool says what is known of a torque tool at the moment of the entry: its
// range, its last check, when the next is due, and its uses since.
func (w *work) tool(id journal.ToolID) facts.ToolState {
	t := w.snap.Stock.ToolAt(id, w.line)
	if t.Stated == nil {
		w.wrong(t.Say()+", so nobody knows its range and its checks", checks)
		return t
	}
	marked := fmt.Sprintf("%s is marked %s to %s", id, t.Stated.Low, t.Stated.High)
	if t.Stated.Low.IsZero() || t.Stated.High.IsZero() {
		marked = fmt.Sprintf("the range of %s is not on the register", id)
	}
	if percent, _, err := t.Tool.Permissible(); err == nil {
		marked += fmt.Sprintf(", ±%g %%", percent)
	}
	if t.Doubt != facts.NoDoubt {
		source := t.Validity.Source
		if source == "" {
			source = checks
		}
		w.wrong(marked+"; "+t.Say(), source)
		return t
	}
	w.say(Sentence{
		Text: fmt.Sprintf("%s; last checked on %s, next due on %s or after %d uses; with this one %d since",
			marked, day(t.Checked), t.Validity.Due.Format(time.DateOnly), t.Validity.UsesDue, t.Uses),
		Safety: true, Rests: rests("", t.Validity.Source),
	})
	return t
}

// wrong says of a tool what keeps it from proving anything.
func (w *work) wrong(text, source string) {
	w.say(Sentence{Text: text, State: route.Broken, Safety: true, Rests: source})
}

// at is when the entry was written, by its device's clock.
func (w *work) at() time.Time { return time.Time(w.line.Clocks.Device) }

// later reports whether a comes after b in the order of replay.
func later(a, b journal.EntryID) bool { return bytes.Compare(a[:], b[:]) > 0 }

func day(l *record.Line) string { return time.Time(l.Clocks.Device).Format(time.DateOnly) }
