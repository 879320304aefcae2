package main

import (
	"fmt"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/invented"
	"fettlebook/journal/trade/unit"
)

// counted makes entries of tables of counts: castings that were washed, sprayed,
// baked, looked at and handed back, with no more of their way through the shop
// than a study asks for.
type counted struct {
	steps []invented.Step
	jobs  int
	runs  int
}

// castings are some that are alike but for the defect.
type castings struct {
	kind    string // of part
	pattern string
	wash    string
	day     time.Time // of the powder, in the morning
	parts   int
	bad     int           // the first so many, at the inspection
	late    time.Duration // after handover, at which the defect showed on all of them
	heard   time.Duration // after handover, at which their customers were reached; of the others nobody was
}

// carParts is how many castings a car has here.
const carParts = 8

func (x *counted) say(at *time.Time, on journal.DeviceID, about journal.Subject, p journal.Payload) {
	x.steps = append(x.steps, invented.Step{At: *at, On: on, By: "io", About: about, Data: func() (journal.Payload, error) { return p, nil }})
	*at = at.Add(time.Second)
}

func (x *counted) run(what string) journal.Subject {
	return journal.Of("run", fmt.Sprintf("%s-%d", what, x.runs))
}

// add writes castings of one day, some to a car.
func (x *counted) add(c castings) {
	var all []journal.Subject
	for some := range slices.Chunk(make([]struct{}, c.parts), carParts) {
		all = append(all, x.car(c, len(some))...)
	}
	set, err := unit.Parse[unit.Temperature]("200 °C")
	if err != nil {
		panic(err)
	}
	at := c.day.Add(time.Hour)
	for rack := range slices.Chunk(all, journal.MaxParts) {
		x.runs++
		x.say(&at, invented.Booth, x.run("wash"), &journal.Degreasing{Rack: journal.Rack{Parts: rack}, Agent: c.wash})
		x.say(&at, invented.Booth, x.run("coat"), &journal.Coating{Rack: journal.Rack{Parts: rack}, Lot: "L001", Coat: 1})
		x.say(&at, invented.Booth, x.run("bake"), &journal.BakeStart{Rack: journal.Rack{Parts: rack}, Set: set})
	}
	looked, back := c.day.Add(6*time.Hour), c.day.Add(8*time.Hour)
	for _, part := range all[:c.bad] {
		x.say(&looked, invented.Booth, part, &journal.Defect{Looks: journal.Pinhole, Face: "bridge", Seen: journal.AfterBake})
	}
	for i := 0; i < len(all); i += carParts {
		car := journal.About(all[i].Job(), "", "")
		x.say(&back, invented.Counter, car, &journal.Release{})
		switch then := back.Add(max(c.late, c.heard)); {
		case c.late > 0:
			for _, part := range all[i:min(i+carParts, len(all))] {
				x.say(&then, invented.Counter, part, &journal.Defect{Looks: journal.Pinhole, Face: "bridge", Seen: journal.AfterHandover})
			}
		case c.heard > 0:
			x.say(&then, invented.Counter, car, &journal.Contact{How: journal.ByTelephone, About: "how the coat looks", Reached: true, Answer: "sound"})
		}
	}
}

// car takes in a car with so many castings.
func (x *counted) car(c castings, n int) (list []journal.Subject) {
	const letters = "23456789abcdefghjkmnpqrstuvwxyz"
	x.jobs++
	name := []byte("j2222222")
	for i, left := len(name)-1, x.jobs; left > 0; i, left = i-1, left/len(letters) {
		name[i] = letters[left%len(letters)]
	}
	job, at := journal.JobID(name), c.day
	x.say(&at, invented.Counter, journal.About(job, "", ""), &journal.Job{Vehicle: invented.Vehicle(x.jobs), Corners: []journal.Corner{journal.LeftFront}})
	for i := range n {
		part := journal.About(job, journal.LeftFront, journal.PartID(fmt.Sprintf("%s-%d", c.kind, i+1)))
		x.say(&at, invented.Counter, part, &journal.Tagging{Tag: fmt.Sprint(i + 1), Number: fmt.Sprintf("F%d-%d", x.jobs, i+1), Pattern: c.pattern, Metal: journal.Iron})
		list = append(list, part)
	}
	return list
}

// inOrder are the steps as they were taken.
func (x *counted) inOrder() []invented.Step {
	slices.SortStableFunc(x.steps, func(a, b invented.Step) int { return a.At.Compare(b.At) })
	return x.steps
}
