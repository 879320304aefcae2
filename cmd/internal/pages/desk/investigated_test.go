package desk_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
)

// TestAnInvestigation goes the whole way: a defect that recurs is looked into
// from the page that shows it, what is decided is stamped, the next edition of
// the route card is published because of it, and once parts go by that edition
// the page of the investigation shows the moment.
func TestAnInvestigation(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	shop := house.Year(t, 100)
	b := house.Browser(t)
	p := browsertest.SignedIn(t, shop, b, "/")
	p.Open(shop.Hub.Pages + "/who")
	p.Go("IO")
	p.Open(shop.Hub.Pages + "/recurring?defect=pinhole")
	p.Go("Investigate this")
	p.Holds(`[name="matter"]`, "pinhole")
	p.Holds(`[name="counted.0.with"]`, "")
	for _, one := range [][2]string{{"matter", "pinholes in one lot"}, {"concluded", "the lot gives off gas"}, {"certainty", "probable"}, {"decided.0.outcome", "a change of the route card"}, {"decided.0.says", "a test piece of each lot"}} {
		p.Set(one[0], one[1])
	}
	p.Go("Stamp it")
	p.Sees("Pinholes in one lot")
	p.Sees("as then")
	p.Sees("a test piece of each lot")
	page := p.URL()
	if !strings.Contains(page, "/investigation/") {
		t.Fatalf("the stamp leads to %s", page)
	}
	p.Go("Write the next edition")
	p.Go(`[href^="/routes/caliper/edit"]`)
	p.Go("Check it and show what changes")
	p.Go("Publish edition 2")
	p.Sees("This edition came out of an investigation: Pinholes in one lot")

	var opened struct{ Job string }
	if err := json.Unmarshal(shop.Command("", "open", "--data", shop.Hub.Dir, "--by", "io", "--plate", "TRL 1", "--corner", "LF", "--json"), &opened); err != nil {
		t.Fatal(err)
	}
	add := func(kind string, data ...string) {
		shop.Add(append([]string{kind, "--job", opened.Job, "--corner", "LF", "--part", "caliper"}, data...)...)
	}
	add("powder.applied", "lot=so-118", "coat=1")
	shop.Add("bake.started", "--run", "bake-after", "set=190 °C", "parts="+opened.Job+"/LF/caliper")
	add("defect.found", "looks=pinhole", "face=back", "seen=after bake")
	p.OpenUntil(page, "1 of 1")
	p.Sees("caliper 2")
	p.Sees("1 part more, 1 more with it")
	p.Sees("Before")
	if chart := p.Value(`document.querySelector("#time svg")?.textContent ?? ""`); !strings.Contains(chart, "2: ") || !strings.Contains(chart, "before") {
		t.Errorf("the moment is not in the chart: %q", chart)
	}
	path := strings.TrimPrefix(page, shop.Hub.Pages)
	browsertest.Every(t, p, shop.Hub.Pages, browsertest.DeskSet, slices.Values([]string{path, "/investigations", "/recurring?defect=pinhole", "/routes/caliper/edit?because=" + path[strings.LastIndex(path, "/")+1:]}))
}
