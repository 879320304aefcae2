package pages_test

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
	"fettlebook/journal"

	"github.com/go-json-experiment/json"
)

// TestAJobByKeys works a job with a keyboard alone, from the counter to the receipt: Tab
// and Shift with Tab, Enter, Space, arrows and what is typed, and none of the keys that a
// script of the pages knows. Each kind of control is met: lists, ticks, choices, boxes,
// photographs from a file and from the live camera, a preset, a stamp that is taken back, a run's
// rack, the recorder's file, the drawings of defects and of parts, a figure that breaks a hold and
// takes a second press, its correction, a hand back that is refused, a second look, and the desk.
// Entries whose forms would meet none of them anew are written beside it (repeats). Wherever the
// focus comes it is seen, and no press loses it.
func TestAJobByKeys(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	for _, look := range browsertest.Sample("keys", []browsertest.Look{{Size: browsertest.Landscape}, {Size: browsertest.Phone, Dark: true}}) {
		t.Run(look.Size.Name, func(t *testing.T) { jobByKeys(t, look) })
	}
}

func jobByKeys(t *testing.T, look browsertest.Look) {
	shop, bench, by := house.Shop(t), house.Bench(t), house.Somebody(t)
	b := browsertest.StartWithCamera(t, filepath.Join(t.TempDir(), "profile"), "")
	p := b.Page(look.Size).For(t)
	p.Dark(look.Dark)
	p.ByKeys()
	w := &worker{t: t, p: p, pages: bench.Pages}
	p.OpenUntil(w.pages+"/who", by)
	p.Go(by)
	w.opens("LF")
	const corner, bracket = "/corner/LF", "/corner/LF/part/bracket"
	w.repeats(shop, bench, by, told{"part.removed", bracket, `{}`, ""})
	w.follows("removed", bracket, "part.tagged")
	w.snaps(photo(t, "removed", 2))
	w.fills("part.tagged", "bracket")
	undone := w.undoes()
	w.follows("makeup", bracket, "part.described")
	p.Go(`[value="preset:` + made["bracket"] + `"]`)
	if undone {
		w.stamps()
	} else if !w.undoes() {
		t.Error("neither of two stamps could be taken back within its ten seconds")
	}
	w.repeats(shop, bench, by,
		told{"vehicle.received", "", `{"odometer":"84210 km","found":["scratched rim"],"agreed":true}`, "received"},
		told{"vehicle.raised", "", `{"points":"sills","stands":4}`, ""},
		told{"hardware.bagged", corner, `{"bag":"LF","items":[{"what":"guide pin bolt","count":2}]}`, "hardware"},
		told{"part.degreased", bracket, `{"agent":"hot wash","chlorinated":false}`, ""},
	)

	// A run takes what lies there.
	p.Go(`.bar a.home`)
	p.Go("Blast")
	p.Set("part", "job/"+w.job+bracket)
	w.snaps(photo(t, "blasted", 1))
	w.fills("part.blasted", "")
	w.stamps()

	// The recorder's file.
	w.repeats(shop, bench, by, heated(w.job, bracket)...)
	run := "bake-" + w.job
	p.Go(`.bar a.home`)
	p.Go(`[href="/run/` + run + `"]`)
	p.Go(`[href="/write/probe.logged/run/` + run + `"]`)
	p.Upload("#trace", trace(t, 1))
	p.Go("Read the file")
	w.stamps()
	p.Sees("Schedule met")
	w.repeats(shop, bench, by,
		told{"part.cooled", "run/" + run, fmt.Sprintf(`{"parts":["job/%s%s"],"to":"30 °C"}`, w.job, bracket), ""},
		told{"bore.unmasked", bracket, `{"plugs":2,"features":[{"what":"mounting thread","count":2}]}`, "unmasked"},
	)

	// A defect, its look and its place on drawings of it.
	w.backToTheJob()
	w.follows("film", bracket, "defect.found")
	w.sets("looks=pinhole", "seen=after bake", "face=ear")
	p.Click("#drawings summary")
	p.Go(`[name^="tap:"]`)
	w.sets("x=40", "y=60")
	w.stamps()
	defect := strings.TrimPrefix(p.Value(`document.querySelector('[href^="/correct/"]').pathname`), "/correct/")
	w.repeats(shop, bench, by, told{"rework.decided", bracket, fmt.Sprintf(`{"of":%q,"decision":%q,"reason":"out of sight"}`, defect, journal.AcceptAsIs), ""})

	// The live camera.
	w.follows("film", bracket, "film.measured")
	p.Click("[data-snap]")
	p.Sees("The camera is on")
	p.Until(`document.querySelector("video").videoWidth > 300`)
	p.Click("[data-snap]")
	p.Sees("Remove")
	w.sets("spots.0.place=outer face")
	for _, reading := range []string{"82", "79", "84"} { // the next box comes by itself
		p.TypeByKeys("spots.0.readings", reading)
	}
	w.stamps()
	w.repeats(shop, bench, by,
		told{"seat.proved", bracket, `{"shown":[{"what":"mating face","count":1},{"what":"bolt seat","count":2},{"what":"pad abutment","count":4}],"state":"bare"}`, "seats"},
		told{"part.refitted", bracket, `{"bleeder":"none"}`, "refitted"},
	)

	// A figure that breaks a hold takes a second press, and is corrected.
	w.backToTheJob()
	w.follows("joints", corner, "torque.applied")
	w.sets("joint=bracket bolt", "torque=150", "tool=tw-1", "spec=bracket", "count=2", "new_bolts=yes")
	p.Until(`document.querySelector("#act.breaks, #verdict p.wrong") !== null`)
	w.stamps()
	w.backToTheJob()
	w.towards(`[href^="/stage/joints/job/` + w.job + corner + `"]`)
	p.Go(`[href^="/correct/"]`)
	w.sets("torque=105")
	p.Go("Strike it through and put this instead")
	if p.Has("[name=sure]") {
		p.Refused()
		p.Go("#stamp .main")
	}
	w.passed()

	// Not before everything is done: each thing that is missing leads to its stage.
	w.backToTheJob()
	release := `[href="/write/vehicle.released/job/` + w.job + `"]`
	p.Go(release)
	p.Sees("The vehicle may not be handed back yet")
	p.Go("#ways a.need")
	if !strings.Contains(p.URL(), "/stage/") {
		t.Errorf("the way leads to %s", p.URL())
	}
	w.repeats(shop, bench, by,
		told{"torque.applied", corner, `{"joint":"guide pin bolt","torque":"30 N·m","tool":"tw-2","spec":"pin","count":2}`, "torque"},
		told{"photo.taken", corner, `{}`, "emptied"},
		told{"wheel.fitted", corner, `{"step":"snug, wheel off the ground","nuts":5,"pattern":"star","torque":"50 N·m","tool":"tw-1"}`, ""},
		told{"wheel.fitted", corner, `{"step":"full, wheel on the ground","nuts":5,"pattern":"star","torque":"120 N·m","tool":"tw-1","spec":"wheel"}`, "wheel"},
		told{"pedal.checked", "", `{"feel":"firm"}`, ""},
		told{"road.tested", "", `{"distance":"6 km","result":"straight, no noise"}`, ""},
	)
	w.backToTheJob()
	w.looksAgain()
	w.backToTheJob()
	w.handsBack()

	// At the desk the receipt is found by the plate.
	desk := b.Page(browsertest.Landscape).For(t) // an office has no telephone's screen
	desk.Dark(look.Dark)
	desk.ByKeys()
	desk.Open(shop.Hub.Pages + "/signin")
	desk.Fill("Passphrase", browsertest.Passphrase)
	desk.Go("Sign in")
	desk.Fill("#find", w.plate)
	desk.Go("Find")
	desk.Go(w.plate)
	desk.Go("Receipt for the customer")
	desk.Sees(w.plate)
	for _, p := range []*browsertest.Page{p, desk} {
		for _, hidden := range p.Unseen() {
			t.Error(hidden)
		}
	}
	t.Logf("%d presses", p.Pressed()+desk.Pressed())
}

// undoes stamps, takes the stamp back while it is offered, and stamps again: the form holds
// what it held. On a machine with much else to do the offer may be over before the focus has
// come to it; then the stamp stands, and undoes says so.
func (w *worker) undoes() bool {
	w.t.Helper()
	form := w.p.URL()
	w.stamps()
	if !w.p.Offered("[data-undo] button") || !strings.Contains(w.p.Text(), "Taken back:") {
		return false
	}
	if !strings.HasPrefix(w.p.URL(), form) {
		w.t.Errorf("what is taken back leads to %s and not to its form, %s", w.p.URL(), form)
	}
	w.stamps()
	return true
}

// backToTheJob goes to the route card of the job, from wherever the worker stands.
func (w *worker) backToTheJob() {
	w.t.Helper()
	at := `[href="/job/` + w.job + `"]`
	if !w.p.Has(at) {
		w.p.Go(`.bar a.home`)
	}
	w.p.Go(at)
}

// told is an entry that is written beside the pages.
type told struct {
	kind, place, data string
	photo             string // the stage of the picture that shows it; "" for none
}

// repeats writes entries at the tablet, whose forms would meet no control that the test has
// not met.
func (w *worker) repeats(shop *browsertest.Shop, bench *browsertest.Program, by string, list ...told) {
	w.t.Helper()
	var lines []string
	for i, one := range list {
		about := "job/" + w.job + one.place
		if strings.HasPrefix(one.place, "run/") {
			about = one.place
		}
		var photos string
		if one.photo != "" {
			shows := map[string]string{"received": "as it came in", "hardware": "hardware of this corner", "masked": "masked bores and seats", "unmasked": "all plugs out", "seats": "bare seats and faces",
				"probe": "probe on the part", "refitted": "back on, bleeder up", "torque": "torque line", "emptied": "bag empty", "wheel": "wheel on"}[one.photo]
			raw, err := json.Marshal([]string{photo(w.t, one.photo, i) + ":" + shows})
			if err != nil {
				w.t.Fatal(err)
			}
			photos = `,"photos":` + string(raw)
		}
		lines = append(lines, fmt.Sprintf(`{"kind":%q,"subject":%q,"data":%s%s}`, one.kind, about, one.data, photos))
	}
	shop.Command(strings.Join(lines, "\n"), "add", "-", "--data", bench.Dir, "--by", strings.ToLower(by))
}

// heated are the entries of a part from its masking into the oven.
func heated(job, part string) []told {
	at := "job/" + job + part
	return []told{
		{"bore.masked", part, `{"features":[{"what":"mounting thread","count":2},{"what":"mating face","count":1},{"what":"bolt seat","count":2},{"what":"pad abutment","count":4}],"plugs":2}`, "masked"},
		{"part.soaked", part, `{"oven":"ov-1","set":"230 °C","metal":"214 °C","held":"35 min","rag":"clean"}`, ""},
		{"powder.applied", part, `{"lot":"so-118","coat":1,"metal":"28 °C","air":"21 °C","humidity":"44 %"}`, ""},
		{"bake.started", "run/bake-" + job, fmt.Sprintf(`{"parts":[%q],"oven":"ov-1","set":"200 °C","probes":[{"channel":"Probe 1","place":"thick ear","on":%[1]q}]}`, at), "probe"},
	}
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
