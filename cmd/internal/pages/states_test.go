package pages_test

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
)

// Names as long as a language makes them that writes its nouns together, all invented.
const (
	longShop  = "Pulverbeschichtungsmeisterbetrieb Zinnlaternenhammer"
	longPart  = "bremssattelhalterahmen"
	longTool  = "drehmomentschluessel-werkstattausgang-2"
	longLot   = "sondersignalorange-feinstruktur-0118"
	longJoint = "Bremsschlauchhohlschraubenanschluss"
	longWish  = "Bremssattelgehäuseoberflächen und Halterahmenbefestigungslaschen in Sondersignalorangefeinstruktur, wie abgesprochen"
	longLooks = "moosgrüner Fünftürerkombinationskraftwagen"
	longPlate = "ZLH WERKSTATT 4471"
)

// TestStates looks at the bench as it stands seldom: with nothing there yet, with names as
// long as they get, with a rack of forty parts, where something was refused, and cut off
// from the hub. One page in four of those that are only opened is looked at, and each on a
// tablet, on a telephone, or there at a zoom of 200 %, as its name chooses; if
// FETTLEBOOK_PAGES is "all" all are, at every size with and without that zoom, in light and
// in dark.
// FETTLEBOOK_SHOTS names a folder for pictures of them.
func TestStates(t *testing.T) {
	t.Parallel()
	t.Run("empty", func(t *testing.T) {
		shop := house.Own(t, "Tin Lantern Finishing")
		w := begins(t, house.Browser(t), browsertest.Upright, shop.Tablet("bench 1").Pages, "IO")
		for _, path := range []string{"/", "/scan", "/labels/tools", "/search", "/trace", "/where", "/job/new", "/run/new/bake.started", "/run/new/powder.applied", "/pair", "/help", "/nowhere"} {
			if !browsertest.OneIn(8, path) {
				continue
			}
			w.p.Open(w.pages + path)
			w.looked("empty" + path)
		}
		w.opens("LF") // and nothing on the shelf
		for _, at := range []string{"/job/" + w.job, "/now/job/" + w.job, "/holds/" + w.job, "/record/" + w.job, "/labels/job/" + w.job, "/write/torque.applied/job/" + w.job + "/corner/LF"} {
			name := "bare" + strings.ReplaceAll(at, w.job, "")
			if !browsertest.OneIn(8, name) {
				continue
			}
			w.p.Open(w.pages + at)
			w.looked(name)
		}
	})
	t.Run("crowded", crowded)
	t.Run("founding", func(t *testing.T) {
		p := house.Browser(t).Page(browsertest.Upright).For(t)
		home := house.Fresh(t).Hub.Pages
		w := &worker{t: t, p: p, pages: home}
		for _, path := range []string{"/", "/begin", "/join"} {
			p.Open(home + path)
			w.looked("founding" + path)
		}
		p.Open(home + "/join")
		p.Fill("or its text", "FETTLE1.wrong")
		p.Go("Join")
		w.looked("founding/refused")
	})
}

// crowded is the bench of a shop with long names, full racks and much that is wrong.
func crowded(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	shop := house.Own(t, longShop)
	shop.Command(strings.Join(shelf(), "\n"), "add", "-", "--data", shop.Hub.Dir, "--by", "io")
	tablet := shop.Tablet("bench 1")
	w := begins(t, house.Browser(t), browsertest.Upright, tablet.Pages, "IO")
	jobs := rack(t, shop, tablet)
	w.job = jobs[0]
	corner := "/job/" + w.job + "/corner/LF"
	for _, path := range []string{
		"/", "/who", "/scan", "/labels/tools", "/job/" + w.job, "/now/job/" + w.job, "/now" + corner, "/holds/" + w.job, "/record/" + w.job, "/labels/job/" + w.job,
		"/run/new/bake.started", "/run/blast-40", "/scan?of=run/blast-40", "/labels/run/blast-40", "/search?q=" + longLot, "/where",
		"/stage/received/job/" + w.job, "/stage/mask" + corner + "/part/" + longPart, "/write/part.described" + corner + "/part/" + longPart,
		"/write/torque.applied" + corner, "/write/film.measured" + corner + "/part/caliper", "/write/powder.applied/run/new", "/write/defect.found" + corner + "/part/caliper", "/write/vehicle.released/job/" + w.job,
	} {
		name := "crowded" + strings.ReplaceAll(path, w.job, "")
		if !browsertest.OneIn(8, name) {
			continue
		}
		w.p.Open(w.pages + path)
		w.looked(name)
	}

	// Refused: a wrong number, nothing at all, and a figure that breaks a hold.
	w.p.Open(w.pages + "/job/new")
	w.p.Fill("Odometer", "many")
	w.p.Fill("VIN", "0FTLN2C15S100031")
	w.p.Go("Open the job")
	w.p.Refused()
	w.looked("refused/job")
	w.p.Open(w.pages + "/job/new")
	w.p.Fill("VIN", "")
	w.p.Fill("Plate", longPlate)
	w.p.Sees("This plate is on record.")
	w.looked("known/job")
	w.p.Open(w.pages + "/run/new/bake.started")
	w.p.Go("Stamp it")
	w.p.Refused()
	w.looked("refused/run")
	w.p.Open(w.pages + "/write/torque.applied" + corner)
	w.sets("joint="+longJoint, "torque=2x2")
	w.p.Go("#stamp .main")
	w.p.Refused()
	w.looked("refused/torque")
	w.p.Open(w.pages + "/write/torque.applied" + corner)
	w.sets("joint="+longJoint, "torque=220", "tool="+longTool, "spec=hohlschraube")
	w.p.Until(`document.querySelector("#verdict p.wrong") !== null`)
	w.looked("breaks/torque")

	// Cut off: entries are written all the same.
	tablet.Line.Cut()
	w.p.Open(w.pages + "/write/note.made/job/" + w.job)
	w.p.Fill("Remark", strings.Repeat(longJoint+" ", 3))
	w.p.Go("Stamp it")
	w.p.Sees("No hub since")
	w.looked("away/job")
	for _, path := range []string{"/", "/where", "/now/job/" + w.job} {
		w.p.Open(w.pages + path)
		w.p.Sees("No hub since")
		w.looked("away" + strings.ReplaceAll(path, w.job, ""))
	}
	tablet.Kill()
	w.p.Sees("does not answer")
	w.looked("away/program")
	w.p.Refused()
}

// shelf is what is on the shelf, with long names, as lines for the command line.
func shelf() []string {
	var lines []string
	add := func(kind, about, data string) {
		lines = append(lines, fmt.Sprintf(`{"kind":%q,"subject":%q,"data":%s}`, kind, about, data))
	}
	for i, initials := range []string{"WWMM", "ÄÖÜß", "MK", "QQ"} {
		name := fmt.Sprintf("zinnlaternenhammerschmied-%d", i+1)
		add("person.added", "person/"+name, fmt.Sprintf(`{"person":%q,"initials":%q,"duties":["bench"]}`, name, initials))
	}
	add("powder.received", "lot/"+longLot, fmt.Sprintf(`{"lot":%q,"colour":"Sondersignalorangefeinstruktur","chemistry":"polyester/TGIC","schedule":[{"metal":"180 °C","hold":"10 min"}],"film_low":"60 µm","film_high":"120 µm"}`, longLot))
	add("tool.registered", "tool/"+longTool, fmt.Sprintf(`{"tool":%q,"what":"torque wrench","serial":"0562","low":"5 N·m","high":"50 N·m","tolerance":"4 %%"}`, longTool))
	add("tool.checked", "tool/"+longTool, fmt.Sprintf(`{"tool":%q,"result":"in tolerance","certificate":"Kalibrierscheinnummernfolge-2027","due":"2099-01-01"}`, longTool))
	add("spec.recorded", "spec/hohlschraube", fmt.Sprintf(`{"spec":"hohlschraube","joint":%q,"nominal":"22 N·m","low":"20 N·m","high":"24 N·m","from":"maker's manual","page":"4-112"}`, longJoint))
	return lines
}

// rack opens ten jobs with four parts each, of which the first has what is wrong, and
// puts all forty parts on one run.
func rack(t *testing.T, shop *browsertest.Shop, tablet *browsertest.Program) (jobs []string) {
	t.Helper()
	var orders []string
	for i := range 10 {
		plate, looks, wish := house.Plate(), "grey two-door", "calipers and brackets in signal orange"
		if i == 0 {
			plate, looks, wish = longPlate, longLooks, longWish
		}
		orders = append(orders, fmt.Sprintf(`{"plate":%q,"looks":%q,"wish":%q,"corners":["LF","RF","LR","RR"]}`, plate, looks, wish))
	}
	out := shop.Command(strings.Join(orders, "\n"), "open", "--stdin", "--data", tablet.Dir, "--by", "io", "--json")
	for _, found := range regexp.MustCompile(`"job":"([a-z0-9]{8})"`).FindAllSubmatch(out, -1) {
		jobs = append(jobs, string(found[1]))
	}
	if len(jobs) != 10 {
		t.Fatalf("%d jobs were opened: %s", len(jobs), out)
	}
	var lines, all []string
	for i, job := range jobs {
		for n, corner := range []string{"LF", "RF", "LR", "RR"} {
			part := "caliper"
			if i == 0 && n == 0 {
				lines = append(lines, fmt.Sprintf(`{"kind":"part.removed","subject":"job/%s/corner/LF/part/%s","data":{"condition":"Flugrost an den Halterahmenbefestigungslaschen"}}`, job, longPart))
			}
			of := "job/" + job + "/corner/" + corner + "/part/" + part
			all = append(all, fmt.Sprintf("%q", of))
			lines = append(lines, fmt.Sprintf(`{"kind":"part.removed","subject":%q,"data":{"condition":"rusty"}}`, of),
				fmt.Sprintf(`{"kind":"part.tagged","subject":%q,"data":{"tag":"%s-%d","mark":"K7-%d%d","metal":"iron"}}`, of, corner, i+1, i, n))
		}
	}
	first := "job/" + jobs[0]
	lines = append(lines,
		fmt.Sprintf(`{"kind":"part.blasted","subject":"run/blast-40","data":{"parts":[%s],"media":"glass bead 90-150 µm"}}`, strings.Join(all, ",")),
		fmt.Sprintf(`{"kind":"bake.started","subject":"run/bake-9","data":{"parts":[%s],"set":"200 °C"}}`, strings.Join(all[:8], ",")),
		fmt.Sprintf(`{"kind":"torque.applied","subject":"%s/corner/LF","data":{"joint":%q,"torque":"220 N·m","tool":%q,"spec":"hohlschraube","count":1}}`, first, longJoint, longTool),
		fmt.Sprintf(`{"kind":"line.opened","subject":"%s/corner/LF","data":{"at":%q}}`, first, longJoint),
	)
	shop.Command(strings.Join(lines, "\n"), "add", "-", "--data", tablet.Dir, "--by", "io")
	return jobs
}

// looked holds the page as it stands to what every page is held to.
func (w *worker) looked(name string) {
	w.t.Helper()
	shots := os.Getenv("FETTLEBOOK_SHOTS")
	file := strings.Trim(regexp.MustCompile(`[^A-Za-z0-9]+`).ReplaceAllString(name, "-"), "-")
	complain := func(what string, found []string) {
		for _, f := range found {
			w.t.Errorf("%s, %s: %s", name, what, f)
		}
	}
	sizes, themes := browsertest.Sample(name, []browsertest.Size{browsertest.Upright, browsertest.Phone, browsertest.Phone.Twice()}), []bool{false}
	if browsertest.Everywhere() {
		sizes, themes = append(sizes, browsertest.Landscape, browsertest.Upright.Twice(), browsertest.Landscape.Twice()), []bool{false, true}
	}
	for _, size := range sizes {
		w.p.Resize(size)
		for _, dark := range themes {
			w.p.Dark(dark)
			switch {
			case size == browsertest.Upright && dark:
				complain("dark", w.p.AxeColours(true))
			case size == browsertest.Upright:
				complain("light", w.p.Axe(true))
			}
			if shots != "" {
				theme := map[bool]string{false: "light", true: "dark"}[dark]
				w.p.Shot(filepath.Join(shots, "states", file+"-"+size.Name+"-"+theme+".png"))
			}
		}
		w.p.Dark(false)
		complain("straight quotes", w.p.Quotes())
		complain("shop default", w.p.Defaults())
		complain("at "+size.Name, w.p.Overflow())
		complain("cut off at "+size.Name, w.p.CutOff())
		complain("over another at "+size.Name, w.p.Overlaps())
		if size.Width >= browsertest.Phone.Width {
			complain("small target at "+size.Name, w.p.Targets(browsertest.BenchSet.Target))
			complain("small text at "+size.Name, w.p.SmallText(browsertest.BenchSet.Text))
		}
	}
	w.p.Resize(browsertest.Upright)
}
