package figure

import (
	"bytes"
	"fmt"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/trade/torque"
)

const checks = "ISO 6789-1 for range and tolerance; the shop's own checks come first"

// tool is what the register says of a torque tool at the moment of the entry.
type tool struct {
	torque.Tool
	doubt string // why it proves nothing; "" if it does
}

// tool says what is known of a torque tool: its range, its last check, when
// the next is due, and its uses since.
func (w *work) tool(id journal.ToolID) (t tool) {
	i := slices.IndexFunc(w.shop.Tools, func(t *record.Tool) bool { return t.ID == id && t.Stated != nil })
	if i < 0 {
		t.doubt = fmt.Sprintf("the tool %s is not on the register, so nobody knows its range and its checks", id)
		w.wrong(t.doubt, checks)
		return t
	}
	is := w.shop.Tools[i]
	t.Tool = torque.Tool{Low: is.Stated.Low, High: is.Stated.High, Tolerance: is.Stated.Tolerance}
	marked := fmt.Sprintf("%s is marked %s to %s", id, is.Stated.Low, is.Stated.High)
	if is.Stated.Low.IsZero() || is.Stated.High.IsZero() {
		marked = fmt.Sprintf("the range of %s is not on the register", id)
	}
	if percent, _, err := t.Permissible(); err == nil {
		marked += fmt.Sprintf(", ±%g %%", percent)
	}
	check, checked, next := w.checksOf(is)
	switch {
	case check == nil:
		t.doubt = fmt.Sprintf("no check of %s is on record before this use", id)
	case check.Result == "out of tolerance" || check.Result == "broken":
		t.doubt = fmt.Sprintf("the last check, on %s, found %s %s", day(checked), id, check.Result)
	case next != "":
		t.doubt = fmt.Sprintf("a later check found %s %s", id, next)
	}
	if check == nil {
		w.wrong(marked+"; "+t.doubt, checks)
		return t
	}
	t.Calibration = w.calibration(id, check, checked)
	good := t.Calibration.At(w.at())
	if t.doubt == "" && !good.OK {
		t.doubt = good.Reason
	}
	if t.doubt != "" {
		w.wrong(marked+"; "+t.doubt, good.Source)
		return t
	}
	w.say(Sentence{
		Text: fmt.Sprintf("%s; last checked on %s, next due on %s or after %d uses; with this one %d since",
			marked, day(checked), good.Due.Format(time.DateOnly), good.UsesDue, t.Calibration.Uses),
		Safety: true, Rests: rests("", good.Source),
	})
	return t
}

// wrong says of a tool what keeps it from proving anything.
func (w *work) wrong(text, source string) {
	w.say(Sentence{Text: text, State: route.Broken, Safety: true, Rests: source})
}

// at is when the entry was written, by its device's clock.
func (w *work) at() time.Time { return time.Time(w.line.Clocks.Device) }

// checksOf returns the last check of a tool before the entry, and what the
// next one after it found if that was not good: a tool that is found out was
// so at an unknown time since the check before.
func (w *work) checksOf(t *record.Tool) (check *journal.ToolCheck, line *record.Line, next journal.CheckResult) {
	for _, l := range t.Lines {
		c, ok := l.Effect().(*journal.ToolCheck)
		switch {
		case !ok:
		case later(w.line.ID, l.ID):
			check, line = c, l
		case c.Result == "in tolerance":
			return check, line, ""
		default:
			return check, line, c.Result
		}
	}
	return check, line, ""
}

func (w *work) calibration(id journal.ToolID, check *journal.ToolCheck, line *record.Line) torque.Calibration {
	c := torque.Calibration{On: time.Time(line.Clocks.Device), UsesDue: check.Cycles, Uses: w.uses(id, line.ID)}
	if c.On.After(w.at()) {
		c.On = w.at() // the order of entries says that the check came first; two clocks differ
	}
	if due, err := time.ParseInLocation(time.DateOnly, string(check.Due), w.at().Location()); err == nil {
		c.Due = due
	}
	return c
}

// uses counts the uses of a tool after a check up to the entry, over all jobs.
func (w *work) uses(id journal.ToolID, after journal.EntryID) (n int) {
	for l := range w.shop.All() {
		if !later(l.ID, after) || later(l.ID, w.line.ID) {
			continue
		}
		switch d := l.Effect().(type) {
		case *journal.Torque:
			n += usesIf(d.Tool == id, max(1, d.Count))
		case *journal.WheelFit:
			n += usesIf(d.Tool == id, d.Nuts)
		case *journal.Bleed:
			n += usesIf(d.Tool == id, 1)
		case *journal.Retorque:
			n += usesIf(d.Tool == id, 1)
		}
	}
	return n
}

func usesIf(this bool, n int) int {
	if this {
		return n
	}
	return 0
}

// later reports whether a comes after b in the order of replay.
func later(a, b journal.EntryID) bool { return bytes.Compare(a[:], b[:]) > 0 }

func day(l *record.Line) string { return time.Time(l.Clocks.Device).Format(time.DateOnly) }
