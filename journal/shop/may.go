package shop

import (
	"context"
	"errors"
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/record"
)

// MayAppend refuses what hold points can refuse: a vehicle is not handed back
// while a safety hold of its card is not met by what is known here; and no
// correction brings such a release about, or has a job measured by another
// card; nor does one correct what only the hub may
// write; nobody states an order on which their word counts for nothing, or
// checks as work on the brakes what is not, or marks more on a photograph than
// can be told apart there. The error is a
// *[route.Unreleasable] or a *[journal.Invalid].
func (s *Shop) MayAppend(ctx context.Context, d journal.Draft) error {
	if err := s.mayConfirm(ctx, d.Subject, d.Data); err != nil {
		return err
	}
	switch data := d.Data.(type) {
	case *journal.Release:
		if err := s.Follow(ctx); err != nil {
			return err
		}
		v := s.View(ctx)
		return v.mayRelease(d.Subject.Job(), d.By)
	case *journal.Correction:
		return s.mayCorrect(ctx, d, data)
	case *journal.OrderStatement:
		if err := s.Follow(ctx); err != nil {
			return err
		}
		v := s.View(ctx)
		return v.mayState(d, data)
	case *journal.SecondCheck:
		if err := s.Follow(ctx); err != nil {
			return err
		}
		v := s.View(ctx)
		return v.mayLook(d, data)
	case *journal.PhotoMarks:
		return s.mayMark(ctx, d, data)
	}
	return nil
}

// mayLook refuses a second look at what is not work on the brakes of its job,
// which would meet nothing.
func (v *View) mayLook(d journal.Draft, look *journal.SecondCheck) error {
	of := v.Within(d.Subject, look.Of)
	switch {
	case v.err != nil:
		return v.err
	case of == nil || index.Home(of.Subject) != index.Home(d.Subject):
		return journal.Refuse(journal.SecondChecked, journal.NotAllowed, "the entry that was looked at is not in the record of this job here")
	case of.Effect() == nil || of.Kind.Work() == "":
		return journal.Refuse(journal.SecondChecked, journal.NotAllowed, "%s looked at “%s”. Choose the last work on the brakes.", v.Initials(d.By), of.Says())
	}
	return nil
}

// mayState refuses a word on the order of two entries that counts for nothing.
func (v *View) mayState(d journal.Draft, s *journal.OrderStatement) error {
	one, other := v.Within(d.Subject, s.First), v.Within(d.Subject, s.Then)
	var own []*record.Line // what else is gathered for the job is not its own
	if j := v.Job(d.Subject.Job()); j != nil {
		own = j.Timeline()
	}
	switch {
	case v.err != nil:
		return v.err
	case !slices.Contains(own, one) || !slices.Contains(own, other):
		return journal.Refuse(journal.OrderStated, journal.NotAllowed, "one of the two entries is not in the record of this job here")
	}
	if no := record.Telling(d.By, one, other); no != "" {
		return journal.Refuse(journal.OrderStated, journal.NotAllowed, "%s", no.Sentence())
	}
	return nil
}

// mayRelease refuses to hand a vehicle back while a safety hold is not met, and from whoever
// is not authorised for it in a shop where somebody is.
func (v *View) mayRelease(id journal.JobID, by journal.PersonID) error {
	st := v.Standing(id)
	if v.err != nil {
		return v.err
	}
	if may := v.Shop.Authorised(journal.ReleaseDuty); len(may) > 0 && !slices.ContainsFunc(may, func(p *record.Person) bool { return p.ID == by }) {
		var initials []string
		for _, p := range may {
			initials = append(initials, p.Stated.Initials)
		}
		return journal.Refuse(journal.VehicleReleased, journal.NotAllowed, "%s is not authorised to hand a vehicle back. Let one of these do it: %s.", v.Initials(by), strings.Join(initials, ", "))
	}
	if st == nil {
		return nil // the log keeps what is said of a job that is not here yet
	}
	return st.Verdicts.MayRelease()
}

// bounded refuses a correction that puts a figure in the place of another that cannot be.
func (s *Shop) bounded(ctx context.Context, c *journal.Correction) error {
	rows, err := s.index.ByID(ctx, c.Of)
	if err != nil || len(c.Data) == 0 {
		return err
	}
	for _, r := range rows {
		instead, err := journal.ParseTyped(r.Kind, c.Data)
		if bad, ok := errors.AsType[*journal.Invalid](err); ok {
			beyond := slices.DeleteFunc(bad.Problems, func(p journal.Problem) bool { return p.Code != journal.OutOfBounds })
			if len(beyond) > 0 {
				return &journal.Invalid{Kind: r.Kind, Problems: beyond}
			}
		}
		if again, ok := instead.(*journal.Correction); ok {
			return s.bounded(ctx, again)
		}
	}
	return nil
}

// mayCorrect compares the job of what is corrected before a correction with
// the one after it. A correction acts on the entry that it names, whatever it
// is about itself.
func (s *Shop) mayCorrect(ctx context.Context, d journal.Draft, c *journal.Correction) error {
	is, id, err := s.Suppose(ctx, d)
	if err != nil {
		return err
	}
	for _, l := range is.Line(id) {
		if l.Has(record.NoAuthority) {
			return journal.Refuse(journal.EntryCorrected, journal.NotAllowed,
				"what this corrects belongs to the shop’s register, which is kept at the hub; correct it there")
		}
	}
	root, err := s.root(ctx, c.Of)
	if err != nil {
		return err
	}
	rows, err := s.index.ByID(ctx, root)
	if err != nil {
		return err
	}
	if err := s.bounded(ctx, c); err != nil {
		return err
	}
	was := s.View(ctx)
	for _, r := range rows {
		if r.Kind != journal.JobOpened && r.Kind != journal.VehicleReleased {
			continue
		}
		before, job := was.Job(r.Home.Job()), is.Job(r.Home.Job())
		if was.err != nil || is.err != nil {
			break
		}
		if before != nil && before.Stated != nil && job.Stated != nil &&
			(before.Stated.Route != job.Stated.Route || before.Stated.Edition != job.Stated.Edition) {
			return journal.Refuse(journal.EntryCorrected, journal.NotAllowed,
				"a job stays with the route card that it was opened with; if that was the wrong one, open another job for the vehicle")
		}
		if job.Released == nil || before != nil && before.Released != nil {
			continue
		}
		if err := is.mayRelease(job.ID, d.By); err != nil {
			return err
		}
	}
	if was.err != nil {
		return was.err
	}
	return is.err
}
