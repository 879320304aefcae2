package invented

import (
	"time"

	"fettlebook/journal"
)

// What the shop's card allows, and what the shop lets pass with a reason.
const (
	blastLasts = 240 // minutes from blast to powder
	heatLasts  = 120 // minutes of a casting that may lose its temper
)

// waive writes which quality holds the desk let pass, before the car went back
// or, for what a later job did to one of its castings, on that day.
func (w *writing) waive(j *Job) {
	let := func(at time.Time, hold journal.HoldID, why string) {
		w.say(at, Counter, desk, journal.About(j.ID, "", ""), &journal.Waiver{Hold: hold, Reason: why})
	}
	late, hot := false, time.Time{}
	for _, c := range j.Coats {
		late = late || c.BlastMinutes > blastLasts
		if c.Metal == journal.Iron {
			continue
		}
		minutes := 0.0
		for _, o := range w.lives[c.Casting] {
			minutes += o.soakHeat() + w.heats.of(o.BakeMetal).minutes
			if minutes > heatLasts && o.Job.Back.After(hot) {
				hot = o.Job.Back
			}
		}
	}
	const before = 40 * time.Minute
	if late {
		let(j.Back.Add(-before), "delays", "kept warm on the drying rack since the blast; no rust seen before powder")
	}
	if !hot.IsZero() {
		let(hot.Add(-before), "heat-dose", "the maker of the casting allows more for this alloy; the letter is in the folder")
	}
}
