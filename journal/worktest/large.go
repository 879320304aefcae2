package worktest

import (
	"time"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// planLarge plans the job that is as large as jobs get. The first time a job
// like all others hangs beside it.
func (w *work) planLarge(morning time.Time) error {
	g := w.newGroup(w.shop.lots[0])
	for range 2 {
		j, err := g.open(morning.Add(w.minutes(5, 40)))
		if err != nil {
			return err
		}
		g.jobs = append(g.jobs, j)
	}
	large, beside := g.jobs[0], g.jobs[1]
	if w.opts.Opened != nil {
		w.opts.Opened(large.id)
	}
	large.car.corners = []journal.Corner{journal.LeftFront, journal.RightFront, journal.LeftRear, journal.RightRear}
	w.cast(large.car)
	g.describe(large, morning.Add(48*time.Minute))
	for round := range w.opts.Large {
		day := morning.AddDate(0, 0, 7*round)
		for _, j := range g.jobs {
			g.takeOff(j, day.Add(w.minutes(60, 80)))
		}
		g.coat(day)
		g.bake(day.AddDate(0, 0, 1))
		put := day.AddDate(0, 0, 1).Add(4 * time.Hour)
		if round == 0 {
			g.putBack(beside, put)
		}
		if round == w.opts.Large-1 {
			g.putBack(large, put)
			g.complain(large, put.AddDate(0, 0, 40))
			break
		}
		g.refit(large, put)
		w.shop.groups++
		g.number, g.jobs, g.parts = w.shop.groups, g.jobs[:1], nil
	}
	return nil
}

// describe plans that what the parts have is stated.
func (g *group) describe(j *job, at time.Time) {
	for _, corner := range j.car.corners {
		g.line(j, at, journal.About(j.id, corner, "caliper"), j.who, &journal.MakeUp{
			Bores: []journal.Item{{What: "piston bore", Count: 1}}, Threads: []journal.Item{{What: "pin bolt thread", Count: 2}},
			Seats: []journal.Item{{What: "bleeder seat", Count: 1}, {What: "banjo seat", Count: 1}}, Lands: []journal.Item{{What: "pad land", Count: 2}},
			Rubber: []journal.Item{{What: "square seal", Count: 1}, {What: "dust boot", Count: 1}}, Bleeders: 1, Line: journal.ByBanjo,
			Joints: []journal.Bolting{{Joint: "banjo bolt", Bolts: 1}, {Joint: "guide pin bolts", Bolts: 2}}, Parking: journal.NoParkingBrake})
		g.line(j, at.Add(time.Minute), journal.About(j.id, corner, "bracket"), j.who, &journal.MakeUp{
			Bores: []journal.Item{{What: "pin bore", Count: 2}}, Seats: []journal.Item{{What: "bolt seat", Count: 2}},
			Line: journal.NoLine, Joints: []journal.Bolting{{Joint: "bracket bolts", Bolts: 2}}, Parking: journal.NoParkingBrake})
		at = at.Add(2 * time.Minute)
	}
}

// complain plans that the customer comes back with a complaint, and what is
// decided.
func (g *group) complain(j *job, at time.Time) {
	of := new(journal.EntryID)
	about := journal.About(j.id, "", "")
	g.step(j, at, about, counter, says(&journal.Claim{Says: "a bubble in the coat on the left", Odometer: q[unit.Distance]("90000 km"), Evidence: g.shots(2, "the bubble")}), of)
	g.step(j, at.Add(time.Hour), about, counter, func() (journal.Payload, error) {
		return &journal.ClaimDecision{Of: *of, Decision: "put right at our cost", Reason: "a pinhole under the film"}, nil
	}, nil)
}
