package worktest

import (
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/invented"
)

// takeOff plans a job's morning: off the vehicle and bare.
func (g *group) takeOff(j *job, at time.Time) {
	then := func(about journal.Subject, p journal.Payload) {
		g.line(j, at, about, j.who, p)
		at = at.Add(g.minutes(2, 6))
	}
	for _, corner := range j.car.corners {
		g.parts = append(g.parts, journal.About(j.id, corner, "caliper"), journal.About(j.id, corner, "bracket"))
	}
	g.bench(j, then).TakeOff(func(p journal.Subject) *journal.Removal {
		switch {
		case g.dice.IntN(16) == 0:
			return &journal.Removal{Condition: "a used one from a breaker, cleaner than ours", Supplied: true, Evidence: g.shots(1, "as it was brought")}
		case p.Part() == "bracket":
			return &journal.Removal{Condition: "rust, pins move"}
		}
		return &journal.Removal{Condition: pick(g.work, "rust on the outside, boot torn", "old paint flaking, no leak", "dry, pins move"), Evidence: g.shots(1, "as it came off")}
	}, func(p journal.Subject, i int) *journal.Tagging {
		is := j.car.castings[journal.About("", p.Corner(), p.Part())]
		return &journal.Tagging{Tag: fmt.Sprintf("%s-%d", p.Corner(), i), Mark: is.mark, Pattern: is.pattern, Metal: is.metal}
	})
}

// bench is the work at the corners of a job.
func (g *group) bench(j *job, then func(journal.Subject, journal.Payload)) *invented.Bench {
	small := journal.ToolID("tw-2")
	if j.bench == "bench-2" {
		small = "tw-3"
	}
	return &invented.Bench{Job: j.id, Corners: j.car.corners, Fluid: g.shop.fluid, Small: small, Dice: g.dice, Shots: g.shots, Then: then}
}

// putBack plans the last afternoon: on the vehicle, bled, driven, handed
// over, and asked about two weeks later.
func (g *group) putBack(j *job, at time.Time) {
	g.handOver(j, g.refit(j, at), journal.About(j.id, "", ""))
}

// refit plans that a vehicle is put together and bled, and says when that is
// done.
func (g *group) refit(j *job, at time.Time) time.Time {
	about := journal.About(j.id, "", "")
	then := func(about journal.Subject, p journal.Payload) {
		g.line(j, at, about, j.who, p)
		at = at.Add(g.minutes(1, 4))
	}
	g.bench(j, then).PutBack()
	if g.dice.IntN(4) == 0 {
		then(about, &journal.Remark{Evidence: journal.Evidence{Note: pick(g.work, "Pads have 7 mm left; told the customer by telephone.", "Disc has a lip on its rim.",
			"One wheel stud was stiff and was cleaned.", "Hose clip replaced from the drawer.")}})
	}
	return at
}
