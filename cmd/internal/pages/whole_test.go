package pages_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
)

// does opens a stage, answers its form, and stamps it; with a picture there is a
// photograph.
func (w *worker) does(stage, place, kind string, picture string, more ...string) {
	w.t.Helper()
	at := "/stage/" + stage + "/job/" + w.job + place + "?kind=" + kind
	w.p.Open(w.pages + at)
	if picture != "" {
		w.snaps(photo(w.t, picture, len(place)+len(kind)))
	}
	if len(more) > 0 {
		w.sets(more...)
	} else {
		w.fills(kind, "")
	}
	w.stamps()
}

// runs writes one entry about all parts whose turn it is.
func (w *worker) runs(kind string, picture string) {
	w.t.Helper()
	w.p.Open(w.pages + "/run/new/" + kind)
	w.p.Go(`[value="all:` + w.job + `"]`)
	w.snaps(photo(w.t, picture, 77))
	w.fills(kind, "")
	w.stamps()
}

// trace is a recorder's file of a bake that does what the schedule asks for, with so
// many probes, of which each is a little cooler than the one before.
func trace(t *testing.T, probes int) string {
	return browsertest.Photo(t, "bake.csv", func(f *os.File) error {
		fmt.Fprint(f, "Time (min)")
		for n := range probes {
			fmt.Fprintf(f, ",Probe %d (°C)", n+1)
		}
		fmt.Fprintln(f, ",Air (°C)")
		for minute := range 45 {
			metal, air := min(196.0, 24+float64(minute)*12), min(203.0, 60+float64(minute)*20)
			if minute > 38 {
				metal -= float64(minute-38) * 12
			}
			fmt.Fprint(f, minute)
			for n := range probes {
				fmt.Fprintf(f, ",%.1f", metal-float64(n))
			}
			if _, err := fmt.Fprintf(f, ",%.1f\n", air); err != nil {
				return err
			}
		}
		return nil
	})
}

// TestAWholeJob works one corner from opening to release, on the pages alone,
// each entry on the page of its stage, and then looks at the desk: on a tablet held
// upright and the other way, and on a telephone. By default [TestTapsOfACorner]
// works such a job alone.
func TestAWholeJob(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	for _, size := range []browsertest.Size{browsertest.Upright, browsertest.Landscape, browsertest.Phone} {
		t.Run(size.Name, func(t *testing.T) { wholeJob(t, size) })
	}
}

func wholeJob(t *testing.T, size browsertest.Size) {
	shop := house.Shop(t)
	b := house.Browser(t)
	w := begins(t, b, size, house.Bench(t).Pages, house.Somebody(t))
	w.opens("LF")

	const corner, caliper, bracket = "/corner/LF", "/corner/LF/part/caliper", "/corner/LF/part/bracket"
	w.does("received", "", "vehicle.received", "received")
	w.does("received", "", "manual.read", "", "fluid=DOT 4", "from=manual")
	w.does("raised", "", "vehicle.raised", "")
	for _, part := range []string{caliper, bracket} {
		w.does("removed", part, "part.removed", "removed")
		name := part[strings.LastIndex(part, "/")+1:]
		w.does("removed", part, "part.tagged", "removed", "tag=LF-"+name, "number=K7-"+name, "metal=iron")
	}
	w.does("hardware", corner, "hardware.bagged", "hardware")
	w.does("opened", corner, "line.opened", "")
	w.does("strip", caliper, "part.stripped", "stripped")
	w.runs("part.degreased", "stripped")
	w.runs("part.blasted", "blasted")
	for _, part := range []string{caliper, bracket} {
		w.does("mask", part, "bore.masked", "masked")
	}
	w.runs("part.soaked", "soak")
	w.runs("powder.applied", "powder")
	w.bakes()
	for _, part := range []string{caliper, bracket} {
		w.does("unmask", part, "bore.unmasked", "unmasked")
		w.does("film", part, "film.measured", "film", "spots.0.place=outer face", "spots.0.readings=82 79 84", "low=60", "high=120")
		w.does("seats", part, "seat.proved", "seats")
	}
	w.does("rebuild", caliper, "part.rebuilt", "stripped")
	w.does("refit", bracket, "part.refitted", "refitted", "bleeder=none")
	w.does("refit", caliper, "part.refitted", "refitted")

	w.does("joints", corner, "torque.applied", "torque", "joint=bracket bolt", "torque=105", "tool=tw-1", "spec=bracket", "count=2", "new_bolts=yes")
	w.does("joints", corner, "torque.applied", "torque", "joint=guide pin bolt", "torque=30", "tool=tw-2", "spec=pin", "count=2")
	w.does("joints", corner, "washer.replaced", "washers")
	w.does("joints", corner, "line.connected", "")
	w.does("joints", corner, "torque.applied", "torque", "joint=banjo bolt", "torque=22", "tool=tw-2", "spec=banjo", "marked=yes")
	w.does("hydraulics", "", "reservoir.topped", "reservoir", "before=60", "after=90", "fluid=bf-31", "added=36")
	w.does("bleed", corner, "bleed.done", "bleed", "fluid=bf-31", "drawn=60", "bubbles=none", "screw=12", "tool=tw-2")
	w.does("hydraulics", "", "reservoir.topped", "reservoir", "before=40", "after=80", "fluid=bf-31", "added=48")
	w.does("hydraulics", "", "leak.checked", "")
	w.does("hydraulics", "", "pedal.checked", "")
	for _, step := range []string{"snug, wheel off the ground", "full, wheel on the ground"} {
		w.does("wheel", corner, "wheel.fitted", "wheel", "step="+step, "nuts=5", "pattern=star", "torque=120", "tool=tw-1", "spec=wheel")
	}
	w.does("road", "", "road.tested", "")

	// Not before a second person has looked.
	w.p.Open(w.pages + "/write/vehicle.released/job/" + w.job)
	w.p.Sees("The vehicle may not be handed back yet")
	w.p.Sees("The work was checked a second time")
	if w.p.Has("#stamp") {
		t.Error("there is a button to hand it back all the same")
	}
	w.p.Open(w.pages + "/who")
	w.p.Go("JR")
	w.does("road", "", "second.checked", "", "of="+w.newest(), "finds=right")
	w.p.Open(w.pages + "/write/vehicle.released/job/" + w.job)
	w.p.Set("odometer", "84216")
	w.p.Go("Hand the vehicle back")
	if w.p.Has("[name=sure]") {
		w.p.Refused()
		w.p.Go("without a photograph")
	}
	w.p.Until(`/State\s+(handed back|sealed)/.test(document.body.innerText)`) // the hub may have sealed it by now

	// At the desk the record is there, sealed, without a reload.
	desk := b.Page(size).For(t)
	desk.Open(shop.Hub.Pages + "/signin?back=/job/" + w.job)
	desk.Fill("Passphrase", browsertest.Passphrase)
	desk.Go("Sign in")
	desk.Sees("State sealed")
	desk.Sees("Before and after")
	for _, p := range []*browsertest.Page{w.p, desk} {
		if found := append(p.Complaints(), p.Strangers()...); len(found) > 0 {
			t.Error(found)
		}
	}
}

// newest is the newest entry that a second person can look at.
func (w *worker) newest() (id string) {
	w.t.Helper()
	w.p.Open(w.pages + "/stage/road/job/" + w.job + "?kind=second.checked")
	return w.p.Value(`document.querySelector("[name=of] option:nth-child(2)")?.value ?? document.querySelector("[name=of][value]:not([value=''])").value`)
}

// bakes starts a bake with a probe on one part, brings the recorder's file in,
// and sees the verdict at once.
func (w *worker) bakes() {
	w.t.Helper()
	w.p.Open(w.pages + "/run/new/bake.started")
	w.p.Go(`[value="all:` + w.job + `"]`)
	w.snaps(photo(w.t, "probe", 5))
	w.fills("bake.started", "")
	w.p.Set("probes.0.on", "job/"+w.job+"/corner/LF/part/caliper")
	w.stamps()
	run := w.p.URL()
	w.p.Open(run[:strings.Index(run, "/run/")] + "/write/probe.logged" + run[strings.Index(run, "/run/"):])
	w.p.Upload("#trace", trace(w.t, 1))
	w.p.Go("Read the file")
	w.p.Sees("45 samples")
	w.stamps()
	w.p.Sees("Schedule met")
}
