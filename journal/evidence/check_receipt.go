package evidence

import (
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

func (r *reading) checkReceipt() (Answer, error) {
	a := Answer{Question: Receipted}
	c := r.receipt
	if c == nil {
		a.add(Finding{NoReceipt, Unknown, "No receipt was given. With the customer’s receipt it can be checked that nothing was changed since handover, not even by the shop.", nil, nil})
		a.settle("", "", "No receipt was given to compare with.")
		return a, nil
	}
	if c.Shop != r.d.Shop {
		a.add(Finding{ReceiptShop, No, fmt.Sprintf("The receipt is of the shop %s and this file is of the shop %s.", c.Shop, r.d.Shop), nil, nil})
	}
	r.compareKeys(&a, c)
	if err := r.compareSeal(&a, c); err != nil {
		return a, err
	}
	r.compareState(&a, c)
	a.settle(fmt.Sprintf("Yes: the seal of job %s over %s, the hub’s keys and its log are those that the receipt of %s states.", c.Job, words.Count(c.Entries, "entry"), clock(c.At)),
		"No: this file and the receipt contradict each other.",
		"The seal and the hub’s keys are those that the receipt states; its log cannot be compared.")
	return a, nil
}

// compareSeal holds the receipt against the seals of its job.
func (r *reading) compareSeal(a *Answer, c *Receipt) error {
	if !slices.Contains(r.d.About.Jobs, c.Job) {
		a.add(Finding{ReceiptJob, No, fmt.Sprintf("The receipt is of job %s, which this file is not about.", c.Job), nil, nil})
		return nil
	}
	var stated []At
	for _, s := range r.d.Seals {
		if s.Job != c.Job {
			continue
		}
		seal, err := r.seal(s)
		if err != nil {
			return err
		}
		if seal != nil && seal.Root == journal.Digest(c.Seal) && seal.Entries == c.Entries {
			return nil
		}
		stated = append(stated, s.At)
	}
	says := fmt.Sprintf("This file holds no seal of job %s that is the one on the receipt.", c.Job)
	if len(stated) > 0 {
		says = fmt.Sprintf("The seal of job %s in this file is not the one on the receipt.", c.Job)
	}
	a.add(Finding{ReceiptSeal, No, says, stated, nil})
	return nil
}

// seal reads what a proven record.sealed states of the seal's job; nil if it
// is not one.
func (r *reading) seal(s Seal) (*journal.Seal, error) {
	e := r.entries[s.At]
	if e == nil || e.in == nil || e.void != "" || e.kind() != journal.RecordSealed || e.e.Subject != journal.About(s.Job, "", "") {
		return nil, nil
	}
	p, err := r.payload(e)
	seal, _ := p.(*journal.Seal)
	return seal, err
}

// compareState holds the receipt against the state of the hub's log that it
// states.
func (r *reading) compareState(a *Answer, c *Receipt) {
	where := paths(CheckpointPath(r.d.Hub, c.Size))
	state := r.logs[r.d.Hub].states[c.Size]
	switch {
	case state == nil || !state.signed:
		a.add(Finding{ReceiptUnshown, Unknown, fmt.Sprintf("The receipt states the hub’s log at %s, and that state is not in this file.", words.Count(c.Size, "entry")), nil, nil})
	case state.Root != c.Root:
		a.add(Finding{ReceiptState, No, fmt.Sprintf("The first %s of the hub’s log in this file are not those that it had when the receipt was printed.", words.Count(c.Size, "entry")), nil, where})
	case !state.held.Equal(c.At):
		a.add(Finding{ReceiptTime, No, "The hub’s countersignature in this file has another time than the receipt.", nil, where})
	}
}
