package pages_test

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
)

// newBench is a tablet of the test's own, which it may cut off or kill, a browser at it,
// and a job.
func newBench(t *testing.T, size browsertest.Size) (*browsertest.Program, *worker) {
	t.Helper()
	tablet := house.Shop(t).Tablet("bench 1")
	w := begins(t, house.Browser(t), size, tablet.Pages, "IO")
	w.takesOn(tablet, "LF")
	return tablet, w
}

// atTheBench is somebody at the house's tablet, before the route card of a job with
// such corners.
func atTheBench(t *testing.T, size browsertest.Size, corners ...string) *worker {
	t.Helper()
	bench := house.Bench(t)
	w := begins(t, house.Browser(t), size, bench.Pages, house.Somebody(t))
	w.takesOn(bench, corners...)
	return w
}

func (w *worker) stage(stage, place string) {
	w.t.Helper()
	w.p.Open(w.pages + "/stage/" + stage + "/job/" + w.job + place)
}

// TestWithoutAScript: every step of an entry works with plain forms.
func TestWithoutAScript(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	begun := atTheBench(t, browsertest.Upright, "LF")
	w := &worker{t: t, p: begun.b.Page(browsertest.Phone).For(t), pages: begun.pages, job: begun.job}
	w.p.NoScript()
	w.p.Open(w.pages + "/who")
	w.p.Go(begun.by)
	w.stage("removed", "/corner/LF/part/caliper")
	w.p.Upload("[data-snap]", photo(t, "removed", 4))
	w.p.Go("Keep the photographs")
	w.p.Sees("Remove")
	w.p.Go("rusty") // a usual answer
	w.p.Holds("Condition", "rusty")
	w.p.Go("Stamp it")
	w.p.Sees("Tagged")
	w.fills("part.tagged", "caliper")
	w.p.Go("Stamp it") // says that there is no photograph, and asks
	w.p.Go("without a photograph")
	w.p.Sees("Route card")

	w.stage("mask", "/corner/LF/part/caliper")
	w.p.Set("plugs", "6")
	w.p.Go("[value='step:plugs:1']")
	w.p.Holds("Plugs and caps in", "7")
	w.p.Go("pin bore")
	w.p.Set("features.0.count", "2")
	w.p.Go("Work it out")
	w.p.Sees("7")
	w.p.Go("Stamp it")
	w.p.Go("without a photograph")

	// A slip is corrected in three taps, and the old value stays to be read.
	w.stage("mask", "/corner/LF/part/caliper")
	w.p.Taps()
	w.p.Go("Correct")
	w.p.Go("[value='step:plugs:-1']")
	w.p.Go("Strike it through and put this instead")
	if n := w.p.Taps(); n > 3 {
		t.Errorf("a correction takes %d taps", n)
	}
	w.stage("mask", "/corner/LF/part/caliper")
	if !w.p.Has("del") {
		t.Errorf("nothing is struck through: %s", w.p.Text())
	}
}

// TestTheNetworkIsCut: work goes on, the page says what waits, and when the
// line is mended it goes by itself.
func TestTheNetworkIsCut(t *testing.T) {
	t.Parallel()
	tablet, w := newBench(t, browsertest.Upright)
	w.p.Open(w.pages + "/where")
	w.p.Sees("nothing waits")
	tablet.Line.Cut()
	w.does("received", "", "vehicle.received", "received")
	w.p.Open(w.pages + "/where")
	w.p.Sees("Entries are safe here. Waiting: 1 entry, 1 photograph.")
	w.p.Sees("saved here")
	tablet.Line.Mend()
	w.p.Sees("nothing waits") // without a reload
	w.p.Gone("original saved here")
}

// TestTheBrowserIsKilled in the middle of a stage: the page comes back as it
// was, with the photograph, in another browser too.
func TestTheBrowserIsKilled(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	tablet := house.Shop(t).Tablet("bench 1")
	b := browsertest.Start(t, t.TempDir())
	w := begins(t, b, browsertest.Upright, tablet.Pages, "IO")
	w.takesOn(tablet, "LF")
	w.stage("removed", "/corner/LF/part/bracket")
	w.snaps(photo(t, "removed", 9))
	w.p.Fill("Condition", "seized, guide pin bent")
	w.p.Sees("Kept on this tablet")
	b.Kill()
	tablet.Kill() // and the tablet's battery
	tablet.Start()
	again := begins(t, house.Browser(t), browsertest.Upright, tablet.Pages, "IO")
	again.p.Open(tablet.Pages + "/")
	again.p.Sees("Started, not stamped")
	again.p.Go(".need.now")
	again.p.Holds("Condition", "seized, guide pin bent")
	again.p.Sees("Remove")
	again.stamps()
	again.p.Open(tablet.Pages + "/")
	again.p.Gone("Started, not stamped")
}

// TestTwoTabletsOnOneJob: what one stamps stands on the other's card without a
// reload, and neither is in the other's way.
func TestTwoTabletsOnOneJob(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	shop, w := house.Shop(t), atTheBench(t, browsertest.Landscape, "LF")
	other := begins(t, w.b, browsertest.Landscape, shop.Tablet("bench 2").Pages, "JR")
	other.p.Open(other.pages + "/")
	other.p.Sees(w.plate)
	other.job = w.job
	other.p.Open(other.pages + "/job/" + w.job)
	w.does("received", "", "vehicle.received", "received")
	w.does("removed", "/corner/LF/part/caliper", "part.removed", "removed")
	other.p.Until(`document.querySelector("#at-received svg")?.getAttribute("aria-label").startsWith("met")`)
	w.p.Open(w.pages + "/job/" + w.job)
	other.does("removed", "/corner/LF/part/bracket", "part.removed", "removed")
	w.p.Until(`document.querySelector("#at-removed-LF-bracket svg")?.getAttribute("aria-label").startsWith("open")`)
}

// TestNothingTypedIsLost: what is typed stays when another tablet writes, also
// in a field that was left for the next.
func TestNothingTypedIsLost(t *testing.T) {
	t.Parallel()
	shop, w := house.Shop(t), atTheBench(t, browsertest.Landscape, "LF")
	other := begins(t, w.b, browsertest.Landscape, shop.Tablet("bench 2").Pages, "JR")
	desk := browsertest.SignedIn(t, shop, w.b, "/people")
	desk.Fill("What it is called", "bench 3")
	desk.Value(`(document.activeElement.blur(), "")`)
	other.p.OpenUntil(other.pages+"/", w.plate)
	other.job = w.job
	other.does("received", "", "vehicle.received", "received")
	desk.Sees("More was written. It appears") // and is not drawn over what is typed
	desk.Holds("What it is called", "bench 3")
}

// TestAPressWaitsForTheDraft: what a press does is not undone by a draft that was
// sent before it and comes after it.
func TestAPressWaitsForTheDraft(t *testing.T) {
	t.Parallel()
	w := atTheBench(t, browsertest.Upright, "LF")
	w.p.Open(w.pages + "/write/part.stripped/job/" + w.job + "/corner/LF/part/caliper")
	w.p.Value(`(() => { const real = window.fetch, held = new Promise((go) => window.release = go); window.fetch = async (...a) => { await held; return real(...a); };
		window.leaving = true; addEventListener("submit", (e) => window.waits = e.defaultPrevented); return ""; })()`)
	w.p.Set("removed.0", "piston")
	w.p.Click(`[value="grow:removed"]`)
	w.p.Until(`window.waits !== undefined || window.leaving === undefined`)
	if w.p.Value(`String(window.waits)`) != "true" {
		t.Error("the press went before the draft")
	}
	w.p.Value(`(window.release?.(), "")`)
	w.p.Until(`document.querySelector('[name="removed.1"]') !== null`)
	w.p.Holds(`[name="removed.0"]`, "piston")
}

// TestBadInput: each mistake has a sentence beside its field, what was typed
// stays, and nothing is written.
func TestBadInput(t *testing.T) {
	t.Parallel()
	_, w := newBench(t, browsertest.Upright)
	w.stage("removed", "/corner/LF/part/caliper")
	saved := w.p.Value(`document.querySelector(".where b").textContent`)
	big := browsertest.Photo(t, "big.jpg", func(f *os.File) error {
		if _, err := f.Write([]byte{0xff, 0xd8, 0xff, 0xe0}); err != nil {
			return err
		}
		_, err := f.Write(bytes.Repeat([]byte{7}, 50<<20))
		return err
	})
	text := browsertest.Photo(t, "notes.jpg", func(f *os.File) error { _, err := f.WriteString("no photograph"); return err })
	w.p.Fill("Condition", "torn boot")
	for file, says := range map[string]string{big: "bigger than 40 MB", text: "JPEG"} {
		w.p.Upload("[data-snap]", file)
		w.p.Sees(says)
		if w.p.Has(".snap") {
			t.Errorf("%s was kept", file)
		}
	}
	w.p.Holds("Condition", "torn boot")
	w.does("removed", "/corner/LF/part/caliper", "part.removed", "")
	w.p.Open(w.pages + "/write/torque.applied/job/" + w.job + "/corner/LF")
	for typed, says := range map[string]string{"27,5": "Write 27.5, not 27,5", "80 °C": "°C", "-4": "negative", "tight": "number"} {
		w.p.Set("joint", "banjo bolt")
		w.p.Set("torque", typed)
		w.p.Go("#stamp .main")
		w.p.Sees(says)
		w.p.Holds(`[name="torque"]`, typed)
	}
	if now := w.p.Value(`document.querySelector(".where b").textContent`); now == saved {
		t.Error("nothing was written at all, so this test proves nothing")
	} else if strings.TrimSpace(now) != next(saved) {
		t.Errorf("%s entries were saved before, %s after one that was right", saved, now)
	}
}

func next(n string) string {
	digits := []byte(n)
	digits[len(digits)-1]++
	return string(digits)
}

// TestKeyboardPaperAndMotion: the card can be worked without a finger, prints
// without what is only for the screen, and keeps still if asked.
func TestKeyboardPaperAndMotion(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	w := atTheBench(t, browsertest.Landscape, "LF")
	w.p.Rests() // what is drawn anew would be reached anew
	w.p.Open(w.pages + "/job/" + w.job)
	reached := len(w.p.Walk())
	if all := w.p.Value(`String([...document.querySelectorAll("a[href], button, input, select, textarea, summary")].filter((e) => e.checkVisibility() && e.tabIndex >= 0).length)`); all != w.p.Value(`String(window.walked.size)`) {
		t.Errorf("of %s things the Tab key reaches %d", all, reached)
	}
	w.stage("received", "")
	w.p.Press("\r") // in no field: nothing happens
	w.p.Still()
	if moving := w.p.Value(`String([...document.querySelectorAll("*")].filter((e) => getComputedStyle(e).animationName !== "none").length)`); moving != "0" {
		t.Errorf("%s things move", moving)
	}
	w.p.Open(w.pages + "/job/" + w.job)
	w.p.Paper(true)
	if shown := w.p.Value(`String([...document.querySelectorAll(".bar, .button, .find, .act, .shoot")].filter((e) => e.checkVisibility()).length)`); shown != "0" {
		t.Errorf("%s things that are only for the screen are printed", shown)
	}
	if ink := w.p.Value(`getComputedStyle(document.body).backgroundColor`); ink != "rgb(255, 255, 255)" {
		t.Errorf("the paper is %s", ink)
	}
}
