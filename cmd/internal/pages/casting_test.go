package pages_test

import (
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
)

// TestACrackedCasting: a crack shows on the blasted caliper. It is written down on
// the page at hand, the customer is told, and what comes next is the casting that
// goes in instead, not more work on the cracked one.
func TestACrackedCasting(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	w := atTheBench(t, browsertest.Upright, "LF")
	const caliper = "/corner/LF/part/caliper"
	job, part := "job/"+w.job, "job/"+w.job+caliper
	writes(t, house.Bench(t), "io",
		statement{"vehicle.received", job, `"odometer":"84210 km","found":["scratched rim"],"agreed":true`},
		statement{"vehicle.raised", job, `"points":"sills","lift":true`},
		statement{"part.removed", part, ``},
		statement{"part.tagged", part, `"tag":"LF-1","number":"K7-1","metal":"iron"`},
		statement{"part.described", part, `"bleeders":1,"line":"banjo","parking_brake":"none","bores":[{"what":"piston bore","count":1}],"joints":[{"joint":"banjo bolt","bolts":1},{"joint":"mounting bolt","bolts":2}]`},
		statement{"hardware.bagged", job + "/corner/LF", `"bag":"1","items":[{"what":"bolt","count":2}]`},
		statement{"line.opened", job + "/corner/LF", `"at":"banjo"`},
	)

	w.p.OpenUntil(w.pages+"/stage/mask/job/"+w.job+caliper, "Damage found")
	w.p.Go("Damage found")
	w.snaps(photo(t, "blasted", 3))
	w.sets("condition=cracked ear", "where=upper ear", "decision=replace", "reason=cracked through", "told.how=telephone", "told.answer=replace it")
	w.stamps()
	w.p.Open(w.pages + "/job/" + w.job)
	w.p.Sees("Another part goes in")
	w.p.Go("enter the one that goes in as caliper-2")
	w.sets("tag=LF-2", "number=K7-2", "metal=iron")
	w.snaps(photo(t, "removed", 2))
	w.stamps()
	w.p.OpenUntil(w.pages+"/job/"+w.job, "LF caliper-2 · What it has")
	w.p.Gone("LF caliper · ") // nothing more is asked of the cracked one

	// The form of a torque offers the joints of these parts.
	w.p.Open(w.pages + "/stage/joints/job/" + w.job + "/corner/LF?kind=torque.applied")
	w.p.Sees("mounting bolt")
	w.p.Gone("bracket bolts")
	if found := w.p.Complaints(); len(found) > 0 {
		t.Error(found)
	}
}
