package pages_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/demo"
	"fettlebook/cmd/internal/pages/browsertest"
	"fettlebook/journal/journaltest"
)

var house browsertest.House

func TestMain(m *testing.M) {
	journaltest.Roomy()
	os.Exit(house.Run(m))
}

// photo takes a photograph of a stage: one of the demonstration's pictures.
func photo(t *testing.T, stage string, which int) string {
	t.Helper()
	names, err := filepath.Glob("../demo/pictures/" + stage + "-*.jpg")
	if err != nil || len(names) == 0 {
		t.Fatalf("there is no picture of %s (%v)", stage, err)
	}
	return picture(t, strings.TrimSuffix(filepath.Base(names[which%len(names)]), ".jpg"), time.Now())
}

// picture is a file with a picture that was taken at a time.
func picture(t *testing.T, name string, taken time.Time) string {
	t.Helper()
	raw, err := demo.Picture(name, taken)
	if err != nil {
		t.Fatal(err)
	}
	return browsertest.Photo(t, name+".jpg", func(f *os.File) error { _, err := f.Write(raw); return err })
}

// answers are what a person puts in, by the kind of entry. A name and its
// value are parted by =, answers by |.
var answers = map[string]string{
	"vehicle.received":   "odometer=84210|found.0=scratched rim|agreed=yes",
	"vehicle.raised":     "points=sills, front and rear|stands=4",
	"manual.read":        "fluid=DOT 4|from=manual",
	"parkbrake.tried":    "how=on a slope|holds=yes",
	"bake.started":       "set=200|probes.0.channel=Probe 1|probes.0.place=thick section by the pin bore",
	"part.cooled":        "to=31",
	"parkbrake.serviced": "state=calibrated|lamp_off=yes",
	"part.removed":       "condition=rusty",
	"part.tagged":        "tag=LF-%s|number=K7-%s|metal=iron",
	"hardware.bagged":    "bag=LF|items.0.what=guide pin|items.0.count=2",
	"line.opened":        "at=banjo, hose plugged",
	"part.stripped":      "removed.0=piston|removed.1=square seal|rubber=none left in",
	"part.degreased":     "agent=hot wash|chlorinated=no",
	"part.blasted":       "media=glass bead 90-150 µm",
	"bore.masked":        "features.0.what=pin bore|features.0.count=2|plugs=4",
	"part.soaked":        "set=230|metal=214|held=35|rag=clean",
	"powder.applied":     "lot=so-118|coat=1|metal=28|air=21|humidity=44",
	"bore.unmasked":      "plugs=4",
	"film.measured":      "spots.0.place=outer face|spots.0.readings=82 79 84",
	"seat.proved":        "shown.0.what=bolt seat|shown.0.count=2|state=bare",
	"part.rebuilt":       "new_parts.0.what=square seal|new_parts.0.count=1",
	"part.refitted":      "bleeder=up",
	"washer.replaced":    "joint=banjo bolt|count=2|material=copper",
	"line.connected":     "at=banjo",
	"reservoir.topped":   "before=60|after=80|added=200|fluid=bf-31",
	"bleed.done":         "fluid=bf-31|drawn=260|bubbles=none|screw=12|tool=tw-2",
	"leak.checked":       "held=60|result=dry",
	"pedal.checked":      "feel=firm",
	"road.tested":        "distance=6|result=straight, no noise",
}

// worker is a person at a bench.
type worker struct {
	t     *testing.T
	p     *browsertest.Page
	pages string
	b     *browsertest.Browser
	by    string // initials
	plate string
	job   string
	hung  []string // places of the parts that are worked on
}

// begins works as a person at a tablet's own screen.
func begins(t *testing.T, b *browsertest.Browser, size browsertest.Size, pages, initials string) *worker {
	t.Helper()
	w := &worker{t: t, p: b.Page(size).For(t), pages: pages, b: b, by: initials}
	w.p.OpenUntil(pages+"/who", initials)
	w.p.Go(initials)
	return w
}

// takesOn has a job for a vehicle that was never here, which was opened by a command, and
// looks at its route card. How it is opened on the pages is not what the test is about.
func (w *worker) takesOn(tablet *browsertest.Program, corners ...string) {
	w.t.Helper()
	w.plate = house.Plate()
	w.job = opened(w.t, tablet, w.by, w.plate, "84210 km", corners...)
	w.p.OpenUntil(w.pages+"/job/"+w.job, "Route card")
	w.p.Complaints() // of a look that came too early
}

// opened is a job that was opened by a command.
func opened(t *testing.T, tablet *browsertest.Program, by, plate, odometer string, corners ...string) string {
	t.Helper()
	args := []string{"open", "--data", tablet.Dir, "--by", strings.ToLower(by), "--plate", plate, "--odometer", odometer, "--wish", "calipers in signal orange", "--customer", "W. Tarn", "--json"}
	for _, c := range corners {
		args = append(args, "--corner", c)
	}
	var one struct{ Job string }
	if err := json.Unmarshal(house.Shop(t).Command("", args...), &one); err != nil {
		t.Fatal(err)
	}
	return one.Job
}

// statement is an entry as it is written by a command.
type statement struct{ kind, about, data string }

// writes writes what the test is not about by one command.
func writes(t *testing.T, tablet *browsertest.Program, by string, list ...statement) {
	t.Helper()
	var lines strings.Builder
	for _, s := range list {
		fmt.Fprintf(&lines, "{\"kind\":%q,\"subject\":%q,\"data\":{%s}}\n", s.kind, s.about, s.data)
	}
	house.Shop(t).Command(lines.String(), "add", "-", "--data", tablet.Dir, "--by", strings.ToLower(by))
}

// opens opens a job for a vehicle that was never here, at the counter, and looks at its
// route card.
func (w *worker) opens(corners ...string) {
	w.t.Helper()
	w.begins(corners...)
	w.p.Go("The route card")
	w.p.Sees("Route card")
}

// begins opens a job for a vehicle that was never here, and stands before what is done
// first.
func (w *worker) begins(corners ...string) {
	w.t.Helper()
	w.plate = house.Plate()
	w.p.Open(w.pages + "/")
	w.p.Go("Start a job")
	w.p.Fill("Plate", w.plate)
	w.p.Fill("Odometer", "84210")
	for _, c := range []string{"LF", "RF", "LR", "RR"} {
		on := fmt.Sprintf(`[name=corner][value=%s]:checked`, c)
		if want := strings.Contains(strings.Join(corners, " "), c); want != w.p.Has(on) {
			w.p.Click(c)
		}
	}
	if wish := `[value="put:wish=calipers and brackets in signal orange"]`; w.p.Has(wish) {
		w.p.Click(wish)
	} else {
		w.p.Fill("Wanted", "calipers in signal orange")
	}
	w.p.Fill("Name", "W. Tarn")
	w.p.Go("Open the job")
	w.p.Sees("Vehicle: now")
	w.job = w.p.URL()[strings.LastIndex(w.p.URL(), "/")+1:]
}

// fills answers a form. A %s in an answer stands for what tells one entry from
// the next.
func (w *worker) fills(kind, which string) {
	w.t.Helper()
	w.sets(strings.Split(strings.ReplaceAll(answers[kind], "%s", which), "|")...)
}

// sets answers fields; rows that are not there yet are asked for.
func (w *worker) sets(list ...string) {
	w.t.Helper()
	for _, one := range list {
		name, value, _ := strings.Cut(one, "=")
		if field, _, isRow := strings.Cut(name, "."); isRow && !w.p.Has(fmt.Sprintf(`[name="%s"]`, name)) {
			w.p.Go(fmt.Sprintf(`[value="grow:%s"]`, field))
		}
		w.p.Set(name, value)
	}
}

// stamps writes the entry of the form.
func (w *worker) stamps() {
	w.t.Helper()
	w.p.Go("#stamp .main")
	if w.p.Has("[name=sure]") { // it only asks
		w.p.Refused()
		w.p.Go("#stamp .main")
	}
	w.passed()
}

// passed demands that the press was not refused.
func (w *worker) passed() {
	w.t.Helper()
	if w.p.Has(".field.bad, .problem, [name=sure]") {
		w.t.Fatalf("not stamped: %s", w.p.Text())
	}
}

// snaps takes a photograph.
func (w *worker) snaps(file string) {
	w.t.Helper()
	w.p.Upload("[data-snap]", file)
	w.p.Sees("Remove")
}

// TestTapsFromTheRouteCard counts the taps from the route card to a saved
// entry with its photograph, the camera's own not among them.
func TestTapsFromTheRouteCard(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	w := atTheBench(t, browsertest.Upright, "LF")
	// A part comes off: its square on the card, the condition, the stamp.
	w.p.Taps()
	w.p.Go("+ bracket")
	w.snaps(photo(t, "removed", 1))
	w.p.Click("rusty")
	w.p.Go("Stamp it")
	w.p.Sees("Tagged")
	if n := w.p.Taps(); n > 3 {
		t.Errorf("a part that comes off takes %d taps", n)
	}
	w.fills("part.tagged", "bracket")
	w.snaps(photo(t, "removed", 2))
	w.stamps()
	// What the part has, by a preset; the forms then ask for it by name.
	w.p.Open(w.pages + "/write/part.described/job/" + w.job + "/corner/LF/part/bracket")
	w.p.Go("bracket that carries no boots")
	w.stamps()
	// Seats before the part goes back: their numbers, and one tap for their state.
	w.p.Open(w.pages + "/job/" + w.job)
	w.p.Taps()
	w.p.Go("#at-seats-LF-bracket")
	w.snaps(photo(t, "seats", 3))
	w.sets("shown.0.count=1", "shown.1.count=2", "shown.2.count=4")
	w.p.Click("bare")
	w.p.Go("Stamp it")
	w.p.Sees("Route card")
	if n := w.p.Taps(); n > 4 {
		t.Errorf("bare seats take %d taps", n)
	}
	if found := w.p.Complaints(); len(found) > 0 {
		t.Error(found)
	}
}
