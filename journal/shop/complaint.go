package shop

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
)

// Complaint is a complaint of a customer, with what somebody who decides about
// it looks at.
type Complaint struct {
	route.Claim
	Job          *record.Job
	Coverage     facts.Coverage
	Touched      []Touch        // what had to do with the parts of the job
	Reworks      []*record.Job  // jobs that were opened to answer it
	Investigated []*record.Line // that rest on it, or were made since
}

// Complaint returns a complaint by its entry or by that of its decision, nil
// if there is none.
func (v *View) Complaint(id journal.EntryID) *Complaint {
	for _, l := range v.Line(id) {
		if d, ok := l.Payload.(*journal.ClaimDecision); ok {
			id = d.Of
		}
		for _, c := range v.Complaints(v.Standing(l.Subject.Job())) {
			if c.Opened.ID == id {
				return c
			}
		}
	}
	return nil
}

// Complaints returns those about a job, those that were struck out too.
func (v *View) Complaints(st *Standing) []*Complaint {
	if st == nil {
		return nil
	}
	claims := route.Claims(st.Job)
	if len(claims) == 0 {
		return nil
	}
	touched := v.Touched([]*record.Job{st.Job})
	var list []*Complaint
	for _, is := range claims {
		c := &Complaint{Claim: is, Job: st.Job, Coverage: st.Stock.Coverage(is.Opened), Touched: touched, Reworks: v.reworks(is.Opened.ID)}
		for _, l := range st.Job.Timeline() {
			if d, ok := l.Effect().(*journal.Investigation); ok && (facts.After(l, is.Opened) || slices.Contains(d.Rests, is.Opened.ID)) {
				c.Investigated = append(c.Investigated, l)
			}
		}
		list = append(list, c)
	}
	return list
}

// reworks are the jobs that say that they answer a complaint.
func (v *View) reworks(claim journal.EntryID) (list []*record.Job) {
	for _, l := range v.Cites(journal.EntrySubject(claim)) {
		if l.Kind != journal.JobOpened {
			continue
		}
		if j := v.Job(l.Subject.Job()); j != nil && j.Stated != nil && j.Stated.Claim == claim && !slices.Contains(list, j) {
			list = append(list, j)
		}
	}
	return list
}
