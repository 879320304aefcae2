package pages_test

import (
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
)

// TestAJobByKeys works at a job with a keyboard alone, from the counter over a run and a
// figure that breaks a hold to the page that does not hand the vehicle back. Wherever the
// focus comes it is seen.
func TestAJobByKeys(t *testing.T) {
	t.Parallel()
	bench, by := house.Bench(t), house.Somebody(t)
	p := house.Browser(t).Page(browsertest.Landscape).For(t)
	p.ByKeys()
	w := &worker{t: t, p: p, pages: bench.Pages}
	p.OpenUntil(w.pages+"/who", by)
	p.Go(by)
	w.opens("LF")
	const bracket = "/corner/LF/part/bracket"
	w.follows("removed", bracket, "part.removed")
	w.snaps(photo(t, "removed", 1))
	w.fills("part.removed", "")
	w.stamps()
	w.follows("removed", bracket, "part.tagged")
	w.snaps(photo(t, "removed", 2))
	w.fills("part.tagged", "bracket")
	w.stamps()
	p.Sees("Stamped:")
	p.TakeBack()
	p.Sees("Taken back:")

	// A run takes what lies there.
	p.Go(`.bar a.home`)
	p.Go("Blast")
	p.Set("part", "job/"+w.job+bracket)
	w.snaps(photo(t, "blasted", 1))
	w.fills("part.blasted", "")
	w.stamps()

	// A figure that breaks a hold takes a second press.
	p.Go(`.bar a.home`)
	p.Go(`[href="/job/` + w.job + `"]`)
	w.follows("joints", "/corner/LF", "torque.applied")
	w.sets("joint=banjo bolt", "torque=220", "tool=tw-2", "spec=banjo")
	p.Until(`document.querySelector("#act.breaks, #verdict p.wrong") !== null`)
	w.stamps()

	p.Go(`[href="/write/vehicle.released/job/` + w.job + `"]`)
	p.Sees("The vehicle may not be handed back yet")
	p.Go("#ways a.need")
	if !strings.Contains(p.URL(), "/stage/") {
		t.Errorf("the way leads to %s", p.URL())
	}
	for _, hidden := range p.Unseen() {
		t.Error(hidden)
	}
	t.Logf("%d presses", p.Pressed())
}

// follows goes from where the worker stands to the form of an entry, by links.
func (w *worker) follows(stage, place, kind string) {
	w.t.Helper()
	at := "/stage/" + stage + "/job/" + w.job + place
	if !w.p.Has(`form[action^="` + at + `?kind=` + kind + `"]`) {
		w.towards(`[href^="` + at + `"]`)
	}
	if form := `form[action^="` + at + `?kind=` + kind + `"]`; !w.p.Has(form) {
		w.p.Go(`[href^="` + at + `?kind=` + kind + `"]`)
	}
}
