package journal

import "fettlebook/journal/words"

// CastingMatch is the data of casting.matched: somebody says that the part is
// the same piece of metal as one of another job, and shows it. Without a
// photograph, or struck out, it joins nothing.
type CastingMatch struct {
	As  Subject `json:"as"`  // the other life of it
	How string  `json:"how"` // by what it is known
	Evidence
}

// Kind returns casting.matched.
func (*CastingMatch) Kind() Kind { return CastingMatched }

// Say leaves out which part it is: a record tells nothing of the jobs of others.
func (p *CastingMatch) Say() string {
	return "the same casting as a part of another job, known by: " + p.How
}

func (p *CastingMatch) check(found *problems) {
	if p.As != "" && p.As.Word() != "job/corner/part" {
		found.add("as", Clash, "%s is not a part; a part looks like job/4f7kk2m9/corner/LF/part/caliper", words.Quoted(p.As))
	}
}
