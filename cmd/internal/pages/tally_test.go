package pages_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
)

// What a corner may cost.
const (
	mostTaps   = 110
	mostTyped  = 120
	mostLoads  = 45
	mostPhotos = 14
)

// row is a line of the table.
type row struct {
	Name string
	browsertest.Tally
}

// table says what a job cost the hands, stretch by stretch.
func table(rows []row) string {
	var b strings.Builder
	fmt.Fprintf(&b, "| stretch | taps | typed characters | page loads | photographs |\n|---|---:|---:|---:|---:|\n")
	var all browsertest.Tally
	line := func(name string, t browsertest.Tally) {
		fmt.Fprintf(&b, "| %s | %d | %d | %d | %d |\n", name, t.Taps, t.Typed, t.Loads, t.Photos)
	}
	for _, r := range rows {
		line(r.Name, r.Tally)
		all = all.Plus(r.Tally)
	}
	line("**in all**", all)
	return b.String()
}

// yesterday is a job of the day before, from which tools, lots, settings and the
// recorder's channels are known. What was measured or counted there is not offered.
func yesterday(t *testing.T, tablet *browsertest.Program, by string, corners ...string) {
	t.Helper()
	job := "job/" + opened(t, tablet, by, house.Plate(), "51200 km", corners...)
	corner := job + "/corner/" + corners[0]
	var parts, probes []string
	for i, place := range places(corners...) {
		parts = append(parts, fmt.Sprintf("%q", job+place))
		probes = append(probes, fmt.Sprintf(`{"channel":"Probe %d","place":"thick ear","on":%q}`, i+1, job+place))
	}
	hung := `"parts":[` + strings.Join(parts, ",") + `]`
	writes(t, tablet, by,
		statement{"vehicle.raised", job, `"points":"sills, front and rear","stands":4`},
		statement{"part.degreased", "run/wash", `"agent":"hot wash","chlorinated":false,` + hung},
		statement{"part.blasted", "run/blast", `"media":"glass bead 90-150 µm",` + hung},
		statement{"part.soaked", "run/soak", `"set":"230 °C","held":"35 min",` + hung},
		statement{"powder.applied", "run/powder", `"lot":"so-118","coat":1,` + hung},
		statement{"bake.started", "run/bake", `"set":"200 °C",` + hung + `,"probes":[` + strings.Join(probes, ",") + `]`},
		statement{"washer.replaced", corner, `"joint":"banjo bolt","count":2,"material":"copper"`},
		statement{"torque.applied", corner, `"joint":"bracket bolt","torque":"105 N·m","tool":"tw-1","spec":"bracket","count":2`},
		statement{"torque.applied", corner, `"joint":"guide pin bolt","torque":"30 N·m","tool":"tw-2","spec":"pin","count":2`},
		statement{"reservoir.topped", job, `"before":"60 %","after":"90 %","fluid":"bf-31"`},
		statement{"bleed.done", corner, `"fluid":"bf-31","drawn":"60 mL","bubbles":"none","screw":"12 N·m","tool":"tw-2"`},
		statement{"wheel.fitted", corner, `"step":"snug, wheel off the ground","spec":"wheel","nuts":5,"pattern":"star","torque":"120 N·m","tool":"tw-1"`},
	)
}

// handsBack hands the vehicle back.
func (w *worker) handsBack() {
	w.t.Helper()
	w.towards(`[href="/write/vehicle.released/job/` + w.job + `"]`)
	w.p.Fill("[name=odometer]", "84216")
	w.p.Go("Hand the vehicle back")
	if w.p.Has("[name=sure]") {
		w.p.Go("without a photograph")
	}
	w.p.Until(`/State\s+(handed back|sealed)/.test(document.body.innerText)`)
}

// allMet looks at the hold points: none may be left open.
func (w *worker) allMet() {
	w.t.Helper()
	w.p.Open(w.pages + "/holds/" + w.job)
	w.p.Sees("This is a record, not an approval.")
	for line := range strings.Lines(w.p.Text()) {
		if head, state, ok := strings.Cut(line, " — "); ok && strings.HasSuffix(strings.TrimSpace(state), " hold") && !strings.HasPrefix(state, "met ") {
			w.t.Errorf("%s is %s", head, state)
		}
	}
}

// TestTapsOfACorner counts the same work done from the page of what is done now,
// which stamps several entries in one press and goes on by itself.
func TestTapsOfACorner(t *testing.T) {
	t.Parallel()
	all := worked(t, cornerWork("LF"), "LF")
	if all.Taps > mostTaps || all.Typed > mostTyped || all.Loads > mostLoads || all.Photos > mostPhotos {
		t.Errorf("a corner takes more than it may: %+v", all)
	}
}

// TestAWholeJobOfFourCorners counts a whole car, whose corners are worked on side by side.
func TestAWholeJobOfFourCorners(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	corners := []string{"LF", "RF", "LR", "RR"}
	all := worked(t, carWork(corners), corners...)
	if all.Taps >= 3*mostTaps || all.Typed >= 3*mostTyped || all.Loads >= 3*mostLoads || all.Photos >= 3*mostPhotos {
		t.Errorf("four corners take three times what one may: %+v", all)
	}
}

// worked does the work of some corners from the counter to the handover, with every hold
// point met, and says what it cost the hands. Who does it has a day before, and what is
// chosen beforehand is from there.
func worked(t *testing.T, work []leg, corners ...string) (all browsertest.Tally) {
	t.Helper()
	bench, by := house.Bench(t), house.Somebody(t)
	before := corners
	if len(corners) == 1 {
		before = []string{"RF"}
	}
	w := begins(t, house.Browser(t), browsertest.Upright, bench.Pages, by)
	yesterday(t, bench, by, before...)
	w.hung = places(corners...)
	w.p.Tally()
	var rows []row
	ends := func(name string) { rows = append(rows, row{name, w.p.Tally()}) }
	w.begins(corners...)
	ends("opening the job")
	for _, l := range work {
		if dir := os.Getenv("FETTLEBOOK_SHOTS"); dir != "" {
			w.p.Shot(filepath.Join(dir, strings.NewReplacer(" ", "-", ",", "").Replace(fmt.Sprintf("now %d %s.png", len(corners), l.name))))
		}
		for _, wrong := range slices.Concat(w.p.Targets(browsertest.BenchSet.Target), w.p.SmallText(browsertest.BenchSet.Text), w.p.Overflow()) {
			t.Errorf("before %q: %s", l.name, wrong)
		}
		for left := l.entries; len(left) > 0; {
			left = w.together(left)
		}
		ends(l.name)
	}
	w.looksNow()
	ends("second look")
	w.handsBack()
	ends("hand back")
	t.Log("\n" + table(rows))
	w.allMet()
	if found := append(w.p.Complaints(), w.p.Strangers()...); len(found) > 0 {
		t.Error(found)
	}
	for _, r := range rows {
		all = all.Plus(r.Tally)
	}
	return all
}
