package desk_test

import (
	"html"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/paper"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/route"
	"fettlebook/journal/trade/unit"
)

var (
	held   = regexp.MustCompile(`(?s)<div class="tl held" id="([^"]+)">.*?<p class="seen">([^<]*)</p>.*?</div>\n?<div>(.*?)</div></div>`)
	tagged = regexp.MustCompile(`<[^>]*>`)
)

// wordsOf are a page's words alone, with one space between them.
func wordsOf(page string) string {
	return strings.Join(strings.Fields(html.UnescapeString(tagged.ReplaceAllString(page, " "))), " ")
}

// Whatever the register takes back of a job that was handed back, the page of its hold
// points, the customer's paper and the report say so: what is not proven stands nowhere
// as met.
func TestNotProvenIsNowhereMet(t *testing.T) {
	t.Parallel()
	torque := func(text string) unit.Torque { return q(text) }
	for name, spoil := range map[string]func(o *office){
		"nothing": func(*office) {},
		"the figure is another vehicle's": func(o *office) {
			o.Write("spec/estate-banjo", "io", &journal.TorqueSpec{Spec: "estate-banjo", Joint: "banjo bolt", Nominal: torque("22 N·m"), Low: torque("20 N·m"), High: torque("24 N·m"), From: journal.FromManual, Fits: []string{"two-door"}})
		},
		"the figure is for another joint": func(o *office) {
			o.Write("spec/estate-bracket", "io", &journal.TorqueSpec{Spec: "estate-bracket", Joint: "flare nut", Nominal: torque("70 N·m"), Tolerance: torque("5 N·m"), Angle: 60, From: journal.FromManual})
		},
		"the figure is for oiled threads": func(o *office) {
			o.Write("spec/estate-wheel", "io", &journal.TorqueSpec{Spec: "estate-wheel", Joint: "wheel nuts", Nominal: torque("120 N·m"), Low: torque("110 N·m"), High: torque("130 N·m"), From: journal.FromManual, Thread: journal.ThreadOiled})
		},
		"a wrench was found bad": func(o *office) {
			o.Write("tool/tw-2", "io", &journal.ToolCheck{Tool: "tw-2", Result: journal.OutOfTolerance})
		},
		"the fluid is of another grade": func(o *office) {
			o.Write("fluid/bf-31", "io", &journal.FluidContainer{Fluid: "bf-31", Grade: journal.DOT3, Opened: "2026-05-01"})
		},
	} {
		t.Run(name, func(t *testing.T) {
			o := playedOffice(t)
			job := o.Job("job")
			spoil(o)
			view := o.Live.View(t.Context())
			st := view.Standing(job)
			page := o.get("/holds/" + string(job)).well(http.StatusOK).body
			said := make(map[string][]string) // by anchor: the state that is heard, and all words
			for _, m := range held.FindAllStringSubmatch(page, -1) {
				said[m[1]] = []string{m[2], wordsOf(m[3])}
			}
			unmet := 0
			for _, v := range st.Verdicts.List {
				is := said[pages.HoldAnchor(v)]
				if len(is) == 0 || is[0] != string(v.State) || !strings.Contains(is[1], "— "+string(v.State)+" ") {
					t.Errorf("%s %s is %s, and the page says %q", v.Hold, v.Subject, v.State, is)
				}
				if v.State != route.Met && v.State != route.Waived {
					unmet++
				}
			}
			if (unmet == 0) != (name == "nothing") {
				t.Errorf("%d holds are not met", unmet)
			}
			doc, err := paper.NewReport(t.Context(), view, paper.About{Jobs: []journal.JobID{job}}, paper.Asked{At: o.Now(), Photos: paper.Small{Thumbs: o.Log}})
			if err != nil {
				t.Fatal(err)
			}
			var report strings.Builder
			if err := doc.HTML(&report, paper.Screen{}); err != nil {
				t.Fatal(err)
			}
			for what, text := range map[string]string{"the record": wordsOf(o.get("/job/" + string(job)).body), "the receipt": wordsOf(o.get("/receipt/" + string(job)).body), "the report": wordsOf(report.String())} {
				for _, joint := range st.Stock.Job(st.Card, st.Job).Tightened() {
					if joint.Is.Met != facts.No && joint.Is.Met != facts.NotKnown {
						continue
					}
					if !joint.Wrong || !strings.Contains(text, joint.Asked) {
						t.Errorf("%s does not say %q", what, joint.Asked)
					}
				}
				if unmet > 0 && strings.Contains(text, "All hold points are met") {
					t.Errorf("%s says that all is met", what)
				}
			}
		})
	}
}
