package route

import (
	"fmt"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/words"
)

// Unmet returns the safety holds that are not met.
func (v Verdicts) Unmet() []Verdict {
	var list []Verdict
	for _, one := range v.List {
		if one.unmet() {
			list = append(list, one)
		}
	}
	return list
}

// unmet reports whether it is a safety hold that is not met.
func (v *Verdict) unmet() bool { return v.Class == card.Safety && v.State != Met }

// ReleaseAllowed reports whether no safety hold is unmet.
func (v Verdicts) ReleaseAllowed() bool { return len(v.Unmet()) == 0 }

// at says in short what a hold stands so at: "LF caliper", "RR", "vehicle".
func (v *Verdict) at() string {
	if len(v.At) == 0 || len(v.At) == len(v.Of) {
		return v.Subject.Place()
	}
	var names []string
	for _, s := range v.At {
		names = append(names, s.Place())
	}
	return words.And(names...)
}

// Unreleasable says which safety holds forbid handing a vehicle back.
type Unreleasable struct {
	Job   journal.JobID
	Unmet []Verdict
}

// mostNamed is how many unmet holds the sentence names.
const mostNamed = 5

// Error names the first holds that are not met.
func (e *Unreleasable) Error() string {
	var parts []string
	for _, v := range e.Unmet[:min(mostNamed, len(e.Unmet))] {
		parts = append(parts, fmt.Sprintf("%s (%s) is %s", words.Quoted(v.Title), v.at(), v.State))
	}
	more := ""
	if n := len(e.Unmet) - mostNamed; n > 0 {
		more = fmt.Sprintf(", and %d more", n)
	}
	return fmt.Sprintf("the vehicle of job %s may not be handed back yet: %s%s; `fettlebook holds %[1]s` says why", e.Job, strings.Join(parts, ", "), more)
}

// MayRelease returns nil if every safety hold is met, else an *[Unreleasable].
func (v Verdicts) MayRelease() error {
	if unmet := v.Unmet(); len(unmet) > 0 {
		return &Unreleasable{Job: v.Job, Unmet: unmet}
	}
	return nil
}

// Ignorance is a hold that is not met although the vehicle was handed back: one
// of safety, or one of quality that was met then.
type Ignorance struct {
	Released journal.EntryID `json:"released"`
	Now      Verdict         `json:"now"`
	// Later is whether the hold was met by all that was written up to the
	// release and an entry after it broke it. If not, what breaks the hold was
	// written before the release and had not reached who released, or was not
	// heeded.
	Later bool   `json:"later"`
	Say   string `json:"say"` // one sentence
}

// Ignorance looks, for a job that was handed back, for safety holds that are
// not met by what is known now: entries of other tablets may have come after
// the release, or may have been on their way. Of quality holds those count that
// were met then, since the others are told with the handover.
func (c *Held) Ignorance() []Ignorance {
	job := c.record
	switch {
	case job.Released == nil:
		return nil
	case c.card == nil:
		return []Ignorance{c.ignorance(missing(job).List[0], false)}
	}
	var list []Ignorance
	var then *Held // at the release; what is met now needs no look back
	for p, now := range c.verdicts() {
		turned := now.Class != card.Safety && (now.State == Broken || now.State == InDoubt)
		if !now.unmet() && !turned {
			continue
		}
		if then == nil {
			then = Hold(c.card, job, c.stock.UpTo(job.Released))
		}
		was := then.verdict(p)
		if later := was != nil && was.State == Met; later || !turned {
			list = append(list, c.ignorance(*now, later))
		}
	}
	return list
}

// ignorance says what came of a hold after a release. Later is whether it was
// met then.
func (c *Held) ignorance(now Verdict, later bool) Ignorance {
	released := c.record.Released
	by := c.stock.Shop().Initials(released.By)
	i := Ignorance{Released: released.ID, Now: now, Later: later}
	switch {
	case now.State == InDoubt:
		i.Say = fmt.Sprintf("%s handed the vehicle back, and whether %s was met is in doubt: %s", by, now.Title, now.Found())
	case later:
		i.Say = fmt.Sprintf("%s was met when %s handed the vehicle back, and is %s by what was written later: %s", now.Title, by, now.State, now.Found())
	default:
		i.Say = fmt.Sprintf("%s handed the vehicle back while %s was %s by what had been written by then, here or on another tablet: %s", by, now.Title, now.State, now.Found())
	}
	return i
}
