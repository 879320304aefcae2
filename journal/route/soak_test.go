package route_test

import (
	"fmt"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/route"
	"fettlebook/journal/trade/unit"
)

// A soak counts if the metal was as hot as the bake made it, whenever it was
// done between degreasing and powder.
func TestSoaks(t *testing.T) {
	lf := at("LF", "caliper")
	rack := journal.Rack{Parts: castings([]journal.Corner{"LF", "RF"})}
	soaking := func(metal string, rag journal.Rag) journal.Soaking {
		return journal.Soaking{Rack: rack, Set: q[unit.Temperature]("220 °C"), Metal: q[unit.Temperature](metal), Held: q[unit.Duration]("30 min"), Rag: rag}
	}
	before := func(s *story) { s.move("soak", "blast") }
	cooler := func(s *story) { edit(s, "soak", func(p *journal.Soaking) { p.Metal = q[unit.Temperature]("180 °C") }) }
	// sweats is a soak that drives oil out, after which the parts are blasted
	// and soaked once more, all before they are masked.
	sweats := func(s *story) {
		before(s)
		edit(s, "soak", func(p *journal.Soaking) { p.Rag = "stained" })
		s.after("soak", plain("blast again", bench1, "run/blast-2", "mk", journal.Blasting{Rack: rack, Media: "glass bead"}))
		s.after("blast again", plain("soak again", bench1, "run/soak-2", "mk", soaking("210 °C", "clean")))
	}
	judged(t, []work{
		{"soaked after masking", "order", lf, func(*story) {}, true, "degreased, then blasted, then masked, then soaked, then coated"},
		{"soaked before masking", "order", lf, before, true, "degreased, then blasted, then soaked, then masked, then coated"},
		{"soaked before masking, as hot as the bake", "soaked", lf, before, true, "as hot as the bake (199 °C)"},
		{"blasted again after oil had sweated out", "order", lf, sweats, true, "degreased, then blasted, then soaked, then masked, then coated"},
		{"and soaked until the rag stays clean", "soaked", lf, sweats, true, "the rag was clean"},
		{"blasted again, washed again and not soaked again", "order", lf, func(s *story) {
			sweats(s)
			s.drop("soak again")
			s.after("soak", plain("wash again", bench1, "run/wash-2", "mk", journal.Degreasing{Rack: rack, Agent: "alkaline bath"}))
		}, true, "soaked, then degreased, then blasted, then masked, then coated"},
		{"but then the rag was not clean", "soaked", lf, func(s *story) { sweats(s); s.drop("soak again") }, false, "the rag was stained"},

		{"cooler than the bake, after masking", "soaked", lf, cooler, false, "the part was warmed and its gas was not driven out"},
		{"cooler than the bake, before masking", "soaked", lf, func(s *story) { cooler(s); before(s) }, false, "the part was warmed and its gas was not driven out"},
		{"cooler, and then no better", "soaked", lf, func(s *story) {
			cooler(s)
			s.after("soak", plain("cooler", bench1, "run/soak-2", "mk", soaking("150 °C", "clean")))
		}, false, "the part was warmed"},
		{"warmed once more before the powder", "soaked", lf, func(s *story) {
			s.after("soak", plain("warmed", bench1, "run/soak-2", "mk", soaking("80 °C", "")))
		}, true, "as hot as the bake (199 °C)"},
		{"warmed once more, and oil came", "soaked", lf, func(s *story) {
			s.after("soak", plain("warmed", bench1, "run/soak-2", "mk", soaking("80 °C", "stained")))
		}, false, "the rag was stained"},
		{"hot enough until the bake got hotter", "soaked", lf, func(s *story) {
			cooler(s)
			edit(s, "bake", func(b *journal.BakeStart) { b.Set = q[unit.Temperature]("170 °C") })
			s.until("bake")
		}, true, "as hot as the bake (170 °C)"},
		{"soaked after the powder", "order", lf, func(s *story) { s.move("soak", "powder") }, false, "it was coated before it was soaked"},
		{"soaked before it was degreased", "order", lf, func(s *story) { s.move("wash", "soak") }, false, "before it was degreased"},
		{"blasted after masking", "order", lf, func(s *story) { s.move("blast", "soak") }, false, "it was masked before it was blasted"},
		{"blasted again after masking", "order", lf, func(s *story) {
			s.after("soak", plain("blast again", bench1, "run/blast-2", "mk", journal.Blasting{Rack: rack, Media: "glass bead"}))
		}, false, "it was masked before it was blasted"},
		{"blasted before degreasing, and degreased again later", "order", lf, func(s *story) {
			s.move("wash", "blast")
		}, false, "it was blasted before it was degreased"},
	})
}

// Of several recorders the hottest reading says how hot the bake was.
func TestSoakBesideTwoRecorders(t *testing.T) {
	for _, names := range [][2]string{{"1", "5"}, {"5", "1"}} {
		s := complete(t)
		edit(s, "bake", func(b *journal.BakeStart) {
			b.Probes = append(b.Probes, journal.Probe{Channel: "5", Place: "thin ear", On: at("LF", "caliper")})
		})
		edit(s, "trace", func(p *journal.ProbeTrace) {
			*p = logs(60, 30, map[string]func(int) string{names[0]: func(second int) string { return fmt.Sprintf("%.1f", min(215, 20+float64(second)/5)) }})
		})
		s.after("trace", plain("other", bench1, "run/bake-1", "mk", logs(60, 30, map[string]func(int) string{names[1]: casting(10)})))
		v := stands(checked(supplied(t, "caliper"), s.write().log), "soaked", at("LF", "caliper"))
		if v.State != route.Broken || !strings.Contains(v.Why, "the bake reaches 215 °C") {
			t.Errorf("%s logged last: %s: %s", names[1], v.State, v.Why)
		}
	}
}
