package shop

import (
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/index"
)

// question is something that was asked of the index. Its answer changes when
// an entry arrives that gives the same question.
type question string

func inHome(home journal.Subject) question { return question("in " + home) }

// home is the home whose entries are asked for, if any's are.
func (q question) home() (journal.Subject, bool) {
	name, ok := strings.CutPrefix(string(q), "in ")
	return journal.Subject(name), ok
}

func citing(thing journal.Subject) question   { return question("citing " + thing) }
func keyed(text string) question              { return question("keyed " + text) }
func named(id journal.EntryID) question       { return question("named " + id.String()) }
func usedUpTo(thing journal.Subject) question { return question("using " + thing) }
func clockOf(home journal.Subject) question   { return question("clock " + home) }

// people is who works here, all of them.
const people question = "people"

// units is in which units the shop works.
const units question = "units"

// always is the place of an entry that changes the answer wherever it stands.
const always = 0

// questions are those that a case asked, each with the last place in the order
// of replay that matters to it.
type questions map[question]uint64

func (q questions) ask(what question, upTo uint64) { q[what] = max(q[what], upTo) }

// whole is beyond all places.
const whole = ^uint64(0)

// answered lists the questions whose answers an entry changes, each with its
// place.
func answered(item index.Item) questions {
	q := make(questions)
	e := item.Entry
	if e == nil {
		return q
	}
	home := index.Home(e.Subject)
	if e.Type.Kind == journal.ClockCompared {
		q[clockOf(home)] = item.Place
	} else {
		q[inHome(home)] = always
	}
	if home.Word() == "person" {
		q[people] = always
	}
	if home.Word() == "shop" && e.Type.Kind != journal.DeviceInvited {
		q[units] = always
	}
	q[named(e.ID)] = always
	for _, s := range item.Cites() {
		q[citing(s)] = always
	}
	if item.Payload == nil {
		return q
	}
	for _, text := range index.Keys(item.Payload) {
		q[keyed(text)] = always
	}
	for _, u := range journal.Uses(item.Payload) {
		q[usedUpTo(u.Of)] = item.Place
	}
	return q
}

// touches reports whether an answer at a place matters to one who asked.
func (q questions) touches(what question, place uint64) bool {
	upTo, asked := q[what]
	return asked && place <= upTo
}
