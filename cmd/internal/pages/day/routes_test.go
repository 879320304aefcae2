package day_test

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/bench"
	"fettlebook/cmd/internal/pages/browsertest"
	"fettlebook/cmd/internal/pages/counter"
	"fettlebook/cmd/internal/pages/desk"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/cmd/internal/pages/tags"
	"fettlebook/cmd/internal/pages/write"
)

// elsewhere says of the paths that TestEveryPage does not look at why not.
func elsewhere() map[string]string {
	return map[string]string{
		"GET /live":                 "events for pages that are open",
		"GET /":                     "what says that there is no such page",
		"GET /worker.js":            "what speaks while no program runs",
		"GET /lamp":                 "the bar of pages that are open",
		"GET /assets/":              "style sheets, scripts and letters",
		"GET /photo/{ref}":          "a photograph",
		"GET /thumb/{ref}":          "a photograph",
		"GET /snap/{ref}":           "a photograph that is not stamped yet",
		"GET /outline/{name}":       "a drawing of a part",
		"GET /look/{name}":          "a drawing of a defect",
		"GET /hub-keys":             "a question that a hub asks which lost its keys: package bench looks at it",
		"GET /parts/table.csv":      "a table for other programs",
		"GET /parts/dictionary.csv": "a table for other programs",
		"GET /routes/check":         "a way back to the route cards",
		"GET /routes/publish":       "a way back to the route cards",
		"GET /receipt/{job}":        "a paper: package paper looks at it",
		"GET /receipt/{job}/pdf":    "a paper for print",
	}
}

// routes gathers the paths on which pages are put.
type routes []string

func (r *routes) HandleFunc(pattern string, _ func(http.ResponseWriter, *http.Request)) {
	if strings.HasPrefix(pattern, http.MethodGet+" ") {
		*r = append(*r, pattern)
	}
}

var _ pages.Mux = (*routes)(nil)

func deskRoutes() (r routes) {
	tags.New(tags.Config{}).Routes(&r)
	counter.New(counter.Config{}).Routes(&r)
	desk.New(desk.Config{}).Routes(&r)
	readonly.New(readonly.Config{}).Routes(&r)
	write.New(write.Config{}).Routes(&r)
	return r
}

func benchRoutes() (r routes) {
	tags.New(tags.Config{}).Routes(&r)
	counter.New(counter.Config{}).Routes(&r)
	bench.New(bench.Config{}).Routes(&r)
	readonly.New(readonly.Config{}).Routes(&r)
	write.New(write.Config{}).Routes(&r)
	return r
}

// rest demands that of every path of a site a page was looked at, or that it is said
// why not.
func rest(t *testing.T, looked []string, site func() routes) {
	t.Helper()
	mux, seen := http.NewServeMux(), make(map[string]bool)
	for _, pattern := range site() {
		mux.HandleFunc(pattern, func(http.ResponseWriter, *http.Request) {})
	}
	for _, path := range looked {
		_, pattern := mux.Handler(httptest.NewRequest(http.MethodGet, path, nil))
		seen[pattern] = true
	}
	for _, pattern := range site() {
		switch why := elsewhere()[pattern]; {
		case !seen[pattern] && why == "":
			t.Errorf("no page of %s was looked at", pattern)
		case seen[pattern] && why != "":
			t.Errorf("%s was looked at, although it is %s", pattern, why)
		}
	}
}

// unlinked are the pages of both sites that forms lead to, or links in sentences that
// not every day has.
func unlinked(job string) []string {
	return []string{"/search?q=TRL+4471", "/record/" + job, "/run/new/bake.started", "/run/bake-2", "/write/probe.logged/run/bake-2", "/now/job/" + job, "/stage/received/job/" + job}
}

// complaints adds complaints to the day's job, one in each state, and returns the pages
// of them: one that is open and asks, one that was looked into, one that was settled,
// the form that settles one, and what was looked into.
func complaints(t *testing.T, day *browsertest.Day) (job string, paths []string) {
	t.Helper()
	command := func(args ...string) []byte {
		t.Helper()
		return day.Command("", append(args, "--data", day.Hub.Dir)...)
	}
	var found struct {
		Jobs []struct{ Job string }
	}
	if err := json.Unmarshal(command("record", "TRL 4471", "--json"), &found); err != nil || len(found.Jobs) == 0 {
		t.Fatalf("the day's job: %v, %+v", err, found)
	}
	job = found.Jobs[0].Job
	add := func(kind string, data ...string) string {
		t.Helper()
		var one struct{ ID string }
		if err := json.Unmarshal(command(append([]string{"add", kind, "--by", "io", "--job", job, "--json"}, data...)...), &one); err != nil || one.ID == "" {
			t.Fatalf("%s: %v", kind, err)
		}
		return one.ID
	}
	const track = "Was it driven on a track?"
	add("job.promised", "warranty.months=24", "warranty.distance=20000 km", "excludes="+track)
	settled := add("claim.opened", "says=the left rear wheel squeals", "odometer=84900 km")
	add("claim.decided", "of="+settled, "decision=refused", "reason=the pads were not changed here", `answers={"question":"`+track+`","answer":"yes"}`)
	looked := add("claim.opened", "says=the paint is dull")
	add("investigation.made", "matter=the paint is dull", "looked_at=the part", "found=brake dust burnt in", "concluded=an acid wheel cleaner", "certainty=probable")
	pinholes := add("investigation.made", "matter=pinholes in the brackets", "looked_at=the parts table", "looked_at=the photographs", "found=Two of the brackets had pinholes by the boss, where the casting is thickest, and all of them were soaked no hotter than they were baked.",
		"concluded=gas comes out of the casting in the bake", "certainty=probable", "defect=pinhole", "filter=what=bracket", `counted={"defects":1,"parts":3}`, `counted={"with":"soak_over_bake_k<=0","defects":1,"parts":1}`,
		`decided={"outcome":"a trial","says":"six brackets soaked 10 K above the bake"}`, `decided={"outcome":"a change of the route card","says":"the metal is read in the soak"}`)
	add("investigation.made", "matter=pinholes in the brackets, after the trial", "looked_at=the six brackets", "found=no pinhole", "concluded=the soak was too cool", "certainty=certain", "of="+pinholes, "came_of_it=none of the six had a pinhole")
	open := add("claim.opened", "says=a bubble in the paint of the left rear caliper, as large as a pea, and beside it a crack that runs to the bleeder screw", "odometer=86000 km")
	return job, []string{"/claim/" + settled, "/claim/" + looked, "/claim/" + open, "/dossier/complaint/" + open, "/write/claim.decided/job/" + job + "?of=" + open,
		"/investigations", "/investigation/" + pinholes, "/routes/caliper/edit?because=" + pinholes}
}
