package route

import (
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// Claim is a complaint of a customer, with how it was settled.
type Claim struct {
	Opened  *record.Line
	Settled []*record.Line // decisions that count; the last one holds
	stands  *journal.Claim // nil if it was struck out
	writing words.Writing  // of the sentences
}

// Open reports whether the complaint waits for a decision.
func (c Claim) Open() bool { return c.stands != nil && len(c.Settled) == 0 }

// Said is the complaint in the customer's words, also once it was struck out.
func (c Claim) Said() string {
	if p, ok := c.Opened.Payload.(*journal.Claim); ok {
		return p.Says
	}
	return ""
}

// Say is the complaint as something that has to be decided.
func (c Claim) Say() string {
	return fmt.Sprintf("Decide the complaint of %s: “%s”", c.Opened.Clocks.Device.Said(c.writing), c.stands.Says)
}

// Claims lists the complaints of a job, those that were struck out too.
func Claims(job *record.Job) []Claim {
	var list []Claim
	for _, l := range job.Lines {
		if l.Kind != journal.ClaimOpened {
			continue
		}
		c := Claim{Opened: l, writing: job.Units().Writing}
		c.stands, _ = l.Effect().(*journal.Claim)
		c.Settled = facts.Decisions(job, l)
		list = append(list, c)
	}
	return list
}

// OpenClaims lists the complaints of a job that wait for a decision.
func OpenClaims(job *record.Job) []Claim {
	var list []Claim
	for _, c := range Claims(job) {
		if c.Open() {
			list = append(list, c)
		}
	}
	return list
}

// demand is a complaint as a follow-up: it is due from the moment it comes in.
func (c Claim) demand() FollowUp {
	f := FollowUp{Name: "claim", Title: "Decide the complaint", Claim: c.Opened.ID, Due: time.Time(c.Opened.Clocks.Device), State: Due, Source: "the customer’s complaint", Say: c.Say()}
	if n := len(c.Settled); n > 0 {
		holds := c.Settled[n-1]
		f.State, f.By, f.Say = Kept, holds.ID, fmt.Sprintf("Complaint of %s: %s", c.Opened.Clocks.Device.Said(c.writing), holds.Says())
	}
	return f
}
