package write_test

import (
	"html"
	"maps"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// bar is the bar of a page: what stands beside the button, and what it says.
var bar = regexp.MustCompile(`(?s)<div id="verdict"[^>]*>(.*?)</div>.*?<div id="stamp"[^>]*>(.*?)</div>`)

var markup = regexp.MustCompile(`<[^>]*>`)

// beside are the sentences beside the button, and the buttons, without markup.
func (p page) beside(t testing.TB) (verdict, buttons string) {
	t.Helper()
	m := bar.FindStringSubmatch(p.body)
	if m == nil {
		t.Fatalf("no bar in\n%s", clip(p.body))
	}
	plain := func(text string) string {
		return strings.Join(strings.Fields(markup.ReplaceAllString(text, "")), " ")
	}
	return plain(html.UnescapeString(m[1])), plain(html.UnescapeString(m[2]))
}

// What would break a hold point is said beside the button, which says what it
// does and needs a second press; what is right needs one.
func TestTheWorstStandsBesideTheButton(t *testing.T) {
	t.Parallel()
	const bleedPage = "/stage/bleed/job/4f7kk2m9/corner/LF?kind=bleed.done"
	bled := url.Values{"fluid": {"bf-31"}, "drawn": {"60"}, "drawn.unit": {"mL"}, "bubbles": {"none"}, "screw": {"12"}, "screw.unit": {"N.m"}, "tool": {"tw-1"}}
	banjo := func(s *shop) {
		s.write(lf, &journal.LineOpening{At: "banjo"})
		s.write(lfCaliper, &journal.Refitting{Bleeder: "up"})
		s.write(lf, &journal.Washers{Joint: "banjo bolt", Count: 2, Material: "copper"})
		s.write(lf, &journal.LineConnection{At: "banjo"})
	}
	tightened := func(s *shop) {
		banjo(s)
		for _, joint := range []string{"banjo bolt", "guide pin bolt"} {
			s.write(lf, &journal.Torque{Joint: joint, Torque: q[unit.Torque]("27 N.m"), Tool: "tw-1", Marked: true, Count: 2, Evidence: journal.Evidence{}})
		}
	}
	for name, c := range map[string]struct {
		before func(*shop)
		path   string
		typed  url.Values
		says   []string // beside the button; none where nothing is wrong
		does   string
	}{
		"the right figure": {banjo, torquePage, tight("27"), nil, "Stamp 27 N·m"},
		"a digit too many": {banjo, torquePage, tight("270"), []string{"Banjo bolt: 270 N.m is not proven", "above the tool’s highest marked value, 60 N.m", "outside 24.0 N·m to 30.0 N·m (maker's manual, 4-112)", "10 times smaller"}, "Stamp 270 N·m all the same"},
		"a point too many": {banjo, torquePage, tight("2.7"), []string{"outside 24.0 N·m to 30.0 N·m", "10 times larger"}, "Stamp 2.7 N·m all the same"},
		"the wrong unit":   {banjo, torquePage, with(tight("27"), url.Values{"torque.unit": {"lb·ft"}}), []string{"27 lb·ft", "is outside"}, "Stamp 27 lb·ft all the same"},
		"a tool past its date": {func(s *shop) {
			banjo(s)
			s.write("tool/tw-1", &journal.ToolCheck{Tool: "tw-1", Result: "in tolerance", Due: "2020-01-31"})
		}, torquePage, tight("27"), []string{"is not proven", "31 January 2020"}, "Stamp 27 N·m all the same"},
		"a tool that was found bad": {func(s *shop) {
			banjo(s)
			s.write("tool/tw-1", &journal.ToolCheck{Tool: "tw-1", Result: "out of tolerance"})
		}, torquePage, tight("27"), []string{"is not proven", "tw-1"}, "Stamp 27 N·m all the same"},
		"a tool that nobody knows":    {banjo, torquePage, with(tight("27"), url.Values{"tool": {"tw-9"}}), []string{"is not proven", "tw-9"}, "Stamp 27 N·m all the same"},
		"the figure of another joint": {banjo, torquePage, with(tight("27"), url.Values{"joint": {"bracket bolt"}}), []string{"is for another joint, banjo bolt"}, "Stamp 27 N·m all the same"},
		"the figure of another vehicle": {func(s *shop) {
			banjo(s)
			s.write("spec/banjo", &journal.TorqueSpec{Spec: "banjo", Joint: "banjo bolt", Nominal: q[unit.Torque]("27 N.m"), Low: q[unit.Torque]("24 N.m"), High: q[unit.Torque]("30 N.m"), From: journal.FromManual, Fits: []string{"two-door"}})
		}, torquePage, tight("27"), []string{"is not proven", "the figure banjo is borrowed from “two-door”"}, "Stamp 27 N·m all the same"},
		"nothing said of another corner": {banjo, strings.Replace(torquePage, "LF", "RF", 1), tight("27"), nil, "Stamp 27 N·m"},
		"seven plugs of eight": {func(s *shop) {
			s.write(lfCaliper, &journal.Masking{Features: []journal.Item{{What: "bore", Count: 8}}, Plugs: 8})
		}, "/stage/unmask/" + string(lfCaliper), url.Values{"plugs": {"7"}}, []string{"8 plugs"}, "Stamp it all the same"},
		"eight plugs of eight": {func(s *shop) {
			s.write(lfCaliper, &journal.Masking{Features: []journal.Item{{What: "bore", Count: 8}}, Plugs: 8})
		}, "/stage/unmask/" + string(lfCaliper), url.Values{"plugs": {"8"}}, nil, "Stamp it"},
		"a soak colder than the bake": {func(s *shop) {
			s.write(lfCaliper, &journal.Soaking{Set: q[unit.Temperature]("160 °C"), Metal: q[unit.Temperature]("150 °C"), Held: q[unit.Duration]("30 min"), Oven: "oven-1", Rag: "clean"})
			s.write(lfCaliper, &journal.Coating{Lot: "pw-0412", Coat: 1})
		}, "/run/new/bake.started", url.Values{"part": {string(lfCaliper)}, "set": {"200"}, "set.unit": {"°C"}, "oven": {"oven-1"}}, []string{"150 °C"}, "Stamp it all the same"},
		"a bake that nothing shows":  {func(s *shop) { baking(s) }, "/write/cure.completed/run/b1", url.Values{"held": {"5"}, "held.unit": {"min"}, "means": {"oven clock"}}, []string{"no probe"}, "Stamp 5 min all the same"},
		"the right fluid":            {func(s *shop) { tightened(s); fluid(s, "DOT 4"); cap(s) }, bleedPage, bled, nil, "Stamp 60 mL"},
		"a fluid that may not go in": {func(s *shop) { tightened(s); fluid(s, "DOT 5"); cap(s) }, bleedPage, bled, []string{"DOT 5"}, "Stamp 60 mL all the same"},
		"a photograph is missing":    {nil, maskPage + "?kind=bore.masked", masked(), []string{"No photograph yet of “masked bores and seats”: after “Powder on” it is out of sight."}, "Stamp it without a photograph"},
	} {
		t.Run(name, func(t *testing.T) {
			s := newShop(t)
			if c.before != nil {
				c.before(s)
			}
			_, action, token := s.open(c.path)
			send := func(more url.Values, part string) page {
				all := maps.Clone(c.typed)
				all.Set("once", token)
				maps.Copy(all, more)
				return s.post(action, all, part)
			}
			if !strings.Contains(c.does, "without") {
				all := maps.Clone(c.typed)
				maps.Copy(all, url.Values{"once": {token}, "do": {"photo"}})
				s.post(action, all, "photos", upload{"picture", "a.jpg", photo(8)}).want(t, http.StatusOK, `id="verdict"`)
			}
			// As it is typed, with a script; and by a press, without one.
			for _, p := range []page{send(url.Values{"do": {"draft"}}, "figure"), send(url.Values{"do": {"figure"}}, "")} {
				verdict, button := p.beside(t)
				if button != c.does {
					t.Errorf("the button says %q, want %q\n%s", button, c.does, verdict)
				}
				for _, text := range c.says {
					if !strings.Contains(verdict, text) {
						t.Errorf("%q is not beside the button: %s", text, verdict)
					}
				}
				if c.says == nil && verdict != "" {
					t.Errorf("something is wrong: %s", verdict)
				}
			}
			head := func() int64 {
				h, err := s.f.Log.Head(t.Context(), "t3fz8c1n")
				if err != nil {
					t.Fatal(err)
				}
				return h.Size
			}
			written := head()
			p := send(url.Values{"do": {"save"}}, "")
			if c.says == nil {
				if p.status != http.StatusSeeOther || head() != written+1 {
					t.Fatalf("not stamped: %d\n%s", p.status, clip(p.body))
				}
				return
			}
			p.want(t, http.StatusUnprocessableEntity)
			if head() != written {
				t.Fatal("the first press stamped it")
			}
			verdict, button := p.beside(t)
			if button != "Change it Yes, s"+c.does[1:] || !strings.Contains(verdict, c.says[0]) {
				t.Errorf("armed: %q, %q", verdict, button)
			}
			armed := sureOf.FindStringSubmatch(p.body)[1]
			// Something else was typed meanwhile, so it is armed no more.
			if p := send(url.Values{"do": {"save"}, "sure": {armed}, "note": {"as the customer wants it"}}, ""); p.status != http.StatusUnprocessableEntity || head() != written {
				t.Fatalf("what was changed is stamped: %d", p.status)
			}
			if p := send(url.Values{"do": {"save"}, "sure": {"1"}}, ""); p.status != http.StatusUnprocessableEntity || head() != written {
				t.Fatalf("a page that made it up stamps: %d", p.status)
			}
			if p := send(url.Values{"do": {"save"}, "sure": {armed}}, ""); p.status != http.StatusSeeOther || head() != written+1 {
				t.Fatalf("not stamped: %d\n%s", p.status, clip(p.body))
			}
		})
	}
}

// baking puts powder on the caliper and the caliper into the oven.
func baking(s *shop, probes ...journal.Probe) {
	s.write(lfCaliper, &journal.Stripping{Removed: []string{"piston"}, Rubber: "none left in"})
	s.write(lfCaliper, &journal.Coating{Lot: "pw-0412", Coat: 1})
	s.write("run/b1", &journal.BakeStart{Rack: journal.Rack{Parts: []journal.Subject{lfCaliper}}, Oven: "oven-1", Set: q[unit.Temperature]("180 °C"), Probes: probes})
}

func fluid(s *shop, grade journal.FluidGrade) {
	s.write("fluid/bf-31", &journal.FluidContainer{Fluid: "bf-31", Grade: grade, Opened: "2099-01-01"})
}

func cap(s *shop) {
	s.write(journal.About(one, "", ""), &journal.Manual{Fluid: "DOT 4", From: journal.ReadOnCap})
}

// The temperatures of a bake that was too short, or too cold, are judged where
// they are about to be stamped.
func TestABakeTooShort(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		minutes int
		says    string
	}{"long enough": {60, ""}, "too short": {12, "schedule"}} {
		t.Run(name, func(t *testing.T) {
			s := newShop(t)
			path := bakeWithProbes(s)
			_, action, token := s.open(path)
			s.post(action, url.Values{"once": {token}, "do": {"read"}}, "", upload{"trace", "bake.csv", recorder(c.minutes, 10)}).to(t, path)
			where := url.Values{"channel.0": {"=1"}, "channel.1": {"=2"}}
			verdict, button := s.get(path).beside(t)
			if c.says == "" {
				if verdict != "" || button != "Stamp it" {
					t.Errorf("%q, %q", verdict, button)
				}
				s.stamp(path, where).to(t, "/run/b7")
				return
			}
			if !strings.Contains(verdict, c.says) || button != "Stamp it all the same" {
				t.Errorf("%q, %q", verdict, button)
			}
			s.stamp(path, where).want(t, http.StatusUnprocessableEntity, "Yes, stamp it all the same")
			if n := len(s.lines(journal.ProbeLogged)); n > 0 {
				t.Fatal("the first press stamped it")
			}
			where.Set("sure", "1")
			s.stamp(path, where).to(t, "/run/b7")
		})
	}
}
