package invented

import (
	"io"
	"math/rand/v2"
	"slices"
	"time"

	"fettlebook/journal"
)

// Step is an entry that somebody writes.
type Step struct {
	At    time.Time
	On    journal.DeviceID
	By    journal.PersonID
	About journal.Subject
	// Data is asked for when the steps before it were written: it may cite them.
	Data func() (journal.Payload, error)
	// Wrote is told what came of it; nil if nobody cites it.
	Wrote func(journal.EntryID)
	// Shots are the photographs that are taken for it.
	Shots []Shot
	// Card is the customer's card that the entry commits to.
	Card *journal.Card
}

// The devices of the shop. The office is its hub: there the register is kept.
const (
	Office  journal.DeviceID = "office"
	Counter journal.DeviceID = "counter"
	Booth   journal.DeviceID = "bench-1"
)

// Who works in the shop.
const (
	desk   journal.PersonID = "io"
	first  journal.PersonID = "mo"
	second journal.PersonID = "ty"
)

// writing makes the steps of a plan.
type writing struct {
	plan  *Plan
	dice  *rand.Rand
	rand  io.Reader // of cards
	steps []Step
	shots uint64 // so many were taken
	lives map[string][]*Coat
	heats heats
}

// Steps are the plan as the entries that are written of it, in order.
func (p *Plan) Steps() ([]Step, error) {
	var seed [32]byte
	for i := range 8 {
		seed[i] = byte(p.Seed >> (8 * i))
	}
	w := &writing{plan: p, dice: rand.New(rand.NewPCG(p.Seed, 0x656e7472)), rand: rand.NewChaCha8(seed), lives: p.lives(), heats: make(heats)}
	w.register()
	w.supplies()
	if err := w.revise(); err != nil {
		return nil, err
	}
	for _, j := range p.Jobs {
		if err := w.job(j); err != nil {
			return nil, err
		}
	}
	w.runs()
	slices.SortStableFunc(w.steps, func(a, b Step) int { return a.At.Compare(b.At) })
	return w.steps, nil
}

// say plans an entry.
func (w *writing) say(at time.Time, on journal.DeviceID, by journal.PersonID, about journal.Subject, p journal.Payload) *Step {
	w.steps = append(w.steps, Step{At: at, On: on, By: by, About: about, Data: func() (journal.Payload, error) { return p, nil }})
	return &w.steps[len(w.steps)-1]
}

// bench returns who works at a job, and who looks at the work.
func (j *Job) bench() (by, looks journal.PersonID) {
	if j.Number%2 == 0 {
		return first, second
	}
	return second, first
}

// opened is the first morning of the shop, before which its register was
// written.
func (w *writing) opened() time.Time { return w.plan.Begun.AddDate(0, 0, -10) }
