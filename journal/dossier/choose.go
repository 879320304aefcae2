package dossier

import (
	"errors"
	"fmt"
	"maps"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

// pick is an entry that was chosen.
type pick struct {
	why  evidence.Why
	line *record.Line // nil of one that is only known to lie under a seal
}

// ranks are the reasons in the order in which the first one is given.
func ranks() []evidence.Why {
	return []evidence.Why{evidence.ForJob, evidence.ForRun, evidence.ForRegister, evidence.ForRoute, evidence.ForThing, evidence.ForCard, evidence.ForClaim, evidence.ForOrder}
}

// choose chooses the entries.
func (b *build) choose() error {
	for _, id := range b.d.About.Jobs {
		j := b.view.Job(id)
		if j == nil {
			return errors.Join(b.view.Err(), fmt.Errorf("%w: there is no job %s", ErrNothing, id))
		}
		b.jobs = append(b.jobs, j)
	}
	for _, j := range b.jobs {
		if err := b.seal(j); err != nil {
			return err
		}
		for _, l := range j.Timeline() {
			b.take(l, whyOf(l.Subject))
		}
	}
	if err := b.narrow(); err != nil {
		return err
	}
	b.findOthers()
	b.chooseInvestigations()
	if err := b.chooseCards(); err != nil {
		return err
	}
	b.chooseRegister()
	if err := b.witness(); err != nil {
		return err
	}
	if err := b.withhold(); err != nil {
		return err
	}
	b.admit()
	if err := b.covers(); err != nil {
		return err
	}
	if n := len(b.picked); n > evidence.MaxEntries {
		return &TooLarge{Sentence: fmt.Sprintf("This would be a dossier of %s; one holds at most %d. Build one for each job.", words.Count(n, "entry"), evidence.MaxEntries)}
	}
	return nil
}

func whyOf(s journal.Subject) evidence.Why {
	if s.Run() != "" {
		return evidence.ForRun
	}
	return evidence.ForJob
}

// take takes an entry, with what strikes it through and what withdrew its
// photographs.
func (b *build) take(l *record.Line, why evidence.Why) {
	at := l.Position()
	if l.ID.IsZero() {
		return
	}
	if b.closed(at) {
		b.leave("entries of a log that the register closed before them", "they do not count")
		return
	}
	if p := b.picked[at]; p != nil {
		if slices.Index(ranks(), why) < slices.Index(ranks(), p.why) {
			p.why = why
		}
		if p.line != nil {
			return
		}
		why = p.why
	}
	b.picked[at] = &pick{why, l}
	if l.Struck != nil && l.Struck.Correction() != nil {
		b.take(l.Struck.Correction(), why)
	}
	for _, p := range l.Photos {
		if !p.Withdrawn.IsZero() {
			b.takeID(p.Withdrawn, why)
		}
	}
	if o := l.Clocks.Offset; o != nil {
		b.takeID(o.Compared, evidence.ForRegister)
	}
}

// closed reports whether the register says that an entry at a place does not
// count.
func (b *build) closed(at journal.Position) bool {
	ends, closed := b.view.Shop.Closings()[at.Device]
	return closed && at.Index >= ends
}

// takeID takes the entries of an id.
func (b *build) takeID(id journal.EntryID, why evidence.Why) {
	for _, l := range b.view.Cited(id) {
		b.take(l, why)
	}
}

// seal looks at the seal of a job before anything else is done, and notes what
// it covers.
func (b *build) seal(j *record.Job) error {
	s := b.view.Sealing(j)
	if s == nil {
		return b.view.Err()
	}
	what := fmt.Sprintf("the seal of job %s", j.ID)
	switch s.State {
	case shop.SealBroken:
		if !b.asked.Broken {
			return &Broken{fmt.Sprintf("Job %s: %s", j.ID, s.Says())}
		}
	case shop.SealWaits:
		b.left = append(b.left, evidence.Left{What: what, Why: fmt.Sprintf("%s under it %s not at this machine yet", words.Count(s.Missing, "entry"), words.Choose(s.Missing == 1, "is", "are"))})
		return nil
	case shop.SealUntold:
		b.left = append(b.left, evidence.Left{What: what, Why: "an earlier program wrote it without saying which entries it covers, and it cannot be checked"})
		return nil
	}
	b.seals = append(b.seals, s)
	for _, at := range s.Covered {
		if b.picked[at] == nil && !b.closed(at) {
			b.picked[at] = &pick{evidence.ForJob, nil}
		}
	}
	return nil
}

// narrow withholds what a seal covers and the record does not count among the
// job's entries any more: those of a run that, as was found out since, none of
// its parts took part in. They are of others.
func (b *build) narrow() error {
	var at []journal.Position
	for p, is := range b.picked {
		if is.line == nil {
			at = append(at, p)
		}
	}
	logged, err := b.Log.Pick(b.ctx, at)
	if err != nil {
		return err
	}
	for _, l := range logged {
		e, err := journal.Decode(l.Bytes)
		if err == nil && slices.Contains(b.d.About.Jobs, e.Subject.Job()) {
			continue
		}
		delete(b.picked, l.Position)
		b.leave("entries under the seal", "they are of a run that no part of the job took part in, as was found out later")
	}
	return nil
}

// places returns where the chosen entries lie, sorted.
func (b *build) places() []evidence.At {
	list := make([]evidence.At, 0, len(b.picked))
	for at := range maps.Keys(b.picked) {
		list = append(list, evidence.At(at))
	}
	slices.SortFunc(list, evidence.At.Compare)
	return list
}
