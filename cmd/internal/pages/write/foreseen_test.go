package write_test

import (
	"fmt"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// chosenIn is the answer that stands in a field of a page, of whatever control.
func chosenIn(body, field string) string {
	name := regexp.QuoteMeta(field)
	for _, control := range []string{
		`name="` + name + `" value="([^"]*)" checked`,
		`<input[^>]* name="` + name + `" value="([^"]*)"[^>]* data-least`,
		`<input[^>]* type="text"[^>]* name="` + name + `" value="([^"]*)"`,
		`(?s)<select id="[^"]*" name="` + name + `"[^>]*>(?:<option value="[^"]*">[^<]*</option>)*<option value="([^"]*)" selected`,
	} {
		if m := regexp.MustCompile(control).FindStringSubmatch(body); m != nil {
			return m[1]
		}
	}
	return ""
}

// TestForeseen: what the shop knows is chosen beforehand, and nothing that it only seems
// to know.
func TestForeseen(t *testing.T) {
	rf := journal.About(two, "RF", "")
	wrench := func(s *shop, id journal.ToolID, low, high, due string) {
		s.write(journal.Of("tool", string(id)), &journal.Tool{Tool: id, What: journal.TorqueWrench, Low: q[unit.Torque](low), High: q[unit.Torque](high)})
		if due != "" {
			s.write(journal.Of("tool", string(id)), &journal.ToolCheck{Tool: id, Result: journal.InTolerance, Due: journal.Date(due)})
		}
	}
	spec := func(s *shop, id journal.SpecID, joint, nominal string) {
		s.write(journal.Of("spec", string(id)), &journal.TorqueSpec{Spec: id, Joint: joint, Nominal: q[unit.Torque](nominal), From: "maker's manual"})
	}
	tighten := func(s *shop, at journal.Subject, joint string, id journal.ToolID, of journal.SpecID) {
		s.write(at, &journal.Torque{Joint: joint, Torque: q[unit.Torque]("27 N.m"), Tool: id, Spec: of})
	}
	fluid := func(s *shop, id journal.FluidID, by string) {
		s.write(journal.Of("fluid", string(id)), &journal.FluidContainer{Fluid: id, Grade: "DOT 4", UseBy: journal.Date(by)})
	}
	joint := func(name string) string {
		return "/write/torque.applied/" + string(lf) + "?" + url.Values{"joint": {name}}.Encode()
	}
	level, wheel := "/write/reservoir.topped/"+string(journal.About(one, "", "")), "/write/wheel.fitted/"+string(lf)
	line := "/write/line.connected/" + string(lf)
	powder := "/run/new/powder.applied?part=" + url.QueryEscape(string(lfCaliper))
	bake := "/run/new/bake.started?part=" + url.QueryEscape(string(lfCaliper))
	coat := func(s *shop, about journal.Subject, n int) {
		s.write("run/p1", &journal.Coating{Rack: journal.Rack{Parts: []journal.Subject{about}}, Lot: "pw-0412", Coat: n})
	}
	for _, c := range []struct {
		name, path string
		was        func(s *shop)
		want       string // field=answer, parted by ", "
	}{
		{"the figure of the joint, and no tool that nobody used", joint("banjo bolt"), nil, "spec=banjo, tool="},
		{"not the figure of another joint", joint("bracket bolt"), nil, "spec="},
		{"two figures of the joint, of which this vehicle used none", joint("banjo bolt"), func(s *shop) {
			spec(s, "banjo-2", "Banjo bolts", "35 N.m")
			tighten(s, rf, "banjo bolt", "tw-1", "banjo-2")
		}, "spec="},
		{"two figures of the joint, of which this vehicle used one", joint("banjo bolt"), func(s *shop) {
			spec(s, "banjo-2", "banjo bolt", "35 N.m")
			tighten(s, journal.About(one, "RF", ""), "banjo bolt", "tw-1", "banjo-2")
		}, "spec=banjo-2, tool=tw-1"},
		{"the tool of that joint, though another was used later", joint("banjo bolt"), func(s *shop) {
			wrench(s, "tw-2", "5 N.m", "50 N.m", "2099-01-01")
			tighten(s, rf, "banjo bolt", "tw-1", "banjo")
			tighten(s, rf, "guide pin bolt", "tw-2", "")
		}, "tool=tw-1"},
		{"the tool of another joint, as the figure is within its range", joint("banjo bolt"), func(s *shop) {
			tighten(s, rf, "guide pin bolt", "tw-1", "")
		}, "tool=tw-1"},
		{"no tool whose range ends below the figure", joint("banjo bolt"), func(s *shop) {
			wrench(s, "tw-2", "2 N.m", "25 N.m", "2099-01-01")
			tighten(s, rf, "banjo bolt", "tw-2", "banjo")
		}, "tool="},
		{"no tool whose check has run out since", joint("banjo bolt"), func(s *shop) {
			wrench(s, "tw-2", "5 N.m", "50 N.m", "2020-01-01")
			tighten(s, rf, "banjo bolt", "tw-2", "banjo")
		}, "tool="},
		{"no tool that was found bad since", joint("banjo bolt"), func(s *shop) {
			tighten(s, rf, "banjo bolt", "tw-1", "banjo")
			s.write("tool/tw-1", &journal.ToolCheck{Tool: "tw-1", Result: journal.OutOfTolerance, Due: "2099-09-30"})
		}, "tool="},
		{"no tool that was never checked", joint("banjo bolt"), func(s *shop) {
			wrench(s, "tw-2", "5 N.m", "50 N.m", "")
			tighten(s, rf, "banjo bolt", "tw-2", "banjo")
		}, "tool="},
		{"no figure and no tool without a joint", "/write/torque.applied/" + string(lf), func(s *shop) {
			tighten(s, rf, "banjo bolt", "tw-1", "banjo")
		}, "spec=, tool="},
		{"never the torque or the count", joint("banjo bolt"), func(s *shop) { tighten(s, lf, "banjo bolt", "tw-1", "banjo") }, "torque=, count="},
		{"but what its address says", joint("banjo bolt") + "&torque=33&count=2", nil, "torque=33, count=2"},

		{"the one line that is open", line, func(s *shop) { s.write(lf, &journal.LineOpening{At: "banjo, hose plugged"}) }, "at=banjo"},
		{"the one of two that is still open, though the other was closed by another name", line, func(s *shop) {
			s.write(lf, &journal.LineOpening{At: "banjo, hose plugged"})
			s.write(lf, &journal.LineOpening{At: "flare at the body"})
			s.write(lf, &journal.LineConnection{At: "Banjo LF"})
		}, "at=flare at the body"},
		{"none where two lines are open", line, func(s *shop) {
			s.write(lf, &journal.LineOpening{At: "banjo"})
			s.write(lf, &journal.LineOpening{At: "flare at the body"})
		}, "at="},
		{"none that is closed", line, func(s *shop) {
			s.write(lf, &journal.LineOpening{At: "banjo, hose plugged"})
			s.write(lf, &journal.LineConnection{At: "the banjo"})
		}, "at="},

		{"the only container that is open", level, func(s *shop) { fluid(s, "bf-1", "2099-01-01") }, "fluid=bf-1"},
		{"two containers are open", level, func(s *shop) { fluid(s, "bf-1", "2099-01-01"); fluid(s, "bf-2", "2099-01-01") }, "fluid="},
		{"two containers are open, and another car drew from one", level, func(s *shop) {
			fluid(s, "bf-1", "2099-01-01")
			fluid(s, "bf-2", "2099-01-01")
			s.write(journal.About(two, "", ""), &journal.Reservoir{Before: q[unit.Ratio]("50 %"), After: q[unit.Ratio]("60 %"), Fluid: "bf-2"})
		}, "fluid="},
		{"two containers are open, and this car drew from one", level, func(s *shop) {
			fluid(s, "bf-1", "2099-01-01")
			fluid(s, "bf-2", "2099-01-01")
			s.write(journal.About(one, "", ""), &journal.Reservoir{Before: q[unit.Ratio]("50 %"), After: q[unit.Ratio]("60 %"), Fluid: "bf-2"})
		}, "fluid=bf-2, before=, after="},
		{"what its address says of the levels", level + "?before=40&after=90", nil, "before=40, after=90"},
		{"a container past its date", level, func(s *shop) { fluid(s, "bf-1", "2020-01-01") }, "fluid="},

		{"the wheel goes on snug first", wheel, nil, "step=snug, wheel off the ground"},
		{"and full behind that", wheel, func(s *shop) {
			s.write(lf, &journal.WheelFit{Step: journal.WheelSnug, Nuts: 5, Pattern: journal.StarPattern, Torque: q[unit.Torque]("40 N.m"), Tool: "tw-1"})
		}, "step=full, wheel on the ground, nuts=, torque="},
		{"which one is done again nobody knows", wheel, func(s *shop) {
			s.write(lf, &journal.WheelFit{Step: journal.WheelFull, Nuts: 5, Pattern: journal.StarPattern, Torque: q[unit.Torque]("40 N.m"), Tool: "tw-1"})
		}, "step="},

		{"the first coat", powder, nil, "coat=1, lot="},
		{"the second coat, of the lot on the gun", powder, func(s *shop) { coat(s, lfCaliper, 1) }, "coat=2, lot=pw-0412"},
		{"a blast since the coat", powder, func(s *shop) {
			coat(s, lfCaliper, 1)
			s.write("run/b1", &journal.Blasting{Rack: journal.Rack{Parts: []journal.Subject{lfCaliper}}, Media: "glass bead"})
		}, "coat="},
		{"two parts that do not agree", powder + "&part=" + url.QueryEscape(string(rfCaliper)), func(s *shop) { coat(s, rfCaliper, 1) }, "coat="},
		{"the lot past its date", powder, func(s *shop) {
			coat(s, rfCaliper, 1)
			s.write("lot/pw-0412", &journal.PowderLot{Lot: "pw-0412", Chemistry: "polyester/HAA", Colour: "signal orange", UseBy: "2020-01-01"})
		}, "lot="},

		{"the channel on the one part of that name", bake, func(s *shop) {
			s.write("run/o1", &journal.BakeStart{Rack: journal.Rack{Parts: []journal.Subject{rfCaliper}}, Set: q[unit.Temperature]("200 °C"), Probes: []journal.Probe{{Channel: "1", Place: "ear", On: rfCaliper}}})
		}, "probes.0.channel=1, probes.0.on=" + string(lfCaliper)},
		{"and on none where there are two", bake + "&part=" + url.QueryEscape(string(journal.About(one, "LR", "caliper"))), func(s *shop) {
			s.write(journal.About(one, "LR", "caliper"), &journal.Removal{})
			s.write("run/o1", &journal.BakeStart{Rack: journal.Rack{Parts: []journal.Subject{rfCaliper}}, Set: q[unit.Temperature]("200 °C"), Probes: []journal.Probe{{Channel: "1", Place: "ear", On: rfCaliper}}})
		}, "probes.0.channel=1, probes.0.on="},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := newShop(t)
			if c.was != nil {
				c.was(s)
			}
			body := s.get(c.path).body
			for want := range strings.SplitSeq(c.want, ", ") {
				field, answer, ok := strings.Cut(want, "=")
				if !ok { // the words of a step have a comma
					continue
				}
				if got := chosenIn(body, field); got != answer && !strings.HasPrefix(got, answer+", ") {
					t.Errorf("%s is %q, want %q", field, got, answer)
				}
			}
		})
	}
}

// TestFigureToTap: what the figure prints can be tapped, in the units of the shop, and
// how many bolts the joint has.
func TestFigureToTap(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.write("spec/wheel", &journal.TorqueSpec{Spec: "wheel", Joint: "wheel nuts", Nominal: q[unit.Torque]("120 N.m"), Bolts: 5, From: "maker's manual"})
	for path, offers := range map[string][]string{
		"/write/torque.applied/" + string(lf) + "?joint=banjo+bolt": {"torque=27 N·m"},
		"/write/wheel.fitted/" + string(lf):                         {"torque=120 N·m", "nuts=5"},
	} {
		body := s.get(path).body
		for _, offer := range offers {
			if !strings.Contains(body, fmt.Sprintf(`value="put:%s"`, offer)) {
				t.Errorf("%s does not offer %q", path, offer)
			}
		}
	}
}
