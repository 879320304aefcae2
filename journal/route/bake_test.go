package route_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/route"
	"fettlebook/journal/trade/unit"
)

// logs makes a recorder's file of a bake: one reading every so many seconds, of
// channels each of which says what it shows at a second.
func logs(minutes, every int, channels map[string]func(second int) string) journal.ProbeTrace {
	p := journal.ProbeTrace{Unit: "°C"}
	var seconds []string
	for t := 0; t <= minutes*60; t += every {
		seconds = append(seconds, fmt.Sprint(t))
	}
	p.Seconds = journal.Series(strings.Join(seconds, " "))
	for _, name := range slices.Sorted(func(yield func(string) bool) {
		for name := range channels {
			if !yield(name) {
				return
			}
		}
	}) {
		var readings []string
		for t := 0; t <= minutes*60; t += every {
			readings = append(readings, channels[name](t))
		}
		p.Channels = append(p.Channels, journal.Channel{Channel: name, Readings: journal.Readings(strings.Join(readings, " "))})
	}
	return p
}

// casting warms up in air of 205 °C with a time constant in minutes.
func casting(tau float64) func(int) string {
	return func(second int) string { return fmt.Sprintf("%.1f", 205-185*math.Exp(-float64(second)/60/tau)) }
}

// until shows one thing up to a minute and another from there on.
func until(minute int, first, then func(int) string) func(int) string {
	return func(second int) string {
		if second <= 60*minute {
			return first(second)
		}
		return then(second)
	}
}

func reads(text string) func(int) string { return func(int) string { return text } }

// logged puts a recorder's file in the place of the story's.
func logged(s *story, minutes, every int, channels map[string]func(int) string) {
	edit(s, "trace", func(p *journal.ProbeTrace) { *p = logs(minutes, every, channels) })
}

// alike leaves one probe, on the LF caliper, which stands for others.
func alike(s *story, stands ...journal.StandIn) {
	edit(s, "bake", func(b *journal.BakeStart) {
		b.Probes, b.StandIns = []journal.Probe{{Channel: "1", Place: "pin bore", On: at("LF", "caliper")}}, stands
	})
}

// Honest bakes meet their holds, and none is met by just anything.
func TestBakes(t *testing.T) {
	lf, rf, bracket := at("LF", "caliper"), at("RF", "caliper"), at("LF", "bracket")
	one := func(f func(int) string) map[string]func(int) string { return map[string]func(int) string{"1": f} }
	for _, test := range []struct {
		what  string
		does  func(*story)
		hold  journal.HoldID
		about journal.Subject
		met   bool
		says  string
	}{
		{"a probe on each part", func(*story) {}, "cure", lf, true, "schedule met 1.16 times, by the coldest probe that gave readings: 1 (thick section)"},
		{"one probe, one alike on the rack", func(s *story) { alike(s, journal.StandIn{Part: rf, Probe: "1", Is: "alike"}) }, "cure", rf, true,
			"schedule met 1.16 times, by the coldest probe that gave readings: 1 (pin bore) on the LF caliper, which stands for this part"},
		{"one probe, a lighter one", func(s *story) { alike(s, journal.StandIn{Part: rf, Probe: "1", Is: "lighter"}) }, "cure", rf, true, "stands for this part"},
		{"45 minutes with a heavy casting", func(s *story) { logged(s, 45, 30, one(casting(15))) }, "cure", lf, true, "schedule met 1.04"},
		{"and it is not overbaked", func(s *story) { logged(s, 45, 30, one(casting(5))) }, "overbake", lf, true, "schedule met 3.72"},
		{"what the sheet allows", func(s *story) {
			edit(s, "lot", func(l *journal.PowderLot) {
				l.Most = []journal.BakePoint{{Metal: q[unit.Temperature]("200 °C"), Hold: q[unit.Duration]("45 min")}}
			})
			logged(s, 45, 30, one(casting(5)))
		}, "overbake", lf, true, "coat 1 had up to 3.79 schedules, and the sheet allows 4.50"},
		{"a reading a minute, some lost", func(s *story) {
			logged(s, 60, 60, one(func(second int) string {
				if second%600 == 0 {
					return "-"
				}
				return casting(12)(second)
			}))
		}, "cure", lf, true, "schedule met"},
		{"the probe falls silent after the schedule was met", func(s *story) {
			logged(s, 60, 30, map[string]func(int) string{"1": until(50, casting(12), reads("-")), "air": reads("205")})
		},
			"cure", lf, true, "schedule met"},
		{"a file in two pieces", func(s *story) {
			whole := logs(50, 30, one(casting(12)))
			edit(s, "trace", func(p *journal.ProbeTrace) { *p = cutTrace(whole, 0, 50) })
			edit(s, "trace", func(p *journal.ProbeTrace) { p.File = journal.Digest{1} })
			s.after("trace", plain("trace, piece 2", bench1, "run/bake-1", "mk", cutTrace(whole, 50, 101)))
		}, "cure", lf, true, "schedule met"},
		{"a file in pieces by part, and then in time", func(s *story) {
			air, part := logs(50, 30, map[string]func(int) string{"air": reads("205")}), logs(50, 30, one(casting(12)))
			edit(s, "trace", func(p *journal.ProbeTrace) { *p = cutTrace(air, 0, 101) })
			edit(s, "trace", func(p *journal.ProbeTrace) { p.File = journal.Digest{1} })
			s.after("trace", plain("trace, piece 3", bench1, "run/bake-1", "mk", cutTrace(part, 50, 101)))
			s.after("trace", plain("trace, piece 2", bench1, "run/bake-1", "mk", cutTrace(part, 0, 50)))
		}, "cure", lf, true, "schedule met"},
		{"a file in two pieces, in a zone that is half an hour off", func(s *story) {
			whole := logs(50, 30, one(casting(12)))
			zone := time.FixedZone("", 5*3600+1800)
			whole.Begun = journal.Stamp(time.Date(2026, 3, 2, 14, 0, 0, 0, zone))
			edit(s, "trace", func(p *journal.ProbeTrace) { *p = cutTrace(whole, 0, 50) })
			edit(s, "trace", func(p *journal.ProbeTrace) { p.File, p.Begun = journal.Digest{1}, whole.Begun })
			s.after("trace", plain("trace, piece 2", bench1, "run/bake-1", "mk", cutTrace(whole, 50, 101)))
			edit(s, "trace, piece 2", func(p *journal.ProbeTrace) { p.Begun = whole.Begun })
		}, "cure", lf, true, "schedule met"},
		{"soaked as hot as the bake", func(*story) {}, "soaked", lf, true, "soaked for 30 min, oven set to 220 °C, metal at 210 °C, as hot as the bake (199 °C)"},
		{"soaked twice", func(s *story) {
			edit(s, "soak", func(p *journal.Soaking) { p.Held = q[unit.Duration]("15 min") })
			again := *s.steps[s.index("soak")].data(nil).(*journal.Soaking)
			s.after("soak", plain("soak again", bench1, "run/soak-2", "mk", again))
		}, "soaked", lf, true, "as hot as the bake"},

		{"off colour that came of another powder", func(s *story) {
			s.after("cured", plain("specks", bench1, lf, "mk", journal.Defect{Looks: "off colour", Face: "outer face", Seen: "after bake", Causes: []journal.Suspicion{{Cause: "dirt or another powder", Sure: "seen"}}}))
		}, "overbake", lf, true, ""},

		{"nobody said that it stands for the other", func(s *story) { alike(s) }, "cure", rf, false, "not proven: no probe was on the part"},
		{"it stands for a heavier one", func(s *story) { alike(s, journal.StandIn{Part: rf, Probe: "1", Is: "heavier"}) }, "cure", rf, false,
			"not proven: the probe on the LF caliper cannot stand for this part, which is heavier"},
		{"it stands for another kind", func(s *story) { alike(s, journal.StandIn{Part: bracket, Probe: "1", Is: "lighter"}) }, "cure", bracket, false,
			"the probe on the LF caliper cannot stand for another kind of part"},
		{"it stands for another metal", func(s *story) {
			edit(s, "RF tagged caliper", func(p *journal.Tagging) { p.Metal = "aluminium" })
			alike(s, journal.StandIn{Part: rf, Probe: "1", Is: "lighter"})
		}, "cure", rf, false, "cannot stand for a part of another metal"},
		{"what stands for it had not enough itself", func(s *story) {
			alike(s, journal.StandIn{Part: rf, Probe: "1", Is: "alike"})
			logged(s, 20, 30, one(casting(10)))
		}, "cure", rf, false, "schedule not met"},
		{"air only", func(s *story) { edit(s, "bake", func(b *journal.BakeStart) { b.Probes[0].On = "" }) }, "cure", lf, false, "no probe was on the part"},
		{"a reading an hour", func(s *story) { logged(s, 120, 3600, one(reads("200"))) }, "cure", lf, false, "not proven: probe 1 (thick section) had 0.00 of the schedule where its readings are at most 60 s apart"},
		{"a reading every two minutes", func(s *story) { logged(s, 60, 120, one(casting(10))) }, "cure", lf, false, "30 gaps"},
		{"every second reading lost", func(s *story) {
			logged(s, 60, 30, one(func(second int) string {
				if second%60 == 30 {
					return "-"
				}
				return casting(10)(second)
			}))
		}, "cure", lf, false, "not proven"},
		{"silent before it was met", func(s *story) {
			logged(s, 60, 30, map[string]func(int) string{"1": until(20, casting(12), reads("-")), "air": reads("205")})
		},
			"cure", lf, false, "fell silent at minute 20.0"},
		{"the probe fell off into the air", func(s *story) { logged(s, 60, 30, one(until(10, casting(12), reads("205")))) }, "cure", lf, false, "faster than metal can"},
		{"open circuit", func(s *story) { logged(s, 60, 30, one(until(10, casting(12), reads("1372")))) }, "cure", lf, false, "which no probe in an oven can"},
		{"below what can be", func(s *story) { logged(s, 60, 30, one(until(10, casting(12), reads("-999")))) }, "cure", lf, false, "reads -999.0 °C"},
		{"°F in a °C file", func(s *story) {
			logged(s, 60, 30, one(func(second int) string {
				return fmt.Sprintf("%.1f", 32+1.8*(205-185*math.Exp(-float64(second)/720)))
			}))
		}, "cure", lf, false, "almost surely °F"},
		{"the colder of two probes", func(s *story) {
			edit(s, "bake", func(b *journal.BakeStart) {
				b.Probes = append(b.Probes, journal.Probe{Channel: "9", Place: "bridge", On: lf})
			})
			logged(s, 45, 30, map[string]func(int) string{"1": casting(10), "9": casting(40)})
		}, "cure", lf, false, "schedule not met: 0.00 of it, 0.00 on the lenient reading, by the coldest probe that gave readings: 9 (bridge)"},
		{"the colder of two recorders", func(s *story) {
			edit(s, "bake", func(b *journal.BakeStart) {
				b.Probes = append(b.Probes, journal.Probe{Channel: "9", Place: "bridge", On: lf})
			})
			s.after("trace", plain("other recorder", bench1, "run/bake-1", "mk", logs(45, 60, map[string]func(int) string{"9": casting(40)})))
		}, "cure", lf, false, "9 (bridge)"},
		{"by the oven’s clock", func(s *story) { s.drop("trace") }, "cure", lf, false, "not proven: no temperatures were logged"},
		{"one of two bakes without a probe", func(s *story) {
			logged(s, 15, 30, one(casting(10)))
			s.after("cured", plain("bake again", bench1, "run/bake-2", "mk", journal.BakeStart{Rack: journal.Rack{Parts: []journal.Subject{lf}}, Set: q[unit.Temperature]("210 °C")}))
			s.after("bake again", plain("cured again", bench1, "run/bake-2", "mk", journal.Cure{Held: q[unit.Duration]("20 min"), By: "oven clock"}))
		}, "cure", lf, false, "not proven"},
		{"more than the sheet allows", func(s *story) {
			edit(s, "lot", func(l *journal.PowderLot) {
				l.Most = []journal.BakePoint{{Metal: q[unit.Temperature]("200 °C"), Hold: q[unit.Duration]("30 min")}}
			})
			logged(s, 45, 30, one(casting(5)))
		}, "overbake", lf, false, "more than the 3.00 that the sheet allows"},
		{"a colour shift", func(s *story) {
			s.after("cured", plain("yellow", bench1, lf, "mk", journal.Defect{Looks: "off colour", Face: "outer face", Seen: "after bake"}))
		}, "overbake", lf, false, "the film shows it: off colour at outer face"},
		{"off colour that came of too much heat", func(s *story) {
			s.after("cured", plain("yellow", bench1, lf, "mk", journal.Defect{Looks: "off colour", Face: "outer face", Seen: "after bake", Causes: []journal.Suspicion{{Cause: "too much heat", Sure: "suspected"}}}))
		}, "overbake", lf, false, "the film shows it: off colour at outer face"},
		{"soaked for a minute at 60 °C", func(s *story) {
			edit(s, "soak", func(p *journal.Soaking) {
				p.Set, p.Metal, p.Held = q[unit.Temperature]("60 °C"), q[unit.Temperature]("60 °C"), q[unit.Duration]("1 min")
			})
		}, "soaked", lf, false, "metal at 60 °C; the bake reaches 199 °C (the peak of the probe on the part in the bake), so the part was warmed and its gas was not driven out"},
		{"hot, but for a minute", func(s *story) {
			edit(s, "soak", func(p *journal.Soaking) { p.Held = q[unit.Duration]("1 min") })
		}, "soaked", lf, false, "soaked for 1 min"},
		{"soaked by the oven alone", func(s *story) {
			edit(s, "soak", func(p *journal.Soaking) { p.Metal = unit.Temperature{} })
		}, "soaked", lf, false, "the metal was not measured"},
		{"the bake became hotter than the soak", func(s *story) {
			edit(s, "soak", func(p *journal.Soaking) { p.Metal = q[unit.Temperature]("190 °C") })
		}, "soaked", lf, false, "the bake reaches 199 °C"},
	} {
		t.Run(test.what, func(t *testing.T) {
			s := complete(t)
			test.does(s)
			v := stands(checked(supplied(t, "caliper"), s.write().log), test.hold, test.about)
			if (v.State == route.Met) != test.met {
				t.Errorf("%s: %s", v.State, v.Why)
			}
			if told := v.Why + strings.Join(v.Figures, "; "); !strings.Contains(told, test.says) {
				t.Errorf("%q is not told in %q", test.says, told)
			}
		})
	}
}

// cutTrace takes some samples of a trace.
func cutTrace(p journal.ProbeTrace, from, to int) journal.ProbeTrace {
	cut := func(text string) string { return strings.Join(strings.Fields(text)[from:to], " ") }
	piece := journal.ProbeTrace{Unit: p.Unit, Seconds: journal.Series(cut(string(p.Seconds)))}
	for _, c := range p.Channels {
		piece.Channels = append(piece.Channels, journal.Channel{Channel: c.Channel, Readings: journal.Readings(cut(string(c.Readings)))})
	}
	return piece
}

// A rack of four alike with one probe goes through whole, and proves nothing
// of the one that nobody named.
func TestRackOfFourAlike(t *testing.T) {
	s := &story{tb: t}
	s.register()
	four := []journal.Corner{"LF", "RF", "LR", "RR"}
	s.add(plain("opened", office, at("", ""), "io", journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}, Corners: four, Odometer: q[unit.Distance]("84210 km"), Route: "caliper", Edition: 1}))
	for _, c := range four {
		s.apart(c)
	}
	s.coat(four)
	alike(s, journal.StandIn{Part: at("RF", "caliper"), Probe: "1", Is: "alike"}, journal.StandIn{Part: at("LR", "caliper"), Probe: "1", Is: "lighter"})
	v := checked(supplied(t, "caliper"), s.write().log)
	for _, c := range four {
		if one := stands(v, "cure", at(c, "caliper")); (one.State == route.Met) != (c != "RR") {
			t.Errorf("%s: %s: %s", c, one.State, one.Why)
		}
	}
}
