package pages_test

import (
	"encoding/json"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
)

// TestABracketAlone: a bracket comes off beside a line that stays closed. What
// is not the point is written by command; on the pages nobody is asked for what
// the job does not have, nor to drive on wheels that are snug only.
func TestABracketAlone(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	shop, tablet, w := house.Shop(t), house.Bench(t), atTheBench(t, browsertest.Upright, "LF")
	// The joint is no other test's: of two specs of one nothing is filled in for them.
	shop.Add("spec.recorded", "spec=lone", "joint=support bolt", "nominal=105 N.m", "low=95 N.m", "high=115 N.m", "bolts=2", "from=maker's manual", "page=4-113")
	const corner, bracket = "/corner/LF", "/corner/LF/part/bracket"
	adds := func(by, kind string, fields ...string) (id string) {
		t.Helper()
		args := []string{"add", kind, "--data", tablet.Dir, "--by", by, "--json", "--job", w.job}
		var wrote struct{ ID string }
		if err := json.Unmarshal(shop.Command("", append(args, fields...)...), &wrote); err != nil {
			t.Fatal(err)
		}
		return wrote.ID
	}
	job := "job/" + w.job
	writes(t, tablet, "io",
		statement{"vehicle.received", job, `"odometer":"84210 km","found":["scratched rim"],"agreed":true`},
		statement{"vehicle.raised", job, `"points":"sills","lift":true`},
		statement{"part.removed", job + bracket, ``},
		statement{"part.tagged", job + bracket, `"tag":"LF-1","metal":"iron"`},
		statement{"part.described", job + bracket, `"bleeders":0,"line":"none","parking_brake":"none","uncoated":true,"joints":[{"joint":"support bolt","bolts":2}],"seats":[{"what":"bolt seat","count":2}]`},
		statement{"hardware.bagged", job + corner, `"bag":"1","items":[{"what":"bolt","count":2}]`},
		statement{"part.refitted", job + bracket, ``},
	)

	// The bracket's own bolts: nobody asks for the hose, its washers or a bleeder.
	w.p.OpenUntil(w.pages+"/job/"+w.job, "Washers and torque")
	w.p.Gone("write down that new washers were fitted")
	w.p.Open(w.pages + "/stage/joints/job/" + w.job + corner + "?kind=torque.applied")
	w.p.Gone("bleeder up")
	w.sets("spec=lone", "joint=support bolt", "torque=105", "tool=tw-1", "count=2", "new_bolts=yes")
	w.stamps()
	writes(t, tablet, "io",
		statement{"torque.applied", job + corner, `"joint":"guide pin bolt","torque":"30 N·m","tool":"tw-2","spec":"pin","count":2`},
		statement{"pedal.checked", job, `"feel":"firm"`},
		// A wheel that is only snug comes before the road test.
		statement{"wheel.fitted", job + corner, `"step":"snug, wheel off the ground","nuts":5,"pattern":"star","torque":"50 N·m","tool":"tw-1","spec":"wheel"`},
	)
	w.p.OpenUntil(w.pages+"/job/"+w.job, "Wheel tightened in two steps")
	w.p.Gone("Write down that the vehicle was driven")
	w.p.Go("Wheel tightened in two steps") // leads to the form that meets it
	w.snaps(photo(t, "wheel", 1))
	w.sets("step=full, wheel on the ground", "nuts=5", "pattern=star", "torque=120", "tool=tw-1", "spec=wheel")
	w.stamps()
	w.p.Open(w.pages + "/job/" + w.job)
	w.p.Sees("Write down that the vehicle was driven")
	drive := adds("io", "road.tested", "distance=5 km", "result=straight")
	adds("jr", "second.checked", "of="+drive, "finds=right")
	w.p.OpenUntil(w.pages+"/holds/"+w.job, "No safety hold forbids handing the vehicle back")
	adds("io", "vehicle.released", "odometer=84216 km", "told=wheel nuts again after 50 km")
	w.p.Open(w.pages + "/job/" + w.job)
	w.p.Until(`/State\s+(handed back|sealed)/.test(document.body.innerText)`)
	if found := w.p.Complaints(); len(found) > 0 {
		t.Error(found)
	}
}
