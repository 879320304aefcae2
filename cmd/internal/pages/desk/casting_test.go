package desk_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/trade/unit"
)

func quantity[Q interface{ unit.Of[D] }, D unit.Dimension](text string) Q {
	q, err := unit.Parse[Q](text)
	if err != nil {
		panic(err)
	}
	return q
}

// lives writes two jobs of one casting: coated and found bad in two ways, and here
// again with a defect of a coat that nobody wrote of, coated and found bad once more.
func (o *office) lives() (first, second journal.Subject) {
	o.t.Helper()
	first, second = journal.About("ca570001", "LF", "caliper"), journal.About("ca570002", "LF", "caliper")
	coats := func(of journal.Subject, run string) {
		rack := journal.Rack{Parts: []journal.Subject{of}}
		o.Write(journal.Of("run", "soak-"+run), "io", &journal.Soaking{Rack: rack, Set: quantity[unit.Temperature]("220 °C"), Metal: quantity[unit.Temperature]("210 °C"), Held: quantity[unit.Duration]("30 min")}, "out of the soak")
		o.Write(journal.Of("run", "coat-"+run), "io", &journal.Coating{Rack: rack, Lot: "so-118", Coat: 1})
		o.Write(journal.Of("run", "bake-"+run), "io", &journal.BakeStart{Rack: rack, Set: quantity[unit.Temperature]("200 °C")})
		o.Write(journal.Of("run", "bake-"+run), "io", &journal.Cure{Held: quantity[unit.Duration]("20 min"), By: journal.OvenClock})
	}
	comes := func(of journal.Subject, plate string) {
		o.Write(journal.About(of.Job(), "", ""), "io", &journal.Job{Vehicle: journal.Vehicle{Plate: plate, Looks: "moss-green estate"}, Corners: []journal.Corner{"LF"}})
		o.Write(of, "io", &journal.Removal{}, "as it came off")
		o.Write(of, "io", &journal.Tagging{Tag: "T", Number: "S-7/1", Pattern: "K17", Metal: journal.Iron})
	}
	pore := func(of journal.Subject, looks journal.Look, x, y string, seen journal.DefectStage) journal.EntryID {
		d := &journal.Defect{Looks: looks, Face: "upper ear", Seen: seen}
		if x != "" {
			d.Outline, d.X, d.Y = journal.FloatingOuter, quantity[unit.Ratio](x), quantity[unit.Ratio](y)
		}
		return o.Write(of, "io", d, "close-up")
	}
	comes(first, "FB 501")
	coats(first, "l1")
	found := pore(first, journal.Pinhole, "25 %", "40 %", journal.AfterBake)
	pore(first, journal.Blister, "", "", journal.AfterBake)
	o.Write(first, "io", &journal.Rework{Of: found, Decision: journal.StripAndRecoat, Reason: "porous"})
	comes(second, "FB 501")
	pore(second, journal.Crater, "60 %", "60 %", journal.AfterHandover)
	coats(second, "l2")
	pore(second, journal.Pinhole, "26 %", "41 %", journal.AfterBake)
	return first, second
}

// The life of a casting is told over its jobs, coat by coat, with all defects on one
// drawing, and is led to from wherever the casting is named.
func TestLifeOfACasting(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	first, second := o.lives()
	a := o.get("/casting/S-7/1").well(http.StatusOK).says("<h1>Casting S-7/1</h1>", "Coat 1", "Coat 2", "Floating caliper, outer side", `aria-label="floating caliper, outer side, with 0a crater, 1a pinhole and 2a pinhole"`,
		">0a</text>", ">1a</text>", ">2a</text>", "nobody tapped its place on a drawing", "strip and recoat", "Nobody has decided about it", "Soaked for ", "over the life of the casting", `alt="close-up"`, `alt="out of the soak"`, "What is not known", "No reading of the film is on record",
		`href="/job/ca570001"`, `href="/job/ca570002"`, `src="/look/pinhole.svg"`)
	a.hides("Coat 3", ">3a<", "No defect of it")
	if strings.Count(a.body, `class="sheet stayed"`) != 2 {
		t.Errorf("%d stays", strings.Count(a.body, `class="sheet stayed"`))
	}
	for _, path := range []string{"/casting/s-7/1", "/casting/" + string(first), "/casting/" + string(second)} {
		o.get(path).well(http.StatusOK).says("Casting S-7/1", "Coat 2")
	}
	for _, path := range []string{"/casting/none", "/casting/job/none/corner/LF/part/caliper", "/casting/job/ca570001/corner/RR/part/caliper", "/casting/K17", "/casting/" + url.PathEscape(`<script>x</script>`)} {
		o.get(path).well(http.StatusNotFound).says("No casting on this machine bears").hides("<script>x")
	}
	for _, path := range []string{"/job/ca570001", "/job/ca570002", "/vehicle/plate/FB501", "/trace?q=S-7/1", "/parts?where=job%3Dca570001"} {
		o.get(path).well(http.StatusOK).says(`href="/casting/S-7/1"`)
	}
	o.get("/recurring?where=casting%3DS-7%2F1").well(http.StatusOK).says(`href="/casting/S-7/1"`, `src="/look/pinhole.svg"`, "tiny hole, right through the film")
}

// Two parts of one job bear a mark, so it is a pattern: each is led to by itself. Of a
// part that bears nothing the life is told all the same.
func TestCastingsThatNothingTells(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	o.Write("job/ca570003", "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "FB 777"}, Corners: []journal.Corner{"LF", "RF"}})
	for _, corner := range []journal.Corner{"LF", "RF"} {
		o.Write(journal.About("ca570003", corner, "caliper"), "io", &journal.Tagging{Tag: "T" + string(corner), Mark: "7B", Metal: journal.Iron})
	}
	o.Write(journal.About("ca570003", "LF", "bracket"), "io", &journal.Removal{})
	o.get("/casting/7B").well(http.StatusOK).says("Castings that bear 7B", `href="/casting/job/ca570003/corner/LF/part/caliper"`, `href="/casting/job/ca570003/corner/RF/part/caliper"`)
	o.get("/casting/job/ca570003/corner/LF/part/bracket").well(http.StatusOK).says("LF bracket of FB 777", "The shop put no number into it", "No work on it that has to do with a coat is on record")
}

// An entry of a defect shows what such a defect looks like, and leads to the life of the casting.
func TestEntryOfADefect(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	part := journal.About("ca570004", "LF", "caliper")
	o.Write("job/ca570004", "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "FB 778"}, Corners: []journal.Corner{"LF"}})
	crater := o.Write(part, "io", &journal.Defect{Looks: journal.Crater, Face: "ear", Seen: journal.AfterBake})
	other := o.Write(part, "io", &journal.Defect{Looks: journal.OtherLook, Face: "ear", Seen: journal.AfterBake})
	o.get("/entry/"+crater.String()).well(http.StatusOK).says(`src="/look/crater.svg" alt="Crater, drawn from above and cut through"`, "round hollow, wider than deep", `href="/casting/`+string(part)+`"`)
	o.get("/entry/" + other.String()).well(http.StatusOK).hides("/look/")
}

// What a casting is called in a table is text in its link.
func TestHostileCasting(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	const bad = `"><img src=x onerror=y>/../`
	r := parts.NewRow(journal.About("ca570009", "LF", "caliper"), 1)
	r.Put(parts.Casting, parts.Text(bad))
	table := parts.New(r)
	o.desk.Parts = func(*live.Snapshot) *parts.Table { return table }
	a := o.get("/parts").well(http.StatusOK).hides("<img src=x")
	a.says(`href="/casting/%22%3E%3Cimg%20src=x%20onerror=y%3E/`)
}
