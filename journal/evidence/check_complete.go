package evidence

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/words"

	"golang.org/x/mod/sumdb/tlog"
)

func (r *reading) checkComplete() (Answer, error) {
	a := Answer{Question: Complete}
	sealed := make(map[journal.JobID]bool)
	covered := 0
	for _, s := range r.d.Seals {
		seal, err := r.seal(s)
		if err != nil {
			return a, err
		}
		if seal == nil {
			a.add(Finding{SealGone, No, fmt.Sprintf("The seal of job %s is said to be the entry %s, which is not here, not proven, or not the seal of that job.", s.Job, s.At), []At{s.At}, paths(EntryPath(s.At))})
			continue
		}
		sealed[s.Job] = true
		covered += seal.Entries
		r.checkSeal(&a, s, seal)
	}
	for _, job := range r.d.About.Jobs {
		if !sealed[job] {
			a.add(Finding{NotSealed, Unknown, fmt.Sprintf("Job %s has no seal in this file: it was not handed back yet, or the seal was left out. So nothing shows that all of it is here.", job), nil, nil})
		}
	}
	n := words.Count(covered, "entry")
	a.settle(fmt.Sprintf("Yes: the seal covers %s, and all of them are here, none changed, none more.", n),
		"No: what is here is not what was sealed at handover.",
		words.Choose(a.count(Withheld) > 0, "What is here is what was sealed, but some of it is withheld.", "Nothing shows that all is here: a seal is missing."))
	return a, nil
}

// checkSeal works the seal out from the entries that are here.
func (r *reading) checkSeal(a *Answer, s Seal, seal *journal.Seal) {
	where := paths(EntryPath(s.At))
	if len(s.Covers) != seal.Entries {
		a.add(Finding{SealCount, No, fmt.Sprintf("The seal of job %s covers %s, and %s listed here.", s.Job, words.Count(seal.Entries, "entry"), words.Either(len(s.Covers), "is", "are")), []At{s.At}, where})
	}
	tree := new(proof.Tree)
	seen := make(map[At]bool)
	whole := true
	for _, c := range s.Covers {
		if seen[c.At] {
			a.add(Finding{SealedTwice, No, fmt.Sprintf("The seal of job %s is said to cover the entry %s twice.", s.Job, c.At), []At{c.At}, paths(DossierPath)})
		}
		seen[c.At] = true
		e := r.entries[c.At]
		switch {
		case e != nil && e.here:
			tree.AppendHash(e.leaf)
		case !c.Leaf.IsZero():
			tree.AppendHash(tlog.Hash(c.Leaf))
			a.add(Finding{Withheld, Unknown, fmt.Sprintf("The entry %s under the seal of job %s is withheld: only its hash is here.", c.At, s.Job), []At{c.At}, nil})
		default:
			whole = false
			a.add(Finding{SealedGone, No, fmt.Sprintf("The entry %s under the seal of job %s is not here.", c.At, s.Job), []At{c.At}, paths(EntryPath(c.At))})
		}
	}
	if whole && journal.Digest(tree.Root()) != seal.Root {
		a.add(Finding{SealRoot, No, fmt.Sprintf("The entries that are here, in the order given, do not come to the seal of job %s: one was changed, left out, added or moved after handover.", s.Job), []At{s.At}, append(where, paths(DossierPath)...)})
	}
}
