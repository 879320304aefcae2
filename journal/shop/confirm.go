package shop

import (
	"context"
	"errors"

	"fettlebook/journal"
)

// Confirms reports whether the card of a job wants a kind confirmed by something that
// only whoever stamps it knows. A job whose card is not here wants nothing.
func (v *View) Confirms(id journal.JobID, kind journal.Kind) bool {
	if kind.Confirms() == "" || id == "" {
		return false
	}
	st := v.Standing(id)
	return st != nil && st.Card != nil && st.Card.AsksPIN(kind)
}

// mayConfirm refuses a stamp that the card of its job wants confirmed and that is not,
// also one that a correction brings about.
func (s *Shop) mayConfirm(ctx context.Context, about journal.Subject, data journal.Payload) error {
	switch is := data.(type) {
	case journal.Confirming:
		if is.Confirmed() != "" {
			return nil
		}
		if err := s.Follow(ctx); err != nil {
			return err
		}
		v := s.View(ctx)
		if wants := v.Confirms(about.Job(), data.Kind()); wants && v.err == nil {
			return journal.Refuse(data.Kind(), journal.NotAllowed, "the route card of this job wants it confirmed by whoever stamps it; stamp it on the page of a bench where you have a PIN, or at the desk where you signed in by name")
		}
		return v.err
	case *journal.Correction:
		rows, err := s.index.ByID(ctx, is.Of)
		if err != nil || len(is.Data) == 0 {
			return err
		}
		for _, r := range rows {
			instead, err := journal.ParseTyped(r.Kind, is.Data)
			if bad := (*journal.Invalid)(nil); errors.As(err, &bad) || instead == nil {
				continue // which is refused where it is looked at
			}
			if err := s.mayConfirm(ctx, r.Home, instead); err != nil {
				return err
			}
		}
	}
	return nil
}
