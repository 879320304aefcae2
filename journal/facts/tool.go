package facts

import (
	"math"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/torque"
	"fettlebook/journal/words"
)

// ToolDoubt says why a tool proves nothing.
type ToolDoubt string

// Why a tool may prove nothing.
const (
	NoDoubt       ToolDoubt = ""
	NotRegistered ToolDoubt = "not registered"
	NeverChecked  ToolDoubt = "never checked"
	FoundBad      ToolDoubt = "found bad"       // by the last check
	FoundBadLater ToolDoubt = "found bad later" // by the check after the use
	RanOut        ToolDoubt = "ran out"         // its day is past, or its uses are spent
)

// ToolState is how a tool stood at the moment of a use, or how it stands now.
type ToolState struct {
	ID      journal.ToolID
	Stated  *journal.Tool      // nil if it is not registered
	Check   *journal.ToolCheck // the last check before the moment, nil without one
	Checked *record.Line       // where that is written
	Tool    torque.Tool        // with its calibration, if there is one
	// Uses is how often it was used since that check, a wrench once for each
	// bolt; with the use in question, if there is one.
	Uses     int
	Validity torque.Validity
	Due      Due // the last day of the check, by its own date or the usual interval
	Doubt    ToolDoubt
	Result   journal.CheckResult // of the check that found it bad
	Rests    []*record.Line      // its registration and the check before the moment
	FoundOut *record.Line        // the check after the use that found it out
}

// ToolAt looks a tool up at the moment of a use of it. What the next check
// found counts too: a tool that is found out of tolerance was so at an unknown
// time since the check before.
func (s *Stock) ToolAt(id journal.ToolID, use *record.Line) ToolState {
	return s.tool(id, use, time.Time(use.Clocks.Device))
}

// ToolNow says how a tool stands at a time after all that is written, for one
// who wants to use it once more.
func (s *Stock) ToolNow(id journal.ToolID, at time.Time) ToolState { return s.tool(id, nil, at) }

func (s *Stock) tool(id journal.ToolID, use *record.Line, at time.Time) (t ToolState) {
	t.ID = id
	lines := s.Lines(journal.Of("tool", string(id)))
	s.findChecks(&t, lines, use)
	is, line := stated[journal.Tool](s, lines)
	if is == nil {
		t.Doubt = NotRegistered
		return t
	}
	t.Rests = append(t.Rests, line)
	t.Stated, t.Tool = is, torque.Tool{Low: is.Low, High: is.High, Tolerance: is.Tolerance}
	if t.Checked == nil {
		t.Doubt = NeverChecked
		return t
	}
	t.Rests = append(t.Rests, t.Checked)
	if t.Check.Result == journal.OutOfTolerance || t.Check.Result == journal.BrokenTool {
		t.Doubt, t.Result = FoundBad, t.Check.Result
		return t
	}
	upTo := use
	if upTo == nil {
		upTo = s.then
	}
	t.calibrate(s.Writing(), at, s.shop.Uses(journal.Of("tool", string(id)), t.Checked, upTo), use == nil)
	return t
}

// findChecks finds the check before a use, or the last of all, and the one
// after the use, if that found the tool out.
func (s *Stock) findChecks(t *ToolState, lines []*record.Line, use *record.Line) {
	for _, l := range lines {
		c, ok := s.effect(l).(*journal.ToolCheck)
		switch {
		case !ok:
		case use == nil || Before(l, use):
			t.Check, t.Checked = c, l
		case After(l, use): // only the next check tells of this use
			if c.Result != journal.InTolerance {
				t.FoundOut, t.Doubt, t.Result = l, FoundBadLater, c.Result
			}
			return
		}
	}
}

// calibrate judges whether the check before the moment still holds. One more
// says that the use in question is not among the uses yet.
func (t *ToolState) calibrate(w words.Writing, at time.Time, uses int, more bool) {
	on := time.Time(t.Checked.Clocks.Device)
	if on.After(at) {
		on = at // the order of entries says that the check came first; two clocks differ
	}
	t.Uses = uses
	t.Tool.Calibration = torque.Calibration{On: on, UsesDue: t.Check.Cycles, Uses: uses, Writing: w}
	if more {
		t.Tool.Calibration.Uses++
	}
	c := t.Tool.Calibration
	if due, err := time.ParseInLocation(time.DateOnly, string(t.Check.Due), at.Location()); err == nil {
		t.Tool.Calibration.Due, c.Due = due, due
	}
	usual := t.torque() // the usual interval is that of torque tools
	forever := !usual && c.Due.IsZero()
	if forever {
		c.Due = at
	}
	if !usual && c.UsesDue == 0 {
		c.UsesDue = math.MaxInt
	}
	if t.Validity = c.At(at); forever {
		t.Validity.Due = time.Time{}
	}
	if t.Validity.UsesDue == math.MaxInt {
		t.Validity.UsesDue = 0
	}
	if !t.Validity.Due.IsZero() {
		t.Due = DueOn(journal.Date(t.Validity.Due.In(at.Location()).Format(time.DateOnly)), at)
	}
	if !t.Validity.OK && t.Doubt == NoDoubt {
		t.Doubt = RanOut
	}
}

// torque reports whether the tool tightens bolts: by what it is, or as it is
// marked with torques.
func (t *ToolState) torque() bool {
	return t.Stated.What == journal.TorqueWrench || t.Stated.What == journal.TorqueScrewdriver || !t.Stated.High.IsZero()
}

// Spent reports whether a use more is one too many for the check.
func (t *ToolState) Spent() bool {
	return t.Validity.UsesDue > 0 && t.Tool.Calibration.Uses > t.Validity.UsesDue
}
