package dossier

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

// Subject is what a dossier is about, with what is left out of it from the
// beginning.
type Subject struct {
	evidence.About
	Left []evidence.Left
}

// ErrNothing is wrapped when there is nothing to make a dossier of.
var ErrNothing = errors.New("there is nothing here to make a dossier of")

// OfJob is the subject that is one job.
func OfJob(id journal.JobID) Subject {
	return Subject{About: evidence.About{Jobs: []journal.JobID{id}}}
}

// OfVehicle is the subject that is a vehicle, asked for by its VIN or plate,
// and called by it if a job that is told of bears it: its jobs for the customer
// of the newest one. Jobs for another customer are left out, and so are those
// of which that cannot be told.
func OfVehicle(ctx context.Context, v *shop.View, cards Cards, vehicle *record.Vehicle, asked string) (Subject, error) {
	jobs := opened(vehicle.Jobs)
	if len(jobs) == 0 {
		return Subject{}, fmt.Errorf("%w: no job of the vehicle %s was opened here", ErrNothing, asked)
	}
	last := jobs[len(jobs)-1]
	s := Subject{About: evidence.About{Vehicle: cmp.Or(last.Stated.Vehicle.VIN, last.Stated.Vehicle.Plate)}}
	others := 0
	for _, j := range jobs {
		same, err := sameCustomer(ctx, cards, j, last)
		if err != nil {
			return Subject{}, err
		}
		if !same {
			others++
			continue
		}
		s.Jobs = append(s.Jobs, j.ID)
		if is := j.Stated.Vehicle; asked != "" && (words.Squash(is.VIN) == words.Squash(asked) || words.Squash(is.Plate) == words.Squash(asked)) {
			s.Vehicle = asked
		}
	}
	if others > 0 {
		s.leave(others)
	}
	return s, v.Err()
}

// leave notes jobs that are left out.
func (s *Subject) leave(jobs int) {
	s.Left = append(s.Left, evidence.Left{What: "jobs of this vehicle", Count: jobs, Why: "they are of another customer, or it cannot be told any more whose they are"})
}

// OfClaim is the subject that is a complaint: the job that it is about, and
// those that were opened to answer it, for the same customer.
func OfClaim(ctx context.Context, v *shop.View, cards Cards, claim journal.EntryID) (Subject, error) {
	lines := v.Line(claim)
	if len(lines) != 1 || lines[0].Kind != journal.ClaimOpened || lines[0].Subject.Job() == "" {
		return Subject{}, errors.Join(v.Err(), fmt.Errorf("%w: %s is not a complaint", ErrNothing, claim))
	}
	about := lines[0].Subject.Job()
	s := Subject{About: evidence.About{Jobs: []journal.JobID{about}, Claim: claim}}
	j := v.Job(about)
	if j == nil || j.Vehicle == nil {
		return s, v.Err()
	}
	vehicle, _ := v.Vehicle(j.Vehicle.Key)
	if vehicle == nil {
		return s, v.Err()
	}
	for _, other := range opened(vehicle.Jobs) {
		if other.ID == about || !slices.Contains(journal.Cites(other.Stated), journal.EntrySubject(claim)) {
			continue
		}
		same, err := sameCustomer(ctx, cards, other, j)
		if err != nil {
			return Subject{}, err
		}
		if same || other.Customer == nil && j.Customer == nil { // that it answers the complaint is written there
			s.Jobs = append(s.Jobs, other.ID)
		} else {
			s.leave(1)
		}
	}
	return s, v.Err()
}

func opened(jobs []*record.Job) []*record.Job {
	return slices.DeleteFunc(slices.Clone(jobs), func(j *record.Job) bool { return j.Opened == nil || j.Stated == nil })
}

// sameCustomer reports whether two jobs are certainly for one customer. Each
// job has a card of its own, so it is the name on it that tells.
func sameCustomer(ctx context.Context, cards Cards, a, b *record.Job) (bool, error) {
	switch {
	case a.ID == b.ID:
		return true, nil
	case a.Customer == nil || b.Customer == nil:
		return false, nil
	case a.Customer.Card == b.Customer.Card:
		return true, nil
	}
	var names [2]string
	for i, j := range []*record.Job{a, b} {
		card, err := cardOf(ctx, cards, j.Customer.Card)
		if err != nil || card == nil {
			return false, err
		}
		names[i] = strings.Join(strings.Fields(card.Details.Name), " ")
	}
	return names[0] != "" && strings.EqualFold(names[0], names[1]), nil
}

// cardOf returns a card, or nil if it was erased or is not here.
func cardOf(ctx context.Context, cards Cards, id journal.CardID) (*journal.Card, error) {
	card, err := cards.Card(ctx, id)
	switch {
	case errors.Is(err, journal.ErrCardErased) || errors.Is(err, journal.ErrNoCard):
		return nil, nil
	case err != nil:
		return nil, fmt.Errorf("read card %s: %w", id, err)
	}
	return &card, nil
}
