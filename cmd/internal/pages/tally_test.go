package pages_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
)

// counted is what is counted at the bench of a floating caliper with one piston and
// of its bracket, by name.
var counted = map[string]string{
	"piston bore": "1", "guide pin bolt hole": "2", "bleeder thread": "1", "banjo thread": "1", "bleeder seat": "1", "banjo face": "1", "pad land": "2",
	"square-section seal": "1", "dust boot": "1", "mounting thread": "2", "mating face": "1", "bolt seat": "2", "pad abutment": "4",
}

// made are the presets that the two parts begin with.
var made = map[string]string{"caliper": "floating caliper, one piston", "bracket": "bracket that carries no boots"}

// spots are where a film is measured, by three readings each.
var spots = []string{"outer face", "flank", "edge", "bridge", "ear"}

// written is one entry with its answers. Of a field that ends with * everything
// that it names is counted.
type written struct {
	stage, place, kind string
	photo              string // a picture of it is wanted
	answers            []string
}

// leg is a stretch of the work that the table has a row for.
type leg struct {
	name    string
	entries []written
}

// places are the parts of corners.
func places(corners ...string) (list []string) {
	for _, c := range corners {
		list = append(list, "/corner/"+c+"/part/caliper", "/corner/"+c+"/part/bracket")
	}
	return list
}

// cornerWork is what is written of caliper and bracket of a corner, from the
// counter to the road test, so that every hold point of the card is met.
func cornerWork(at string) []leg {
	corner := "/corner/" + at
	caliper, bracket := corner+"/part/caliper", corner+"/part/bracket"
	var film []string
	for i, place := range spots {
		film = append(film, fmt.Sprintf("spots.%d.place=%s", i, place), fmt.Sprintf("spots.%d.readings=%d 79 84", i, 80+i))
	}
	return []leg{
		{"counter and stands", []written{
			{"received", "", "vehicle.received", "received", []string{"found=nothing found", "agreed=yes"}},
			{"raised", "", "vehicle.raised", "", []string{"points=sills, front and rear", "stands=4"}},
		}},
		{"off, tags, make-up, line, strip", []written{
			{"removed", caliper, "part.removed", "removed", nil},
			{"removed", caliper, "part.tagged", "removed", []string{"tag=" + at + "-caliper", "metal=iron"}},
			{"removed", bracket, "part.removed", "", nil},
			{"removed", bracket, "part.tagged", "", []string{"tag=" + at + "-bracket", "metal=iron"}},
			{"makeup", caliper, "part.described", "", []string{"preset:" + made["caliper"]}},
			{"makeup", bracket, "part.described", "", []string{"preset:" + made["bracket"]}},
			{"hardware", corner, "hardware.bagged", "", []string{"bag=" + at, "items=guide pin", "items.0.count=2"}},
			{"opened", corner, "line.opened", "", []string{"at=banjo, hose plugged"}},
			{"strip", caliper, "part.stripped", "stripped", []string{"removed=piston", "out*", "rubber=none left in"}},
		}},
		{"degrease, blast, mask", []written{
			{"degrease", "", "part.degreased", "", []string{"agent=hot wash", "chlorinated=no"}},
			{"blast", "", "part.blasted", "blasted", []string{"media=glass bead 90-150 µm"}},
			{"mask", caliper, "bore.masked", "masked", []string{"features*", "plugs=5"}},
			{"mask", bracket, "bore.masked", "", []string{"features*", "plugs=2"}},
		}},
		{"soak, powder, bake", []written{
			{"soak", "", "part.soaked", "", []string{"set=230", "metal=214", "held=35", "rag=clean"}},
			{"powder", "", "powder.applied", "", []string{"lot=so-118", "coat=1", "metal=28", "air=21", "humidity=44"}},
			{"bake", "", "bake.started", "probe", []string{"set=200"}},
		}},
		{"plugs out to joints", []written{
			{"unmask", caliper, "bore.unmasked", "", []string{"plugs=5", "features*"}},
			{"unmask", bracket, "bore.unmasked", "", []string{"plugs=2", "features*"}},
			{"film", caliper, "film.measured", "", film},
			{"film", bracket, "film.measured", "", film},
			{"seats", caliper, "seat.proved", "seats", []string{"shown*", "state=bare"}},
			{"seats", bracket, "seat.proved", "", []string{"shown*", "state=bare"}},
			{"rebuild", caliper, "part.rebuilt", "stripped", []string{"new_parts*"}},
			{"refit", bracket, "part.refitted", "", nil},
			{"refit", caliper, "part.refitted", "", []string{"bleeder=up"}},
			{"joints", corner, "torque.applied", "", []string{"spec=bracket", "joint=bracket bolt", "torque=105", "tool=tw-1", "count=2", "new_bolts=yes"}},
			{"joints", corner, "torque.applied", "", []string{"spec=pin", "joint=guide pin bolt", "torque=30", "tool=tw-2", "count=2"}},
			{"joints", corner, "washer.replaced", "", []string{"joint=banjo bolt", "count=2", "material=copper"}},
			{"joints", corner, "line.connected", "", []string{"at=banjo, hose plugged"}},
			{"joints", corner, "torque.applied", "torque", []string{"spec=banjo", "joint=banjo bolt", "torque=22", "tool=tw-2", "marked=yes"}},
			{"joints", corner, "photo.taken", "hardware", nil},
		}},
		{"bleed, leak, pedal", []written{
			{"received", "", "manual.read", "", []string{"fluid=DOT 4", "from=manual"}},
			{"hydraulics", "", "reservoir.topped", "reservoir", []string{"before=60", "after=90", "fluid=bf-31"}},
			{"bleed", corner, "bleed.done", "", []string{"fluid=bf-31", "drawn=60", "bubbles=none", "screw=12", "tool=tw-2"}},
			{"hydraulics", "", "reservoir.topped", "", []string{"before=40", "after=80", "fluid=bf-31"}},
			{"hydraulics", "", "leak.checked", "", []string{"held=60", "result=dry"}},
			{"hydraulics", "", "pedal.checked", "", []string{"feel=firm"}},
		}},
		{"wheel and road", []written{
			{"wheel", corner, "wheel.fitted", "", []string{"step=snug, wheel off the ground", "spec=wheel", "nuts=5", "pattern=star", "torque=120", "tool=tw-1"}},
			{"wheel", corner, "wheel.fitted", "wheel", []string{"step=full, wheel on the ground", "spec=wheel", "nuts=5", "pattern=star", "torque=120", "tool=tw-1"}},
			{"road", "", "road.tested", "", []string{"distance=6", "result=straight, no noise"}},
		}},
	}
}

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

// TestTapsOfACornerEntryByEntry counts what caliper and bracket of one corner take
// when every entry is written on a page of its own, from opening the job to its
// release with every hold point met.
func TestTapsOfACornerEntryByEntry(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	shop := house.Shop(t)
	tablet := shop.Tablet("bench 1")
	yesterday(t, shop, tablet, "IO", "RF")
	w := begins(t, house.Browser(t), browsertest.Upright, tablet.Pages, "IO")
	w.p.Tally()
	var rows []row
	ends := func(name string) { rows = append(rows, row{name, w.p.Tally()}) }
	w.opens("LF")
	ends("opening the job")
	for _, l := range cornerWork("LF") {
		for _, e := range l.entries {
			w.alone(e)
		}
		ends(l.name)
	}
	w.looksAgain()
	ends("second look")
	w.handsBack()
	ends("hand back")
	t.Log("\n" + table(rows))
	w.allMet()
}

// yesterday is a job of the day before, from which tools, lots, settings and the
// recorder's channels are known. What was measured or counted there is not offered.
func yesterday(t *testing.T, shop *browsertest.Shop, tablet *browsertest.Program, by string, corners ...string) {
	t.Helper()
	by = strings.ToLower(by)
	var opened struct{ Job string }
	open := []string{"open", "--data", tablet.Dir, "--by", by, "--plate", house.Plate(), "--odometer", "51200 km", "--wish", "calipers in signal orange", "--json"}
	for _, c := range corners {
		open = append(open, "--corner", c)
	}
	if err := json.Unmarshal(shop.Command("", open...), &opened); err != nil {
		t.Fatal(err)
	}
	job, corner := "job/"+opened.Job, "job/"+opened.Job+"/corner/"+corners[0]
	var parts []string
	bake := []string{"bake.started", "run/bake", "set=200 °C"}
	for i, place := range places(corners...) {
		parts = append(parts, "parts="+job+place)
		bake = append(bake, fmt.Sprintf(`probes={"channel":"Probe %d","place":"thick ear","on":"%s"}`, i+1, job+place))
	}
	for _, one := range [][]string{
		{"vehicle.raised", job, "points=sills, front and rear", "stands=4"},
		{"part.degreased", "run/wash", "agent=hot wash", "chlorinated=false"},
		{"part.blasted", "run/blast", "media=glass bead 90-150 µm"},
		{"part.soaked", "run/soak", "set=230 °C", "held=35 min"},
		{"powder.applied", "run/powder", "lot=so-118", "coat=1"},
		bake,
		{"washer.replaced", corner, "joint=banjo bolt", "count=2", "material=copper"},
		{"torque.applied", corner, "joint=bracket bolt", "torque=105 N.m", "tool=tw-1", "spec=bracket", "count=2"},
		{"torque.applied", corner, "joint=guide pin bolt", "torque=30 N.m", "tool=tw-2", "spec=pin", "count=2"},
		{"reservoir.topped", job, "before=60 %", "after=90 %", "fluid=bf-31"},
		{"bleed.done", corner, "fluid=bf-31", "drawn=60 mL", "bubbles=none", "screw=12 N.m", "tool=tw-2"},
		{"wheel.fitted", corner, "step=snug, wheel off the ground", "spec=wheel", "nuts=5", "pattern=star", "torque=120 N.m", "tool=tw-1"},
	} {
		args := append([]string{"add", "--data", tablet.Dir, "--by", by, one[0], "--subject", one[1]}, one[2:]...)
		if strings.HasPrefix(one[1], "run/") {
			args = append(args, parts...)
		}
		shop.Command("", args...)
	}
}

// alone writes an entry on its own page, which it finds from where it stands.
func (w *worker) alone(e written) {
	w.t.Helper()
	at := "/stage/" + e.stage + "/job/" + w.job + e.place
	form := fmt.Sprintf(`form[action^="%s?kind=%s"]`, at, e.kind)
	switch run := `[href*="/run/new/` + e.kind + `"]`; {
	case e.place == "" && strings.HasPrefix(e.kind, "part.") || e.kind == "powder.applied" || e.kind == "bake.started":
		w.towards(run)
	case w.p.Has(form):
	default:
		w.towards(fmt.Sprintf(`[href^="%s"]`, at))
		if !w.p.Has(form) {
			w.p.Go(fmt.Sprintf(`[href^="%s?kind=%s"]`, at, e.kind))
		}
	}
	if e.photo != "" {
		w.p.Snap("[data-snap]", photo(w.t, e.photo, len(e.place)+len(e.kind)))
		w.p.Sees("Remove")
	}
	for _, a := range e.answers {
		w.answers(a)
	}
	if e.kind == "bake.started" {
		w.sets("probes.0.channel=Probe 1", "probes.0.place=thick ear", "probes.0.on=job/"+w.job+"/corner/LF/part/caliper",
			"probes.1.channel=Probe 2", "probes.1.place=boss", "probes.1.on=job/"+w.job+"/corner/LF/part/bracket")
	}
	w.stamps()
	if e.kind == "bake.started" {
		w.p.Go(`[href*="/write/probe.logged/"]`)
		w.p.Upload("#trace", trace(w.t, 2))
		w.p.Go("Read the file")
		w.p.Go("Stamp it")
		w.p.Sees("Schedule met")
	}
}

// towards follows a link, from the job's page if it is not on this one.
func (w *worker) towards(link string) {
	w.t.Helper()
	if !w.p.Has(link) {
		w.p.Go(`[href="/job/` + w.job + `"]`)
	}
	w.p.Go(link)
}

// answers answers a field: by a word that is offered, and else by typing it.
func (w *worker) answers(a string) {
	w.t.Helper()
	name, value, _ := strings.Cut(a, "=")
	if field, all := strings.CutSuffix(name, "*"); all {
		w.counts(field)
		return
	}
	if strings.HasPrefix(a, "preset:") {
		w.p.Go(fmt.Sprintf(`[value="%s"]`, a))
		return
	}
	switch offered := fmt.Sprintf(`[value="put:%s=%s"]`, name, value); {
	case !w.p.Has(offered):
		w.sets(a)
	case w.p.Has(offered + "[data-put]"):
		w.p.Click(offered)
	default:
		w.p.Go(offered)
	}
}

// counts writes of everything that a field names how many there are.
func (w *worker) counts(field string) {
	w.t.Helper()
	n := 0
	for ; w.p.Has(fmt.Sprintf(`[name="%s.%d.what"]`, field, n)); n++ {
		what := w.p.Value(fmt.Sprintf(`document.querySelector('[name="%s.%d.what"]').value`, field, n))
		w.answers(fmt.Sprintf("%s.%d.count=%s", field, n, counted[what]))
	}
	if n == 0 {
		w.t.Fatalf("nothing is named to be counted in %s", field)
	}
}

// looksAgain has a second person look at the newest work.
func (w *worker) looksAgain() {
	w.t.Helper()
	w.p.Go(`[href^="/who"]`)
	w.p.Go("JR")
	w.towards(`[href^="/stage/road/job/` + w.job + `?kind=second.checked"], #at-road`)
	if !w.p.Has("[name=finds]") {
		w.p.Go(`[href*="kind=second.checked"]`)
	}
	w.p.Set("of", w.p.Value(`document.querySelector("[name=of] option:nth-child(2)")?.value ?? document.querySelector("[name=of][value]:not([value=''])").value`))
	w.p.Set("finds", "right")
	w.stamps()
}

// looksNow has a second person look at the newest work where it was done.
func (w *worker) looksNow() {
	w.t.Helper()
	w.p.Go(`[href^="/who"]`)
	w.p.Go("JR")
	w.together([]written{{"road", "", "second.checked", "", []string{"finds=right"}}})
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
	all := worked(t, "IO", cornerWork("LF"), "LF")
	if all.Taps > mostTaps || all.Typed > mostTyped || all.Loads > mostLoads || all.Photos > mostPhotos {
		t.Errorf("a corner takes more than it may: %+v", all)
	}
}

// TestTapsOfFourCorners counts a whole car, whose corners are worked on side by side.
func TestTapsOfFourCorners(t *testing.T) {
	t.Parallel()
	corners := []string{"LF", "RF", "LR", "RR"}
	all := worked(t, "MK", carWork(corners), corners...)
	if all.Taps >= 3*mostTaps || all.Typed >= 3*mostTyped || all.Loads >= 3*mostLoads || all.Photos >= 3*mostPhotos {
		t.Errorf("four corners take three times what one may: %+v", all)
	}
}

// carWork is the work of several corners: of each stretch what is about the vehicle or a run
// once, and the rest at one corner after the other. Rear parts come off when the parking
// brake is known; of the corners one after the other is bled.
func carWork(corners []string) (legs []leg) {
	manual := written{"received", "", "manual.read", "", []string{"fluid=DOT 4", "parking_brake=none", "from=manual"}}
	each := make([][]leg, len(corners))
	for i, c := range corners {
		each[i] = cornerWork(c)
	}
	for n, l := range each[0] {
		one := leg{name: l.name}
		add := func(stage bool, of ...int) {
			for k, e := range l.entries {
				if (e.stage == "removed") != stage {
					continue
				}
				for _, i := range of {
					if at := each[i][n].entries[k]; at.place != "" || i == 0 {
						one.entries = append(one.entries, at)
					}
				}
			}
		}
		switch {
		case l.name == "bleed, leak, pedal":
			for i := range corners {
				look := l.entries[1]
				if i > 0 {
					look = l.entries[3]
				}
				one.entries = append(one.entries, look, each[i][n].entries[2])
			}
			one.entries = append(one.entries, l.entries[3:]...)
		case l.entries[0].stage == "removed":
			one.entries = append(one.entries, manual)
			add(true, 0, 1)
			add(true, 2, 3)
			add(false, 0, 1, 2, 3)
		default:
			add(false, 0, 1, 2, 3)
		}
		legs = append(legs, one)
	}
	return legs
}

// worked does the work of some corners from the counter to the handover, with every hold
// point met, and says what it cost the hands. Who does it has a day before, and what is
// chosen beforehand is from there.
func worked(t *testing.T, by string, work []leg, corners ...string) (all browsertest.Tally) {
	t.Helper()
	shop := house.Shop(t)
	if by != "IO" {
		shop.Add("person.added", "--subject", "person/"+strings.ToLower(by), "person="+strings.ToLower(by), "initials="+by, "duties=bench")
	}
	tablet := shop.Tablet("bench 1")
	before := corners
	if len(corners) == 1 {
		before = []string{"RF"}
	}
	w := begins(t, house.Browser(t), browsertest.Upright, tablet.Pages, by) // when the tablet knows them
	yesterday(t, shop, tablet, by, before...)
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
		for _, wrong := range slices.Concat(w.p.Targets(benchTarget), w.p.SmallText(benchText), w.p.Overflow()) {
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

// together stamps in one press as many of the entries as have their turn on the
// page, and returns the others.
func (w *worker) together(list []written) (left []written) {
	w.t.Helper()
	used := make(map[string]bool)
	n := 0
	for _, e := range list {
		at := w.formOf(e)
		if len(left) > 0 || at == "" || used[at] {
			left = append(left, e)
			continue
		}
		w.among(at, e)
		used[at] = true
		n++
	}
	if n == 0 {
		w.t.Fatalf("%+v has no form on the page:\n%s", list[0], w.p.Text())
	}
	w.p.Go("#stamp button.main")
	if w.p.Has("[name=sure]") {
		w.p.Refused() // the first press only asks
		w.p.Go("#stamp button.main")
	}
	w.passed()
	if n > 0 && strings.HasPrefix(list[n-1].kind, "bake.") {
		w.p.Upload("[data-send]", trace(w.t, len(w.hung)))
		w.p.Sees("Schedule met")
		w.p.Go("Stamp it")
		w.passed()
	}
	return left
}

// formOf is the key of the form on the page that writes an entry, "" if there is none.
func (w *worker) formOf(e written) string {
	w.t.Helper()
	path := "/stage/" + e.stage + "/job/" + w.job + e.place + "?kind=" + e.kind
	joint := ""
	for _, a := range e.answers {
		if name, value, _ := strings.Cut(a, "="); name == "joint" && e.kind == "torque.applied" {
			joint = value
		}
	}
	return w.p.Value(fmt.Sprintf(`(() => { const all = [...document.querySelectorAll("[data-item]")];
		const is = (f) => { const at = f.querySelector("[name$='~_page']").value; return at === "/run/new/" + %q || at.startsWith(%q) && (%q === "" || new URL(at, location.href).searchParams.get("joint") === %[3]q); };
		return all.find(is)?.dataset.item ?? ""; })()`, e.kind, path, joint))
}

// among answers one form of several.
func (w *worker) among(key string, e written) {
	w.t.Helper()
	at := key + "~"
	if e.photo != "" {
		w.p.Snap(fmt.Sprintf(`[name="%spicture"]`, at), photo(w.t, e.photo, len(e.place)+len(e.kind)))
		w.p.Until(fmt.Sprintf(`document.querySelector('#turn-%s .snap') !== null`, key))
	}
	if e.kind == "bake.started" {
		for i, place := range w.hung {
			e.answers = append(slices.Clip(e.answers), fmt.Sprintf("probes.%d.on=job/%s%s", i, w.job, place))
		}
	}
	for _, a := range e.answers {
		if name, value, _ := strings.Cut(a, "="); w.holds(at+name, value) {
			continue
		}
		if preset, ok := strings.CutPrefix(a, "preset:"); ok {
			a = "preset:" + at + preset
		} else {
			a = at + a
		}
		w.answersIn(a)
	}
	w.p.Set(at+"_now", "yes")
}

// holds reports whether a field holds an answer already.
func (w *worker) holds(name, value string) bool {
	w.t.Helper()
	return w.p.Value(fmt.Sprintf(`[...document.querySelectorAll('[name="%s"]')].some((e) => e.type === "radio" || e.type === "checkbox" ? e.checked && e.value === %q : e.value === %[2]q) ? "yes" : ""`, name, value)) != ""
}

// answersIn answers a field of one form among several, which leaves the page as it is.
func (w *worker) answersIn(a string) {
	w.t.Helper()
	name, value, _ := strings.Cut(a, "=")
	if preset, ok := strings.CutPrefix(a, "preset:"); ok {
		w.p.Click(fmt.Sprintf(`[value="%s"]`, a))
		w.p.Until(fmt.Sprintf(`document.querySelector('[value="preset:%s"]').getAttribute("aria-pressed") === "true"`, preset))
		return
	}
	if field, all := strings.CutSuffix(name, "*"); all {
		w.countsIn(field)
		return
	}
	switch offered := fmt.Sprintf(`[value="put:%s=%s"], [value^="put:%[1]s=%[2]s "]`, name, value); { // a figure has its unit with it
	case strings.HasSuffix(name, ".readings"): // the next box comes by itself
		if strings.HasSuffix(name, ".0.readings") {
			w.p.Focus(fmt.Sprintf(`[name="%s"]`, name))
		}
		for reading := range strings.FieldsSeq(value) {
			w.p.Type(reading)
		}
		w.p.Until(fmt.Sprintf(`[...document.querySelectorAll('[name="%s"]')].map((e) => e.value).join(" ") === %q`, name, value))
	case w.p.Has(offered):
		w.p.Click(offered)
		w.p.Until(fmt.Sprintf(`[...document.querySelectorAll('[name^="%s"]')].some((e) => e.value === %q || e.value.startsWith(%[2]q + " "))`, name, value))
	default:
		if field, _, isRow := strings.Cut(name, "."); isRow && !w.p.Has(fmt.Sprintf(`[name="%s"]`, name)) {
			w.p.Click(fmt.Sprintf(`[value="grow:%s"]`, field))
			w.p.Until(fmt.Sprintf(`document.querySelector('[name="%s"]') !== null`, name))
		}
		w.p.Set(name, value)
	}
}

// countsIn writes how many there are of everything that a field names.
func (w *worker) countsIn(field string) {
	w.t.Helper()
	n, all := 0, 0
	if strings.HasSuffix(field, "~features") && !w.p.Has(fmt.Sprintf(`[name="%s.all"]`, field)) {
		return // they are as many as the plugs
	}
	for ; w.p.Has(fmt.Sprintf(`[name="%s.%d.what"]`, field, n)); n++ {
		one, _ := strconv.Atoi(counted[w.p.Value(fmt.Sprintf(`document.querySelector('[name="%s.%d.what"]').value`, field, n))])
		all += one
	}
	w.p.Fill(fmt.Sprintf(`[name="%s.all"]`, field), strconv.Itoa(all))
	if n == 0 {
		w.t.Fatalf("nothing is named to be counted in %s", field)
	}
}
