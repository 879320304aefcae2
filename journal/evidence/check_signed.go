package evidence

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/words"
)

func (r *reading) checkSigned() (Answer, error) {
	a := Answer{Question: Signed}
	r.checkRegister(&a)
	if err := r.checkAbout(&a); err != nil {
		return a, err
	}
	for i := range r.d.Logs {
		r.checkStates(&a, &r.d.Logs[i])
	}
	bad := 0
	for _, e := range r.list {
		before := len(a.Findings)
		r.checkEntry(&a, e)
		if err := r.checkQuote(&a, e); err != nil {
			return a, err
		}
		if len(a.Findings) > before {
			bad++
		}
	}
	n := words.Count(len(r.list), "entry")
	a.settle(fmt.Sprintf("Yes: each of the %s is in a log whose device the register admitted, at its place, signed.", n),
		words.Choose(bad > 0, fmt.Sprintf("No: something is wrong with %s.", words.Of(bad, len(r.list), "entry")), "No: the logs, the register and what the file says of itself do not agree."),
		fmt.Sprintf("Each of the %s is in a log that its device signed. What cannot be known about them is listed.", n))
	return a, nil
}

// checkStates says which states of a log are not signed by its device, or are
// not of one history.
func (r *reading) checkStates(a *Answer, l *Log) {
	got := r.logs[l.Device]
	for i, s := range l.States {
		where := paths(CheckpointPath(l.Device, s.Size))
		switch state := got.states[s.Size]; {
		case state == nil && got.key == nil:
			// said of the register
		case state == nil:
			a.add(Finding{StateUnsigned, No, fmt.Sprintf("The signed state of %s of the log of %s is not here.", words.Count(s.Size, "entry"), l.Device), nil, where})
		case state.signed:
		case state.Origin != "" && i > 0:
			a.add(Finding{StateBroken, No, fmt.Sprintf("The log of %s has a signed state of %s that is not shown to have grown out of the one before.", l.Device, words.Count(s.Size, "entry")), nil, where})
		default:
			a.add(Finding{StateUnsigned, No, fmt.Sprintf("The state of %s of the log of %s is not signed by a key with which the register admitted that device.", words.Count(s.Size, "entry"), l.Device), nil, where})
		}
	}
}

func (r *reading) checkEntry(a *Answer, e *entry) {
	at, where := []At{e.At}, paths(EntryPath(e.At))
	counts, closed := r.reg.counts[e.At.Device]
	switch {
	case !e.here:
		a.add(Finding{EntryGone, No, fmt.Sprintf("The bytes of the entry %s are not here.", e.At), at, where})
	case e.e == nil:
		a.add(Finding{EntryBroken, No, fmt.Sprintf("The bytes of the entry %s are not an entry.", e.At), at, where})
	case e.e.ID != e.ID:
		a.add(Finding{EntryOther, No, fmt.Sprintf("The entry %s has another ID than the description of the dossier says.", e.called()), at, append(where, paths(DossierPath)...)})
	case e.e.Source.Shop != r.d.Shop || e.e.Source.Device != e.At.Device:
		a.add(Finding{EntryOther, No, fmt.Sprintf("The entry %s names another shop or device than the one in whose log it is said to lie.", e.called()), at, where})
	case closed && e.At.Index >= counts:
		a.add(Finding{NotCounted, No, fmt.Sprintf("The entry %s does not count: the register closed the log of %s after its first %s.", e.called(), e.At.Device, words.Count(counts, "entry")), at, where})
	case e.void != "":
		a.add(Finding{Voided, Yes, fmt.Sprintf("The entry %s counts for nothing: %s.", e.called(), e.void.Sentence()), at, where})
	}
	if e.here && e.in == nil {
		a.add(Finding{NotProven, No, fmt.Sprintf("It is not proven that the entry %s lies at its place in a log that its device signed.", e.called()), at, append(where, paths(ProofPath(e.At))...)})
	}
}

// checkQuote checks that what was taken over was in the log from which it is
// quoted.
func (r *reading) checkQuote(a *Answer, e *entry) error {
	if e.kind() != journal.EntryTakenOver {
		return nil
	}
	p, err := r.payload(e)
	quote, ok := p.(*journal.TakenOver)
	if err != nil || !ok {
		return err
	}
	at, where := []At{e.At}, paths(EntryPath(e.At))
	keys := r.reg.keys[quote.Device]
	switch {
	case len(keys) == 0:
		a.add(Finding{QuoteNotProven, Unknown, fmt.Sprintf("The entry %s quotes one of the log of %s, and no entry of the register that is here says which key that device had.", e.called(), quote.Device), at, where})
	case proof.CheckQuote(quote, r.d.Shop, keys) != nil:
		a.add(Finding{QuoteNotProven, No, fmt.Sprintf("The entry %s quotes one of the log of %s, and the quote is not proven to have been there.", e.called(), quote.Device), at, where})
	}
	return nil
}
