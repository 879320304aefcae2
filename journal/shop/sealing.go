package shop

import (
	"errors"
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/order"
	"fettlebook/journal/proof"
	"fettlebook/journal/record"
	"fettlebook/journal/words"

	"golang.org/x/mod/sumdb/tlog"
)

// Sealing is how a job's entries stand against its seal.
type Sealing struct {
	Line  *record.Line // of the seal
	Seal  *journal.Seal
	State SealState
	// Missing is how many of the entries that it covers are not here.
	Missing int
	// Later are the lines of the job and of its runs that it does not cover,
	// without its own.
	Later []*record.Line
	// Covered is where the entries lie that it covers, in the order of its
	// root: of a seal by an earlier program those that it is taken to cover.
	Covered []journal.Position
}

// SealState says in a word how the entries that a seal covers stand against it.
type SealState string

// The states of a seal.
const (
	SealFits   SealState = "fits"   // every entry is as it was sealed
	SealBroken SealState = "broken" // some entry is not
	SealWaits  SealState = "waits"  // some are not here
	// SealUntold is said of a seal by an earlier program, which did not say
	// what it covers, if what was known of the job then does not fit it.
	SealUntold SealState = "untold"
)

// Says puts it into a sentence.
func (s *Sealing) Says() string {
	n := s.Seal.Entries
	switch s.State {
	case SealFits:
		return words.Choose(n == 1, "The one entry of the seal is", fmt.Sprintf("All %d entries of the seal are", n)) + " as handed over."
	case SealWaits:
		return fmt.Sprintf("The seal cannot be checked here yet: %d of its %d entries %s not here.", s.Missing, n, words.Choose(s.Missing == 1, "is", "are"))
	case SealUntold:
		return "The seal cannot be checked: an earlier program wrote it without saying which entries it covers, and those that are here give another hash."
	default:
		return "The seal does not fit: an entry of this job was changed after the handover. Hand nothing out, keep a copy of all data folders, and compare this one with the hub’s and with the customer’s receipt."
	}
}

// Sealing holds a job's entries, as they lie in the logs now, against its
// seal. It is nil of a job that is not sealed.
func (v *View) Sealing(j *record.Job) *Sealing {
	if j.Sealed == nil {
		return nil
	}
	seal, ok := j.Sealed.Effect().(*journal.Seal)
	if !ok {
		return nil
	}
	s := &Sealing{Line: j.Sealed, Seal: seal}
	covered := seal.Positions()
	if len(covered) == 0 {
		covered = knownTo(j.Sealed, j.Timeline())
	}
	s.Covered = covered
	in := make(map[journal.Position]bool, len(covered))
	for _, at := range covered {
		in[at] = true
	}
	for _, l := range j.Timeline() {
		if l != j.Sealed && !in[l.Position()] {
			s.Later = append(s.Later, l)
		}
	}
	s.State, s.Missing = v.held(seal, covered)
	return s
}

// held says how the entries at the positions stand against the seal, and how
// many of them are not here.
func (v *View) held(seal *journal.Seal, covered []journal.Position) (SealState, int) {
	logged, err := v.shop.log.Pick(v.ctx, covered)
	v.note(err)
	leaves := make(map[journal.Position]tlog.Hash, len(logged))
	for _, e := range logged {
		leaves[e.Position] = proof.Leaf(e.Bytes)
	}
	told := len(seal.Covers) > 0
	as := *seal
	as.Covers = journal.Stretches(covered)
	missing, err := proof.CheckSeal(&as, func(at journal.Position) (tlog.Hash, bool) {
		h, here := leaves[at]
		return h, here
	})
	switch {
	case len(missing) > 0:
		return SealWaits, len(missing)
	case err == nil:
		return SealFits, 0
	case errors.Is(err, proof.ErrSeal) && !told:
		return SealUntold, 0
	default:
		return SealBroken, 0
	}
}

// knownTo returns where those lines lie, in their order, that the writer of a
// line had seen.
func knownTo(writer *record.Line, lines []*record.Line) []journal.Position {
	lines = slices.DeleteFunc(lines, func(l *record.Line) bool { return l.Relation(writer) != order.Before })
	list := make([]journal.Position, len(lines))
	for i, l := range lines {
		list[i] = l.Position()
	}
	return list
}
