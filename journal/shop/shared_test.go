package shop_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/shop"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// shares says which parts, or else jobs, share a thing.
func shares(s *shop.Shared) string {
	var list []string
	for _, j := range s.Jobs {
		if len(j.Of) == 0 {
			list = append(list, string(j.Job))
		}
		for _, p := range j.Of {
			list = append(list, fmt.Sprintf("%s %s", j.Job, p.Part()))
		}
	}
	slices.Sort(list)
	return strings.Join(list, ", ")
}

// Who shares a thing follows what counts: runs with entries about some of their
// parts, struck uses, corrected racks, and the checks of a tool.
func TestShared(t *testing.T) {
	b := newBench(t)
	one, two, three := journal.About("j0b00001", "LF", "caliper"), journal.About("j0b00002", "LF", "caliper"), journal.About("j0b00003", "LF", "caliper")
	rack := func(p ...journal.Subject) journal.Rack { return journal.Rack{Parts: p} }
	coating := func(lot journal.LotID, p ...journal.Subject) *journal.Coating {
		return &journal.Coating{Rack: rack(p...), Lot: lot, Coat: 1}
	}
	for _, at := range []journal.Subject{one, two, three} {
		b.write("bench-1", journal.About(at.Job(), "", ""), &journal.Job{Vehicle: journal.Vehicle{Plate: string(at.Job())}, Corners: []journal.Corner{"LF"}})
		b.write("bench-1", at, &journal.Tagging{Tag: "A1", Number: "S-7", Metal: journal.Iron})
	}
	run := journal.Of("run", "coat-1")
	b.write("bench-1", run, coating("so-1", one))
	b.write("bench-1", run, coating("so-2", two))
	wrong := b.write("bench-1", journal.Of("run", "coat-2"), coating("so-3", one, two))
	raw, err := json.Marshal(coating("so-3", two, three))
	if err != nil {
		t.Fatal(err)
	}
	b.write("bench-1", journal.Of("run", "coat-2"), &journal.Correction{Of: wrong, Reason: "another rack", Data: jsontext.Value(raw)})
	struck := b.write("bench-1", three, coating("so-4"))
	b.write("bench-1", three, &journal.Correction{Of: struck, Reason: "not sprayed"})
	tool := journal.Of("tool", "tw-1")
	check := func(r journal.CheckResult) { b.write("bench-1", tool, &journal.ToolCheck{Tool: "tw-1", Result: r}) }
	tighten := func(at journal.Subject) journal.EntryID {
		return b.write("bench-1", journal.About(at.Job(), "LF", ""), &journal.Torque{Joint: "banjo bolt", Torque: quantity[unitTorque]("27 N.m"), Tool: "tw-1", Count: 1})
	}
	check(journal.InTolerance)
	first := tighten(one)
	check(journal.InTolerance)
	tighten(two)
	b.send("bench-1")
	s, idx := open(t, b.logs, t.TempDir())
	defer idx.Close()
	view := func() *shop.View {
		t.Helper()
		if err := s.CatchUp(t.Context()); err != nil {
			t.Fatal(err)
		}
		v := s.View(t.Context())
		v.Parts() // brings all summaries up to date
		if v.Err() != nil {
			t.Fatal(v.Err())
		}
		return v
	}
	v := view()
	for _, trial := range []struct {
		of   journal.Subject
		want string
	}{
		{"lot/so-1", "j0b00001 caliper"},
		{"lot/so-2", "j0b00002 caliper"},
		{"lot/so-3", "j0b00002 caliper, j0b00003 caliper"},
		{"lot/so-4", ""},
		{"run/coat-1", "j0b00001 caliper, j0b00002 caliper"},
		{"run/coat-2", "j0b00002 caliper, j0b00003 caliper"},
		{one, "j0b00001 caliper, j0b00002 caliper, j0b00003 caliper"}, // one casting
		{tool, "j0b00002"},
		{"person/mk", "j0b00001 caliper, j0b00002 caliper, j0b00003 caliper"},
	} {
		if got := shares(v.Shared(trial.of, nil)); got != trial.want {
			t.Errorf("%s is shared by %q, not %q", trial.of, got, trial.want)
		}
	}
	lines := v.Line(first)
	if got := shares(v.Shared(tool, lines[0])); got != "j0b00001" {
		t.Errorf("what shares the tool between its checks is %q", got)
	}
	// A check that finds it out opens the list of those that went back before.
	b.write("bench-1", journal.About(two.Job(), "", ""), &journal.Release{})
	b.send("bench-1")
	if is, _ := view().Summary(two.Job()); is.Recalls != 0 || time.Time(is.Released).IsZero() {
		t.Fatalf("before the check %d things are to be told, handed back on %s", is.Recalls, is.Released)
	}
	check(journal.OutOfTolerance)
	b.send("bench-1")
	v = view()
	for job, want := range map[journal.JobID]int{one.Job(): 0, two.Job(): 1, three.Job(): 0} {
		if is, _ := v.Summary(job); is.Recalls != want {
			t.Errorf("%d things of %s are to be told, not %d", is.Recalls, job, want)
		}
	}
}

// What is one slip away is found, and what was done in some days; a serial number
// that was corrected finds nothing any more.
func TestLook(t *testing.T) {
	b := newBench(t)
	b.write("bench-1", "job/4f7kk2m9", &journal.Job{Vehicle: journal.Vehicle{VIN: "ZZZ11AAA0A0000001", Plate: "AB 12-CDE"}, Corners: []journal.Corner{"LF"}})
	b.write("bench-1", "job/4f7kk2m9/corner/LF/part/caliper", &journal.Tagging{Number: "S-71", Pattern: "K71", Tag: "LF1", Metal: journal.Iron})
	b.write("hub", "tool/tw-1", &journal.Tool{Tool: "tw-1", What: journal.TorqueWrench, Serial: "0418-B"})
	b.write("hub", "tool/tw-1", &journal.Tool{Tool: "tw-1", What: journal.TorqueWrench, Serial: "0517-C"})
	b.write("hub", "kit/boots", &journal.Kit{Kit: "boots", Contents: []journal.Item{{What: "boot", Count: 1}}, Batch: "2604"})
	b.send("bench-1")
	b.send("hub")
	s, idx := open(t, b.logs, t.TempDir())
	defer idx.Close()
	if err := s.CatchUp(t.Context()); err != nil {
		t.Fatal(err)
	}
	v := s.View(t.Context())
	for _, trial := range []struct{ term, found, near string }{
		{"K71", "pattern job/4f7kk2m9", ""},
		{"k17", "", "pattern job/4f7kk2m9 K71"},
		{"S-7", "casting number job/4f7kk2m9", ""}, // begins so
		{"S-17", "", "casting number job/4f7kk2m9 S-71"},
		{"ZZZ11AAA0A000001", "", "VIN job/4f7kk2m9 ZZZ11AAA0A0000001"},
		{"AB 112 CDE", "", "plate job/4f7kk2m9 AB 12-CDE"},
		{"0517c", "serial number tool/tw-1", ""},
		{"0418-B", "", ""},
		{"0517-D", "", "serial number tool/tw-1 0517-C"},
		{"2604", "batch kit/boots", ""},
		{"2605", "", "batch kit/boots 2604"},
		{"2026-03", "day job/4f7kk2m9", ""},
		{"2026-04", "", ""},
		{"2026-02-27..2026-03", "day job/4f7kk2m9", ""},
		{"zz9zz9", "", ""},
		{"", "", ""},
	} {
		got := v.Look(trial.term, true, 20)
		if f := gist(got.Found); f != trial.found {
			t.Errorf("%q finds %q, not %q", trial.term, f, trial.found)
		}
		if n := gist(got.Near); n != trial.near {
			t.Errorf("near to %q is %q, not %q", trial.term, n, trial.near)
		}
	}
	if v.Err() != nil {
		t.Error(v.Err())
	}
}

// What is written as days are and names none is told apart from what is not.
func TestDays(t *testing.T) {
	for _, trial := range []struct{ text, from, to, wrong string }{
		{"2026-03-14", "2026-03-14", "2026-03-14", ""},
		{" 2026-02 ", "2026-02-01", "2026-02-28", ""},
		{"2028-02", "2028-02-01", "2028-02-29", ""},
		{"2026", "2026-01-01", "2026-12-31", ""},
		{"2026-03-14 .. 2026-03", "2026-03-14", "2026-03-31", ""},
		{"2026-13", "", "", "2026-13 is not in the calendar"},
		{"2026-02-30", "", "", "2026-02-30 is not in the calendar"},
		{"2026-3", "", "", "2026-3 is not in the calendar"},
		{"2026-03..2026-13", "", "", "2026-13 is not in the calendar"},
		{"2026-03-14..2026-02", "", "", "2026-03-14 is later than 2026-02"},
		{"2027..2026", "", "", "2027 is later than 2026"},
		{"so-118", "", "", shop.ErrOtherwise.Error()},
		{"0418-2", "", "", "0418-2 is not in the calendar"}, // what it names is found before that is said
		{"2026-03-14-1", "", "", shop.ErrOtherwise.Error()},
		{"..", "", "", shop.ErrOtherwise.Error()},
		{"", "", "", shop.ErrOtherwise.Error()},
	} {
		from, to, err := shop.Days(trial.text)
		wrong := ""
		if err != nil {
			wrong = err.Error()
		}
		if string(from) != trial.from || string(to) != trial.to || wrong != trial.wrong {
			t.Errorf("%q is from %q to %q: %q, want %+v", trial.text, from, to, wrong, trial)
		}
	}
}

func gist(list []shop.Match) string {
	var says []string
	for _, m := range list {
		if m.By != "words" {
			says = append(says, strings.TrimSpace(fmt.Sprintf("%s %s %s", m.By, index.Home(m.Home), m.Is)))
		}
	}
	return strings.Join(says, "; ")
}
