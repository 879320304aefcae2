package desk_test

import (
	"encoding/csv"
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/invented"
	"fettlebook/journal/parts"
	"fettlebook/journal/recur"
	"fettlebook/journal/words"
)

// invent gives the desk the parts table of an invented shop, in which one lot
// was bad.
func (o *office) invent(coats int) *parts.Table {
	table := invented.Make(invented.Setting{Seed: 7, Parts: coats, Days: 365, Cause: invented.OneLot, Mixed: true}).Table()
	o.desk.Parts = func(*live.Snapshot) *parts.Table { return table }
	return table
}

// The page of recurring defects says what stands out and what cannot be told
// from it, and leads to every factor; each of these has its groups and strata.
func TestRecurring(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	table := o.invent(1000)
	want, err := recur.Of(table, recur.Question{Defect: "pinhole"})
	if err != nil || len(want.Accused) == 0 || want.Accused[0].Name != parts.PowderLot {
		t.Fatalf("the lot is not found: %v, %v", want, err)
	}
	bad := want.Accused[0].Split
	a := o.get("/recurring").well(http.StatusOK)
	a.says("Powder lot "+bad, "what goes with a defect, not what makes it", "All factors that were tried", `<svg xmlns`, fmt.Sprintf("%s, %d", want.Rates[1].Defect, want.Rates[1].Rate.Sample.Defects), "who sprayed")
	a.hides("NaN", "Inf")
	tried := regexp.MustCompile(`href="(/recurring/[^"?]+[^"]*)"`).FindAllStringSubmatch(a.body, -1)
	if len(tried) < 40 {
		t.Fatalf("%d factors are led to", len(tried))
	}
	for _, path := range tried {
		o.get(strings.ReplaceAll(path[1], "&amp;", "&")).well(http.StatusOK).hides("NaN", "Inf")
	}
	lot := o.get("/recurring/powder_lot?defect=pinhole").well(http.StatusOK)
	lot.says("Pinhole and powder lot", want.Of(parts.PowderLot).Pair.First.String(), "of the first powder of the coat", "Within the same kind of part and metal", "stands out", `class="chart"`,
		"/parts?where=powder_lot%3D"+bad+"&amp;where=defect_pinhole%3Dyes")
	o.get("/recurring/same_day?defect=pinhole").well(http.StatusOK).says("only goes along with powder lot "+bad, "/recurring/powder_lot?defect=pinhole")
	o.get("/recurring/soak_minutes").well(http.StatusOK).says("above 30 to 45")
	soak := want.Of(parts.SoakMetal)
	o.get("/recurring/soak_metal_c?defect=pinhole").well(http.StatusOK).says(words.Count(soak.Pair.First.Defects, "part")+" with pinhole, "+soak.Split, "/parts?where=soak_metal_c", "&amp;where=defect_pinhole%3Dyes")
	o.get("/recurring/moon").well(http.StatusNotFound).says("No factor of that name was tried")
}

func TestRecurringIsAsked(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	table := o.invent(300)
	o.get("/recurring?defect=orange+peel&since=2025-06&where=metal%3Diron").well(http.StatusOK).says(`value="metal=iron"`, `value="2025-06"`, "<h2>Orange peel</h2>", "?defect=pinhole&amp;since=2025-06&amp;where=metal%3Diron")
	o.get("/recurring?since=soon").well(http.StatusBadRequest).says("is not a day", `value="soon"`)
	o.get("/recurring?where=wheel%3D4").well(http.StatusBadRequest).says("There is no column", `value="wheel=4"`)
	o.get("/recurring?defect=hole").well(http.StatusBadRequest).says("Nothing looks like that")
	o.get("/recurring/powder_lot?where=wheel%3D4").leads("/recurring?where=wheel%3D4")
	o.get("/recurring?where=metal%3Dgold").well(http.StatusOK).says("No coat of a part is on record")
	o.get("/recurring?where=looked%3Dno").well(http.StatusOK)
	o.desk.Parts = func(*live.Snapshot) *parts.Table { return table.Where(nil).Where(parts.Filter{}) }
	o.get("/recurring?since=2027").well(http.StatusOK).says("No coat of a part is on record")
}

// The parts table is filtered by plain conditions, sorted, and comes in pages.
func TestParts(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	table := o.invent(300)
	o.get("/parts").well(http.StatusOK).says(fmt.Sprintf("1 to 100 of %d", table.Len()), "The rows after", `aria-sort="descending"`, "page=2", "What the columns are")
	o.get("/parts?page=2").well(http.StatusOK).says("101 to 200 of", "The rows before")
	o.get("/parts?page=99").well(http.StatusOK).says("1 to 100 of")
	iron := o.get("/parts?where=metal%3Diron&where=soak_minutes%3C40&where=").well(http.StatusOK)
	iron.says(`value="metal=iron"`, `value="soak_minutes&lt;40"`, "Time of soak, min", "Matching").hides(">aluminium</td>")
	sorted := o.get("/parts?sort=film_um").well(http.StatusOK).says("Film, µm ↑", "sort=film_um")
	if first, last := strings.Index(sorted.body, "Film, µm"), strings.Count(sorted.body, `<tr role="row"><th role="rowheader"`); first < 0 || last < 100 {
		t.Errorf("%d rows", last)
	}
	o.get("/parts?where=metal").well(http.StatusBadRequest).says("is not a condition", `aria-describedby="where-wrong"`)
	o.get("/parts?where=metal%3Dgold").well(http.StatusOK).says("meets this")
	for query, people := range map[string]bool{"": false, "&people=yes": true} {
		a := o.get("/parts/table.csv?where=metal%3Diron" + query)
		if a.header.Get("Content-Type") != "text/csv; charset=utf-8" || !strings.Contains(a.header.Get("Content-Disposition"), "attachment") {
			t.Errorf("%v", a.header)
		}
		read, err := parts.ReadCSV(strings.NewReader(a.body))
		if err != nil {
			t.Fatal(err)
		}
		if want := table.Where(filter(t, "metal=iron")).Len(); read.Len() != want {
			t.Errorf("%d rows, want %d", read.Len(), want)
		}
		if told := strings.Contains(a.body[:strings.Index(a.body, "\n")], "person"); told != people {
			t.Errorf("%q tells of people: %v", query, told)
		}
	}
	o.get("/parts/table.csv?where=wheel").leads("/parts?where=wheel")
	if rows, err := csv.NewReader(strings.NewReader(o.get("/parts/dictionary.csv").body)).ReadAll(); err != nil || len(rows) != len(parts.Columns())+1 {
		t.Errorf("%d rows of the dictionary, %v", len(rows), err)
	}
}

// Without a coat the pages say so, and what is written of a job is in the table.
func TestPartsOfTheShop(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	o.get("/parts").well(http.StatusOK).says("No part has been coated yet")
	o.get("/recurring").well(http.StatusOK).says("No coat of a part is on record")
	o.Play(story)
	job := string(o.Job("other"))
	o.get("/").says(`href="/recurring"`, `href="/parts"`)
	a := o.get("/job/"+job).well(http.StatusOK).says(`href="/parts?where=job%3D`+job+`"`, `href="/recurring"`)
	o.get("/parts?where=job%3D"+job).well(http.StatusOK).says("/job/"+job, "pinhole")
	o.get("/recurring").well(http.StatusOK).says("Pinhole")
	_ = a
}

// What people typed is text in tables, pictures and links.
func TestHostileParts(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	const bad = `<script>alert(1)</script>"><img src=x onerror=y>`
	var rows []parts.Row
	for i := range 40 {
		r := parts.NewRow(journal.About(journal.JobID(fmt.Sprintf("j%07d", i)), "LF", "caliper"), 1)
		r.Put(parts.PowderLot, parts.Text([]string{bad, "L1"}[i%2]))
		r.Put(parts.Looked, parts.Yes(true))
		r.Put(parts.Casting, parts.Text(bad))
		r.Put(parts.Entry, parts.Text(bad))
		r.Put(parts.Defect("pinhole"), parts.Yes(i%2 == 0))
		rows = append(rows, r)
	}
	table := parts.New(rows...)
	o.desk.Parts = func(*live.Snapshot) *parts.Table { return table }
	for _, path := range []string{"/parts", "/recurring", "/recurring/powder_lot", "/recurring/casting", "/parts?where=" + url.QueryEscape("powder_lot="+bad), "/parts?where=" + url.QueryEscape(bad), "/recurring?since=" + url.QueryEscape(bad), "/recurring?defect=" + url.QueryEscape(bad)} {
		o.get(path).hides("<script>alert", "<img src=x", "NaN", "Inf")
	}
}

func filter(t *testing.T, conditions ...string) parts.Filter {
	t.Helper()
	f, err := parts.ParseFilter(conditions...)
	if err != nil {
		t.Fatal(err)
	}
	return f
}
