package write_test

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/trade/unit"
)

func TestRunOverTwoJobs(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.write(rfCaliper, &journal.Stripping{Removed: []string{"piston"}, Rubber: "none left in"})
	const path = "/run/new/part.blasted"
	p := s.get(path+"?part="+string(rfCaliper)).want(t, http.StatusOK, "TRL 4471", "HX 41 TRE", "LF caliper", "RF caliper", "<h1>")
	if !strings.Contains(p.body, `value="`+string(rfCaliper)+`" checked`) || strings.Contains(p.body, `value="`+string(lfCaliper)+`" checked`) {
		t.Error("the part of the link is not the one that is ticked")
	}
	p.want(t, http.StatusOK, "Blasting dust can contain silica") // what the stage says to mind, the run says too
	s.stamp(path, url.Values{"media": {"glass bead"}}).want(t, http.StatusUnprocessableEntity, "No part is ticked", `href="#part">Not written yet: look at Which parts<`)
	s.stamp(path, url.Values{"media": {"glass bead"}, "part": {"job/nowhere1/corner/LF/part/caliper"}}).want(t, http.StatusUnprocessableEntity, "is not a part of a job that is here")
	s.stamp(path, url.Values{"media": {""}, "part": {string(lfCaliper)}}).want(t, http.StatusUnprocessableEntity, `value="`+string(lfCaliper)+`" checked`)

	s.stamp(path, url.Values{"media": {"glass bead"}, "part": {string(lfCaliper)}}).want(t, http.StatusUnprocessableEntity, "No photograph yet of “bare metal”.")

	_, action, token := s.open(path)
	all := url.Values{"media": {"glass bead"}, "part": {string(rfCaliper)}, "once": {token}, "do": {"all:" + string(one)}}
	s.post(action, all, "").to(t, path+"#part")
	s.get(path).want(t, http.StatusOK, `value="`+string(lfCaliper)+`" checked`)

	all.Set("do", "save")
	all["part"] = []string{string(lfCaliper), string(rfCaliper)}
	p = s.press(action, all)
	if !strings.HasPrefix(p.location, "/run/") {
		t.Fatalf("got %d to %q\n%s", p.status, p.location, clip(p.body))
	}
	s.press(action, all).to(t, p.location) // sent twice
	lines := s.lines(journal.PartBlasted)
	if len(lines) != 1 || len(lines[0].Payload.(*journal.Blasting).Parts) != 2 || "/"+string(lines[0].Subject) != p.location {
		t.Fatalf("written: %+v", lines)
	}
	s.get(p.location).want(t, http.StatusOK, "blast, 2 parts", "TRL 4471", "HX 41 TRE", "glass bead")
}

// A page that is only looked at, or fetched before somebody asks for it, changes nothing: the
// parts that its address names are hung when something is pressed there.
func TestALinkHangsNothing(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	const path = "/run/new/part.blasted"
	ticked := func(p page, about journal.Subject) bool {
		return strings.Contains(p.body, `value="`+string(about)+`" checked`)
	}
	_, action, token := s.open(path)
	s.post(action, url.Values{"once": {token}, "do": {"draft"}, "media": {"glass bead"}, "part": {string(lfCaliper)}}, "")
	linked := s.get(path+"?part="+string(rfCaliper)).want(t, http.StatusOK, "glass bead")
	if !ticked(linked, lfCaliper) || !ticked(linked, rfCaliper) {
		t.Error("what was begun and what the link names are not both ticked")
	}
	if after := s.get(path); ticked(after, rfCaliper) || !ticked(after, lfCaliper) {
		t.Error("a look at a page has changed what is kept")
	}
	s.post(action, url.Values{"once": {token}, "do": {"draft"}, "media": {"glass bead"}, "part": {string(lfCaliper), string(rfCaliper)}}, "")
	if after := s.get(path); !ticked(after, rfCaliper) {
		t.Error("what was ticked there is not kept")
	}
}

func TestAfterTheBakeBegan(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.stamp("/run/new/bake.started", url.Values{"set": {"200"}, "set.unit": {"°C"}, "oven": {"oven-1"}, "sure": {"1"}, "part": {string(lfCaliper), string(rfCaliper)}})
	lines := s.lines(journal.BakeStarted)
	if len(lines) != 1 {
		t.Fatalf("written %d times", len(lines))
	}
	run := string(lines[0].Subject)
	s.get("/"+run).want(t, http.StatusOK, "/write/probe.logged/"+run, "/write/cure.completed/"+run, "/write/part.cooled/"+run)
	s.get("/write/part.cooled/"+run).want(t, http.StatusOK, "Hot parts burn the skin")
	s.get("/stage/bake/"+string(lfCaliper)+"?kind=cure.completed").want(t, http.StatusOK, "/write/cure.completed/"+run, "Write it for this run")
	s.stamp("/write/part.cooled/"+run, url.Values{"to": {"35"}, "to.unit": {"°C"}}).to(t, "/"+run)
	if c := s.lines(journal.PartCooled)[0].Payload.(*journal.Cooling); len(c.Parts) != 2 {
		t.Errorf("cooled: %+v", c)
	}
}

// recorder is a file as a recorder writes it: a reading a second over some
// minutes, the part a little behind the air.
func recorder(minutes int, every int) []byte {
	var b strings.Builder
	b.WriteString("Time [s];Probe 1 [°C];Probe 2 [°C]\n")
	for s := 0; s <= minutes*60; s += every {
		part := min(20+float64(s)*0.15, 195)
		fmt.Fprintf(&b, "%d;%.1f;%.1f\n", s, part, min(part+15, 201))
	}
	return []byte(b.String())
}

func bakeWithProbes(s *shop) string {
	s.write(lfCaliper, &journal.Coating{Lot: "pw-0412", Coat: 1})
	s.write("run/b7", &journal.BakeStart{Rack: journal.Rack{Parts: []journal.Subject{lfCaliper}}, Set: q[unit.Temperature]("200 °C"),
		Probes: []journal.Probe{{Channel: "1", Place: "thick section", On: lfCaliper}, {Channel: "2", Place: "oven air"}}})
	return "/write/probe.logged/run/b7"
}

func TestProbeFile(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	path := bakeWithProbes(s)
	s.get(path).want(t, http.StatusOK, "Choose the file")
	_, action, token := s.open(path)
	s.post(action, url.Values{"once": {token}, "do": {"read"}}, "", upload{"trace", "../../bake.csv", recorder(60, 10)}).to(t, path)
	p := s.get(path).want(t, http.StatusOK, "361 samples", "10 s", "60 min", "Probe 1", "thick section, on LF caliper", "oven air")
	for _, want := range []string{`<option value="=1" selected>`, `<option value="=2" selected>`} {
		if !strings.Contains(p.body, want) {
			t.Errorf("%s is not in the page", want)
		}
	}
	s.start() // the file is on the disk
	s.stamp(path, url.Values{"channel.0": {"=1"}, "channel.1": {"=1"}}).want(t, http.StatusUnprocessableEntity, "Two channels are said to be 1")
	s.stamp(path, url.Values{"channel.0": {"-"}, "channel.1": {"-"}}).want(t, http.StatusUnprocessableEntity, "Every channel is left out")
	_, action, token = s.open(path)
	all := url.Values{"once": {token}, "do": {"save"}, "channel.0": {"=1"}, "channel.1": {"=2"}, "note": {"door opened once"}}
	s.post(action, all, "").to(t, "/run/b7")
	s.post(action, all, "").to(t, "/run/b7")
	lines := s.lines(journal.ProbeLogged)
	if len(lines) != 1 {
		t.Fatalf("written %d times", len(lines))
	}
	trace := lines[0].Payload.(*journal.ProbeTrace)
	if trace.Unit != "°C" || trace.Channels[0].Channel != "1" || trace.Note != "door opened once" || trace.File.IsZero() || !strings.HasPrefix(string(trace.Channels[0].Readings), "20 21.5 23 ") {
		t.Errorf("written: %.200s", lines[0].Data)
	}
	// The same file again is there already, whatever its channels are called now.
	_, action, token = s.open(path)
	s.post(action, url.Values{"once": {token}, "do": {"read"}}, "", upload{"trace", "copy.csv", recorder(60, 10)}).to(t, path)
	s.stamp(path, url.Values{"channel.0": {"=1"}, "channel.1": {"-"}}).want(t, http.StatusUnprocessableEntity, "in the record of this run already")
	if n := len(s.lines(journal.ProbeLogged)); n != 1 {
		t.Errorf("written %d times", n)
	}
	cured := false
	for _, v := range s.live.View(s.t.Context()).Standing(one).Verdicts.List {
		cured = cured || v.Hold == "cure" && v.State == "met"
	}
	if !cured {
		t.Error("the record does not take the trace for a cure")
	}
}

func TestProbeFileInFahrenheit(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	path := bakeWithProbes(s)
	_, action, token := s.open(path)
	s.post(action, url.Values{"once": {token}, "do": {"read"}}, "", upload{"trace", "bake.csv", []byte("Time,1\n00:00:00,70\n00:01:00,212\n00:02:00,400.5\n")}).to(t, path)
	s.get(path).want(t, http.StatusOK, "°F") // it does not say its unit, so it is asked for
	_, action, token = s.open(path)
	s.post(action, url.Values{"once": {token}, "do": {"read"}, "readings": {"°F"}}, "").to(t, path)
	s.stamp(path, url.Values{"readings": {"°F"}, "channel.0": {"=1"}, "sure": {"1"}}).to(t, "/run/b7") // it was not hot for long enough
	trace := s.lines(journal.ProbeLogged)[0].Payload.(*journal.ProbeTrace)
	if trace.Unit != "°F" || trace.Channels[0].Readings != "70 212 400.5" || trace.Seconds != "0 60 120" {
		t.Errorf("written: %+v", trace)
	}
}

// The probes of one part stay in one entry as long as they fit; a bake that is
// longer than an entry is cut in time.
func TestLongProbeFile(t *testing.T) {
	t.Parallel()
	for hours, want := range map[int]int{4: 1, 5: 2, 7: 4} {
		t.Run(fmt.Sprint(hours, " hours"), func(t *testing.T) {
			s := newShop(t)
			path := bakeWithProbes(s)
			_, action, token := s.open(path)
			s.post(action, url.Values{"once": {token}, "do": {"read"}}, "", upload{"trace", "bake.csv", recorder(hours*60, 1)}).to(t, path)
			if want > 1 {
				s.get(path).want(t, http.StatusOK, fmt.Sprintf("it is written as %d entries", want))
			}
			s.stamp(path, url.Values{"channel.0": {"=1"}, "channel.1": {"=2"}}).to(t, "/run/b7")
			lines := s.lines(journal.ProbeLogged)
			if len(lines) != want {
				t.Fatalf("written as %d entries", len(lines))
			}
			n := map[string]int{}
			for i, l := range lines {
				trace := l.Payload.(*journal.ProbeTrace)
				for _, c := range trace.Channels {
					n[c.Channel] += strings.Count(string(c.Readings), " ") + 1
				}
				if want > 1 && !strings.Contains(trace.Note, fmt.Sprintf("piece %d of %d", i+1, want)) || trace.File.IsZero() != (i > 0) {
					t.Errorf("piece %d: %q, %v", i, trace.Note, trace.File)
				}
			}
			if all := hours*3600 + 1; n["1"] != all || n["2"] != all {
				t.Errorf("%v of %d readings are written", n, all)
			}
		})
	}
}

func TestBadProbeFiles(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	path := bakeWithProbes(s)
	for name, raw := range map[string][]byte{
		"a photograph": photo(8), "words": []byte("no readings here\n"), "empty": nil, "too long": make([]byte, 6<<20),
	} {
		t.Run(name, func(t *testing.T) {
			_, action, token := s.open(path)
			p := s.post(action, url.Values{"once": {token}, "do": {"read"}}, "", upload{"trace", "x.csv", raw})
			if p.status == http.StatusSeeOther {
				p = s.get(path)
			}
			if !strings.Contains(p.body, `class="problem"`) {
				t.Errorf("nothing is said:\n%s", clip(p.body))
			}
			s.stamp(path, url.Values{}).want(t, http.StatusUnprocessableEntity)
		})
	}
	if n := len(s.lines(journal.ProbeLogged)); n > 0 {
		t.Errorf("written %d times", n)
	}
}

// Two loads that were begun on pages drawn at the same time are two runs, each with its name;
// and a run is found by it.
func TestRunsAreCalledByTheirNames(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	joined := *journaltest.Sample(journal.DeviceEnrolled).Data.(*journal.Device)
	joined.Device, joined.Evidence = s.f.Device, journal.Evidence{}
	s.write(journal.Of("device", string(s.f.Device)), &joined)
	const path = "/run/new/part.blasted"
	form := func(part journal.Subject) url.Values {
		return url.Values{"part": {string(part)}, "media": {"glass bead"}, "sure": {"1"}, "do": {"save"}}
	}
	_, action, one := s.open(path)
	_, _, two := s.open(path)
	year := time.Now().Format("06")
	s.press(action, with(form(lfCaliper), url.Values{"once": {one}})).to(t, "/run/blast-"+year+"-001a")
	s.press(action, with(form(rfCaliper), url.Values{"once": {two}})).to(t, "/run/blast-"+year+"-002a")
	s.press(action, with(form(rfCaliper), url.Values{"once": {two}})).to(t, "/run/blast-"+year+"-002a") // sent twice
	if n := len(s.lines(journal.PartBlasted)); n != 2 {
		t.Errorf("%d runs were written", n)
	}
	s.get("/run/blast-"+year+"-001a").want(t, http.StatusOK, "LF caliper")
}

// What is typed and not stamped yet is said to be kept where it is.
func TestKeptWhereItIs(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	for desk, says := range map[bool]string{false: "Kept on this tablet", true: "Kept at the hub"} {
		s.desk = desk
		s.start()
		s.get("/write/note.made/"+string(lf)).want(t, http.StatusOK, `data-kept="`+says+`"`)
	}
}

// What lies on a rack can be there: not what was handed back meanwhile, and not what is in
// the oven by the same record. What another tablet wrote of a run meanwhile is shown before
// anything is stamped on it. A full rack is one entry.
func TestARackThatCannotBe(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	var full []string
	for i := range 40 {
		part := journal.About(one, "NC", journal.PartID(fmt.Sprintf("cover-%02d", i)))
		s.write(part, &journal.Tagging{Tag: fmt.Sprint("C", i), Metal: journal.Iron})
		full = append(full, string(part))
	}
	const bake = "/run/new/bake.started"
	into := func(parts ...string) url.Values {
		return url.Values{"set": {"200"}, "set.unit": {"°C"}, "oven": {"oven-1"}, "sure": {"1"}, "part": parts, "do": {"save"}}
	}
	p := s.stamp(bake, into(full...))
	if !strings.HasPrefix(p.location, "/run/") {
		t.Fatalf("40 parts: %d\n%s", p.status, clip(p.body))
	}
	s.get(p.location).want(t, http.StatusOK, "40 parts", "TRL 4471")
	if n := len(s.lines(journal.BakeStarted)[0].Payload.(*journal.BakeStart).Parts); n != 40 {
		t.Errorf("%d of 40 parts went in", n)
	}
	_, action, token := s.open(bake)
	s.stamp(bake, into(full[7])).want(t, http.StatusUnprocessableEntity, "went into the oven in run", "of which nothing more is written yet")

	// Another tablet ends the bake while its page is open here.
	run := strings.TrimPrefix(p.location, "/")
	end := "/write/cure.completed/" + run
	ended := url.Values{"held": {"25"}, "held.unit": {"min"}, "means": {journal.CureMeans("").Words()[0]}, "do": {"save"}}
	drawn, ending, at := s.open(end)
	s.write(journal.Subject(run), &journal.Cure{Held: q[unit.Duration]("20 min"), By: journal.CureMeans(journal.CureMeans("").Words()[0])})
	s.post(ending, with(ended, url.Values{"once": {at}, "shown": {drawnOf.FindStringSubmatch(drawn.body)[1]}}), "").want(t, http.StatusConflict, "came after this page was opened")
	s.stamp(bake, into(full[7])) // what has left the oven may go in again
	if n := len(s.lines(journal.BakeStarted)); n != 2 {
		t.Errorf("%d bakes were written", n)
	}

	s.write(journal.About(two, "", ""), &journal.Release{})
	s.press(action, with(into(string(rfCaliper)), url.Values{"once": {token}})).want(t, http.StatusUnprocessableEntity, "HX 41 TRE was handed back on", "RF caliper is not here")
	// A bake that is struck out is none.
	last := s.lines(journal.BakeStarted)[1]
	s.write(last.Subject, &journal.Correction{Of: last.ID, Reason: "it was not so"})
	s.stamp(bake, into(full[7]))
	if n := len(s.lines(journal.BakeStarted)); n != 3 {
		t.Errorf("%d bakes were written", n)
	}
}

// A part is on one rack: what is in the oven by the record is not blasted, soaked, sprayed
// or baked elsewhere. What left it, however that was written, is; and so is what is done to
// a part once more.
func TestOnOneRack(t *testing.T) {
	t.Parallel()
	minutes, celsius := q[unit.Duration], q[unit.Temperature]
	inOven := func(s *shop) {
		s.write("run/bake-9", &journal.BakeStart{Rack: journal.Rack{Parts: []journal.Subject{lfCaliper}}, Oven: "oven-1", Set: celsius("200 °C")})
	}
	kinds := map[string]url.Values{
		"part.degreased": {"agent": {"hot wash"}, "chlorinated": {"no"}},
		"part.blasted":   {"media": {"glass bead"}},
		"part.soaked":    {"set": {"220"}, "set.unit": {"°C"}, "held": {"60"}, "held.unit": {"min"}, "rag": {"clean"}},
		"powder.applied": {"lot": {"pw-0412"}, "coat": {"1"}},
		"bake.started":   {"set": {"200"}, "set.unit": {"°C"}, "oven": {"oven-1"}},
		"part.cooled":    {"how": {"in still air"}},
	}
	hangs := []string{"part.degreased", "part.blasted", "part.soaked", "powder.applied", "bake.started"}
	rack := journal.Rack{Parts: []journal.Subject{lfCaliper}}
	for name, c := range map[string]struct {
		before  func(*shop)
		kinds   []string
		refused bool
	}{
		"in the oven": {inOven, hangs, true},
		"in the oven, with a remark and a torque since": {func(s *shop) {
			inOven(s)
			s.write(lfCaliper, &journal.Remark{Evidence: journal.Evidence{Note: "hangs left"}})
			s.write(lfCaliper, &journal.Torque{Joint: "guide pin", Torque: q[unit.Torque]("27 N.m"), Tool: "tw-1"})
		}, hangs, true},
		"in the oven, of which it is cooled": {inOven, []string{"part.cooled"}, false},
		"baked, as somebody wrote": {func(s *shop) {
			inOven(s)
			s.write("run/bake-9", &journal.Cure{Held: minutes("20 min"), By: journal.CureMeans(journal.CureMeans("").Words()[0])})
		}, hangs, false},
		"cooled": {func(s *shop) {
			inOven(s)
			s.write("run/cool-9", &journal.Cooling{Rack: rack, How: "in still air"})
		}, hangs, false},
		"work went on": {func(s *shop) {
			inOven(s)
			s.write(lfCaliper, &journal.Unmasking{Plugs: 3})
		}, hangs, false},
		"the bake is struck out": {func(s *shop) {
			inOven(s)
			s.write("run/bake-9", &journal.Correction{Of: s.lines(journal.BakeStarted)[0].ID, Reason: "it was not so"})
		}, hangs, false},
		"done once, and once more": {func(s *shop) {
			s.write("run/blast-9", &journal.Blasting{Rack: rack, Media: "glass bead"})
			s.write("run/soak-9", &journal.Soaking{Rack: rack, Set: celsius("220 °C"), Held: minutes("60 min")})
			s.write("run/coat-9", &journal.Coating{Rack: rack, Lot: "pw-0412", Coat: 1})
		}, hangs, false},
	} {
		t.Run(name, func(t *testing.T) {
			for _, kind := range journaltest.Rows(t, 3, c.kinds) {
				s := newShop(t)
				c.before(s)
				before := len(s.lines(journal.Kind(kind)))
				p := s.stamp("/run/new/"+kind, with(kinds[kind], url.Values{"part": {string(lfCaliper)}, "sure": {"1"}}), upload{"picture", "a.jpg", photo(7)})
				switch written := len(s.lines(journal.Kind(kind))) > before; {
				case written == c.refused:
					t.Errorf("%s: written %v, %d\n%s", kind, written, p.status, clip(p.body))
				case c.refused:
					p.want(t, http.StatusUnprocessableEntity, "The LF caliper of TRL 4471 went into the oven in run bake-9", "Write there that it ended")
				}
			}
		})
	}
}
