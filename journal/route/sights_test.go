package route_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/route"

	"github.com/go-json-experiment/json"
)

// taken gives a step's data a photograph of its own, so that no two are the same.
func taken[P any, PP interface {
	*P
	journal.Payload
}](s *story, name, role string) {
	edit(s, name, func(p *P) { journal.Attach(PP(p), journaltest.Picture(role)) })
}

// Each photograph of the complete job stands once, at the stage that asks for what
// it shows, and one that nobody asked for stands at the end.
func TestSights(t *testing.T) {
	s := complete(t)
	s.after("LF opened", plain("by the way", bench1, at("", ""), "mk", journal.Snapshot{Evidence: seen("the workshop's cat")}))
	s.after("by the way", plain("bare", bench1, at("LF", "bracket"), "mk", journal.Snapshot{Evidence: seen("Masked bores and seats")}))
	taken[journal.Removal](s, "LF removed caliper", "as it came off")
	job, shop := fold(s.write().log)
	rows := held(supplied(t, "caliper"), job, shop).Grid()
	list := route.Sights(rows, job.Timeline())

	all, of := 0, make(map[string][]string)
	var order []string
	for _, l := range job.Timeline() {
		all += len(l.Photos)
	}
	for _, shown := range list {
		name := "none"
		if shown.Stage != nil {
			name = shown.Stage.Name
		}
		order = append(order, name)
		for _, sight := range shown.Sights {
			of[name] = append(of[name], sight.Role)
			all--
		}
	}
	if all != 0 {
		t.Errorf("%d photographs are missing, or there twice", all)
	}
	if got := of["none"]; !slices.Equal(got, []string{"the workshop's cat"}) || order[len(order)-1] != "none" {
		t.Errorf("beside the stages stand %q, in the order %v", got, order)
	}
	if !slices.Contains(of["mask"], "Masked bores and seats") {
		t.Errorf("a photograph that shows what a stage asks for stands elsewhere: %v", of)
	}
	if !slices.Equal(of["removed"], []string{"as it came off"}) {
		t.Errorf("what came off is shown by %q of %v", of["removed"], of)
	}
	if got := route.Sights(nil, job.Timeline()); len(got) != 1 || got[0].Stage != nil {
		t.Errorf("without a card there are %d stages", len(got))
	}
}

// A corner is shown as it came off and as it went back; who took one picture of each
// part sees the same part again.
func TestPairs(t *testing.T) {
	says := func(p facts.Pair) string {
		name := func(s *facts.Sight) string {
			if s == nil {
				return "nothing"
			}
			return s.Role
		}
		return fmt.Sprintf("%s: %s, %s", p.About.Place(), name(p.Before), name(p.After))
	}
	s := complete(t)
	for _, name := range []string{"LF removed caliper", "LF removed bracket"} {
		taken[journal.Removal](s, name, name)
	}
	for _, name := range []string{"LF refitted caliper", "LF refitted bracket"} {
		taken[journal.Refitting](s, name, name)
	}
	job, shop := fold(s.write().log)
	j := facts.StockOf(shop).Job(supplied(t, "caliper"), job)
	var got []string
	for _, p := range j.Pairs() {
		got = append(got, says(p))
	}
	if len(got) != 2 || !strings.HasPrefix(got[0], "LF: LF removed caliper, LF refitted ") {
		t.Errorf("the corners are shown by %q", got)
	}
	for about, want := range map[journal.Subject]string{
		at("LF", "bracket"): "LF bracket: LF removed bracket, LF refitted bracket",
		at("LF", ""):        got[0],
		at("", ""):          ": nothing, nothing",
		"run/bake-1":        ": nothing, nothing",
	} {
		if got := says(j.SameSpot(about)); got != want && !(about.Corner() == "" && strings.HasSuffix(got, want)) {
			t.Errorf("the place of %s is shown by %q, not %q", about, got, want)
		}
	}
}

// A joint that was written wrong and corrected says both; a wrong one says why.
func TestTightened(t *testing.T) {
	s := complete(t)
	var right22 journal.Torque
	edit(s, "LF banjo bolt", func(d *journal.Torque) { right22, d.Torque = *d, nm(220) })
	s.after("LF banjo bolt", linked("LF banjo corrected", bench1, at("LF", ""), "io", func(ids map[string]journal.EntryID) journal.Payload {
		raw, err := json.Marshal(&right22)
		if err != nil {
			t.Fatal(err)
		}
		return &journal.Correction{Of: ids["LF banjo bolt"], Reason: "a zero too many", Data: raw}
	}))
	edit(s, "RF banjo bolt", func(d *journal.Torque) { d.Torque = nm(30) })
	job, shop := fold(s.write().log)
	j := facts.StockOf(shop).Job(supplied(t, "caliper"), job)
	var wrong, right int
	var slips []string
	for _, is := range j.Tightened() {
		if is.Line == nil || is.Got == "" || is.Asked == "" {
			t.Errorf("%s %s says %+v", is.At, is.Joint, is)
		}
		if is.Was != "" {
			slips = append(slips, is.Was+", now "+is.Got)
		}
		if is.Wrong {
			wrong++
		} else {
			right++
		}
	}
	if wrong != 1 || right < 6 || !slices.Equal(slips, []string{"220 N.m, now 22 N.m"}) {
		t.Errorf("%d joints are wrong, %d right; of slips it says %q", wrong, right, slips)
	}
}
