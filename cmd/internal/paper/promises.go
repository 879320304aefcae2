package paper

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
)

// boxes are what the customer is to do, and when, and when the shop calls.
func (t *told) boxes() (list Boxes) {
	var said []string
	for _, f := range t.followUps() {
		p := t.promise(f)
		if p == nil {
			continue
		}
		said = append(said, f.Told)
		calls := !slices.Contains(p.Kept, journal.RetorqueDone)
		text := words.Sentence(words.Capital(f.Told))
		switch {
		case f.State == route.Kept:
			text = words.Sentence(f.Say)
		case calls:
			text = words.If(text != "", text+" ") + "We will call to " + words.Small(f.Title) + "."
		case text == "":
			text = words.Sentence(f.Title)
		}
		when := words.Choose(calls, "On ", "By ") + t.writing().Day(f.Due)
		list = append(list, Pair{words.Commas(when, words.Fill("at %s", t.writing().Number(f.Odometer))), say(text)})
	}
	r, ok := t.Job.Released.Effect().(*journal.Release)
	if !ok {
		return list
	}
	var told []string
	for _, one := range slices.Concat(r.Told, texts(r.Advised)) {
		if !slices.Contains(said, one) {
			told = append(told, one)
		}
	}
	for _, one := range told {
		list = append(list, Pair{"From today", say(words.Sentence(words.Capital(one)))})
	}
	return list
}

func texts[T ~string](list []T) (out []string) {
	for _, one := range list {
		out = append(out, string(one))
	}
	return out
}

func (t *told) followUps() []route.FollowUp { return route.FollowUps(t.Card, t.Job, t.ask.At) }

// promise is the promise of the card that a follow-up is of; nil of others.
func (t *told) promise(f route.FollowUp) *card.Promise {
	if t.Card == nil || !f.Claim.IsZero() || !f.Recall.IsZero() {
		return nil
	}
	i := slices.IndexFunc(t.Card.FollowUps, func(p card.Promise) bool { return p.Name == f.Name })
	if i < 0 {
		return nil
	}
	return &t.Card.FollowUps[i]
}

// open is what is owed to the customer, and what was written after the handover.
func (t *told) open() (list List) {
	for _, f := range t.followUps() {
		switch p := t.promise(f); {
		case f.State == route.Kept:
		case p == nil:
			list = append(list, say(words.Sentence(f.Say)))
		case f.State == route.Due:
			list = append(list, say(words.Sentence(f.Say)))
		}
	}
	later := 0
	if t.held != nil {
		later = len(t.held.Later)
	} else {
		later = t.afterHandover()
	}
	if later > 0 {
		list = append(list, say(words.Count(later, "entry")+words.Choose(later == 1, " was", " were")+" added after the handover. The seal does not cover what came later."))
	}
	return list
}

// afterHandover counts the entries that were added after the handover of a job that is
// not sealed.
func (t *told) afterHandover() (later int) {
	for _, l := range t.Job.Timeline() {
		if l.Has(record.AfterHandover) {
			later++
		}
	}
	return later
}
