package facts_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
)

// life is that of the casting of a part.
func (c *coater) life(of journal.Subject) *facts.Life {
	c.tb.Helper()
	shop := c.book.Shop()
	stock := facts.StockOf(shop)
	j := shop.Job(of.Job())
	if j == nil {
		return nil
	}
	p, _ := j.Part(of)
	if p == nil {
		return nil
	}
	lives := []*record.Part{p}
	if p.Casting != nil {
		lives = p.Casting.Parts
	}
	var stays []*facts.Stay
	for _, life := range lives {
		stays = append(stays, stock.Stay(shop.Job(life.Subject.Job()), life.Subject))
	}
	return stock.LifeOf(p.Casting, stays...)
}

// tells is a life as lines of text.
func tells(l *facts.Life) string {
	if l == nil {
		return ""
	}
	var out strings.Builder
	flaws := func(list []facts.Flaw) {
		for _, f := range list {
			fmt.Fprintf(&out, "  defect of coat %d: %s at %s, %s\n", f.Coat, f.Defect.Looks, f.Defect.Face, f.Decision)
		}
	}
	fmt.Fprintln(&out, l.Name)
	for _, s := range l.Stays {
		fmt.Fprintf(&out, "stay %s, pictures %d, is %q, instead %q of %q\n", s.Part, len(s.Pictures), s.Is, s.Instead, s.InsteadOf)
		flaws(s.Flaws)
		for _, w := range s.Works {
			fmt.Fprintf(&out, " coat %d\n", w.Coat)
			for _, st := range slices.Concat(w.States, w.Heated) {
				fmt.Fprintf(&out, "  %s\n", st.Say())
			}
			if w.Heat != nil {
				fmt.Fprintf(&out, "  by then %s\n", w.Heat.Say())
			}
			flaws(w.Flaws)
		}
		for _, r := range s.Renewed {
			fmt.Fprintf(&out, " new: %s\n", r.Says)
		}
	}
	for _, st := range l.Open {
		fmt.Fprintf(&out, "open: %s\n", st.Say())
	}
	return out.String()
}

// Lives of castings, honest and wrong, each with what must and what must not be told.
func TestLife(t *testing.T) {
	again := journal.About(laterJob, "LF", "caliper")
	spare := journal.About(job, "LF", "caliper-2")
	bracket := journal.About(job, "LF", "bracket")
	for _, trial := range []struct {
		what string
		does func(*coater)
		of   journal.Subject
		want []string
		not  []string
	}{
		{"one coat, handed back, never heard of", func(c *coater) { c.all(job, "1", lf, rf) }, lf, []string{
			"S-LFcaliper", " coat 1", "degreased with alkaline bath", "blasted with glass bead", "soaked for 30 min", "coat 1 of lot so-118, orange", "schedule met 1.38 times",
			"at most 30 min above 150 °C in the soak", "15 min above 150 °C in run bake-1, by a probe on the part", "by then 45 min above 150 °C over the life of the casting, at most",
			"open: what was done to it before 2 March 2026", "open: nothing has been heard of it since it was handed back on 2 March 2026",
		}, []string{" coat 2", "defect", "no number", "of what metal", "not on record before"}},
		{"no probe on it: what another channel showed, at most", func(c *coater) { c.all(job, "1", lf, rf) }, rf, []string{"at most 15 min above 150 °C in run bake-1", "not proven: no probe was on the part"}, nil},
		{"bare powder on bare metal", func(c *coater) {
			c.opens(job)
			c.takesOff(lf)
			c.powders("1", lf)
			c.handsBack(job)
		}, lf, []string{"no degreasing before the powder is on record", "no blast before the powder is on record", "no soak before the powder is on record", "no bake after the powder is on record", "no reading of the film is on record"}, []string{"  by then", "yet"}},
		{"still worked on: what is to come is not what nobody wrote", func(c *coater) {
			c.opens(job)
			c.takesOff(lf)
			c.prepares("1", lf)
			c.powders("1", lf)
		}, lf, []string{"coat 1 has not been baked yet", "the film has not been measured yet"}, []string{"no bake after", "nothing has been heard"}},
		{"a bake whose end nobody wrote", func(c *coater) {
			c.opens(job)
			c.takesOff(lf)
			c.powders("1", lf)
			c.does("run/bake-1", &journal.BakeStart{Rack: journal.Rack{Parts: []journal.Subject{lf}}, Oven: "ov-1", Set: measure[unit.Temperature]("200 °C")})
		}, lf, []string{"nobody has written how long run bake-1 lasted, so its heat is not known", "by then 0 min above 150 °C over the life of the casting, at most", "nobody has written how long 1 bake lasted, so that is not in it"}, nil},
		{"stripped and coated again in one job", func(c *coater) {
			c.coatsTwice(job, lf)
		}, lf, []string{" coat 1", " coat 2", "by then 45 min", "by then 90 min", "defect of coat 1: pinhole at upper boss, " + string(journal.StripAndRecoat)}, []string{" coat 3", "defect of coat 2"}},
		{"stripped, and nothing more", func(c *coater) {
			c.opens(job)
			c.takesOff(lf)
			c.powders("1", lf)
			c.bakes("1", nil, lf)
			c.finds(lf)
			c.blasts("2", lf)
		}, lf, []string{" coat 1", " coat 0", "defect of coat 1"}, []string{" coat 2"}},
		{"a late defect is of the coat that it was found on, with what was decided then", func(c *coater) {
			c.all(job, "1", lf)
			c.days(200)
			c.opens(laterJob)
			c.takesOff(again)
			of := c.does(again, pore(journal.AfterHandover))
			c.does(again, &journal.Rework{Of: of, Decision: journal.StripAndRecoat, Reason: "porous"})
			c.prepares("2", again)
			c.powders("2", again)
			c.bakes("2", nil, again)
			c.handsBack(laterJob)
			c.days(30)
			c.reaches(laterJob, true)
		}, lf, []string{"stay " + string(lf), "stay " + string(again), " coat 2", "by then 90 min", "defect of coat 1: pinhole at upper boss, " + string(journal.StripAndRecoat), "open: it was last heard of 30 days after it was handed back on 18 September 2026"},
			[]string{"defect of coat 0", "defect of coat 2", " coat 3"}},
		{"a defect of a coat that was there when it first came", func(c *coater) {
			c.opens(job)
			c.takesOff(lf)
			c.does(lf, pore(journal.AfterHandover))
			c.prepares("1", lf)
			c.powders("1", lf)
		}, lf, []string{"defect of coat 0: pinhole", " coat 1"}, []string{"defect of coat 1"}},
		{"two defects of one coat, one struck out", func(c *coater) {
			c.opens(job)
			c.takesOff(lf)
			c.powders("1", lf)
			c.bakes("1", nil, lf)
			c.does(lf, pore(journal.AfterBake))
			of := c.does(lf, &journal.Defect{Looks: journal.Crater, Face: "flank", Seen: journal.AfterBake})
			c.does(lf, &journal.Correction{Of: of, Reason: "a speck of dust"})
		}, lf, []string{"defect of coat 1: pinhole at upper boss, \n"}, []string{"crater"}},
		{"scrapped, and another in its place", func(c *coater) {
			c.opens(job)
			c.takesOff(lf)
			c.powders("1", lf)
			c.bakes("1", nil, lf)
			of := c.does(lf, pore(journal.AfterBake))
			c.does(lf, &journal.Rework{Of: of, Decision: journal.ScrapPart, Reason: "porous"})
			c.does(spare, &journal.Tagging{Tag: "T2", Number: "S-9", Metal: journal.Iron})
			c.handsBack(job)
		}, lf, []string{`is "scrapped", instead "` + string(spare) + `"`}, []string{"nothing has been heard"}},
		{"and the one that went in", func(c *coater) {
			c.opens(job)
			c.takesOff(lf)
			of := c.does(lf, pore(journal.AfterBake))
			c.does(lf, &journal.Rework{Of: of, Decision: journal.ScrapPart, Reason: "porous"})
			c.does(spare, &journal.Tagging{Tag: "T2", Number: "S-9", Metal: journal.Iron})
			c.handsBack(job)
		}, spare, []string{`instead "" of "` + string(lf) + `"`, "nothing has been heard of it"}, []string{"what was done to it before"}},
		{"nothing tells it from others", func(c *coater) {
			c.opens(job)
			c.does(bracket, &journal.Removal{})
			c.powders("1", bracket)
		}, bracket, []string{"LF bracket of TRL 4471", "open: the shop put no number into it, so other jobs of it may not have been known again", "open: nobody has written of what metal it is"}, nil},
		{"a mark, of an unknown metal", func(c *coater) {
			c.opens(job)
			c.does(lf, &journal.Tagging{Tag: "T", Mark: "7B", Metal: journal.MetalNotKnown})
		}, lf, []string{"it is told by the cast mark 7B, which other castings may bear too", "open: nobody has written of what metal it is"}, []string{" coat"}},
		{"new parts, and photographs", func(c *coater) {
			c.opens(job)
			c.takesOff(lf)
			c.does(lf, &journal.Rebuild{NewParts: []journal.Item{{What: "dust boot", Count: 2}}})
			c.does(lf, &journal.Snapshot{Evidence: journal.Evidence{Photos: []journal.Photo{journaltest.Picture("before")}}})
		}, lf, []string{"pictures 1", "dust boot"}, nil},
		{"a part of which nothing is written", func(c *coater) { c.opens(job) }, lf, nil, []string{"stay"}},
	} {
		t.Run(trial.what, func(t *testing.T) {
			c := newCoater(t)
			trial.does(c)
			got := tells(c.life(trial.of))
			for _, want := range trial.want {
				if !strings.Contains(got, want) {
					t.Errorf("%q is missing in\n%s", want, got)
				}
			}
			for _, not := range trial.not {
				if strings.Contains(got, not) {
					t.Errorf("%q is in\n%s", not, got)
				}
			}
		})
	}
}

// The heat of a life is the heat that the hold points of its last job judge.
func TestHeatOfALifeIsTheHoldsHeat(t *testing.T) {
	text, err := card.Supplied("caliper")
	if err != nil {
		t.Fatal(err)
	}
	supplied, err := card.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	compared := 0
	for _, s := range coated() {
		c := newCoater(t)
		s.does(c)
		shop := c.book.Shop()
		for _, part := range []journal.Subject{lf, journal.About(laterJob, "LF", "caliper")} {
			j := shop.Job(part.Job())
			life := c.life(part)
			if j == nil || life == nil || life.Heat == nil {
				continue
			}
			for _, site := range facts.StockOf(shop).Job(supplied, j).Parts {
				if site.Subject != part {
					continue
				}
				for _, st := range site.Group("part.heat").Statements {
					if st.Quantity != facts.HeatDose {
						continue
					}
					if compared++; st.Say() != life.Heat.Say() {
						t.Errorf("%s, %s: the life says %q, the holds %q", s.what, part, life.Heat.Say(), st.Say())
					}
				}
			}
		}
	}
	if compared < 10 {
		t.Errorf("only %d were compared", compared)
	}
}
