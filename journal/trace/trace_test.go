package trace_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/trace"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// Whatever somebody may hold finds what it names, with one character wrong, missing
// or doubled in a number too, which is said then; and what names nothing finds
// nothing.
func TestFind(t *testing.T) {
	w := threeCars(t)
	lf := string(caliper(one))
	for _, trial := range []struct {
		what, term, of string
		says           string // part of how it was found, "" for nothing
	}{
		{"a VIN", "ZZZ11AAA0A0000001", "job/j0b00001", ""},
		{"a VIN with spaces", "zzz11aaa 0a0000001", "job/j0b00001", ""},
		{"a VIN, one character wrong", "ZZZ11AAA0A0000007", "job/j0b00001", "near to it: ZZZ11AAA0A0000001 (VIN)"},
		{"a VIN, one missing", "ZZZ11AAA0A000001", "job/j0b00001", "near to it: ZZZ11AAA0A0000001"},
		{"a VIN, one doubled", "ZZZ11AAA0AA0000001", "job/j0b00001", "near to it: ZZZ11AAA0A0000001"},
		{"a plate", "fb-501", "job/j0b00001", ""},
		{"a plate, one wrong", "FB 591", "job/j0b00001", "Nothing is called FB 591; near to it: FB 501 (plate)."},
		{"a plate, one missing", "KX 90", "job/j0b00003", ""}, // it begins so
		{"a plate, one doubled", "KKX 900", "job/j0b00003", "near to it: KX 900"},
		{"a plate, two the other way round", "XK 900", "job/j0b00003", "near to it: KX 900"},
		{"a plate, two wrong", "FB 599", "", "nothing is near to it"},
		{"a casting’s number", "s71", lf, ""},
		{"a number, one wrong", "S-77", lf, "near to it: S-71 (casting number)"},
		{"a number, turned round", "S-17", lf, "near to it: S-71 (casting number)"},
		{"a number, one doubled", "S-711", lf, "near to it: S-71 (casting number)"},
		{"the beginning of a number", "S-7", lf, ""},
		{"a pattern of one part", "K99", string(caliper(three)), ""},
		{"a pattern of two parts", "K71", string(caliper(two)) + " | " + lf, ""},
		{"a pattern, one wrong", "K98", string(caliper(three)), "near to it: K99 (pattern)"},
		{"a tag", "C1", string(caliper(three)), ""},
		{"a powder lot", "SO-118", "lot/so-118", ""},
		{"a powder lot, one wrong", "so-718", "lot/so-118", "near to it: so-118 (lot)"},
		{"a kit", "ks-7", "kit/ks-7", ""},
		{"a kit's batch", "2604", "kit/ks-7", ""},
		{"a batch, one wrong", "2605", "kit/ks-7", "near to it: 2604 (batch)"},
		{"a fluid", "can-3", "fluid/can-3", ""},
		{"a tool", "tw-1", "tool/tw-1", ""},
		{"a serial number", "0418b", "tool/tw-1", ""},
		{"a serial number, one missing", "048-B", "tool/tw-1", "near to it: 0418-B (serial number)"},
		{"a run", "bake-1", "run/bake-1", ""},
		{"a thing as entries name it", "tool/tw-1", "tool/tw-1", ""},
		{"a part as entries name it", lf, lf, ""},
		{"words", "dust boot", "", ""},
		{"a colour", "signal orange", "lot/so-118", ""},
		{"nothing", "qqqqqq", "", "Nothing here is called qqqqqq, nothing is near to it, and no entry has the words."},
		{"an empty term", "", "", ""},
	} {
		got := w.traces(trial.term, trace.Options{Customers: true})
		if trial.what == "words" { // the kit, and the part that it went into
			if g := gist(got); !strings.Contains(g, "kit/ks-7") || !strings.Contains(g, lf) {
				t.Errorf("%s: %q finds %q", trial.what, trial.term, g)
			}
			continue
		}
		if g := gist(got); g != trial.of {
			t.Errorf("%s: %q finds %q, not %q", trial.what, trial.term, g, trial.of)
		}
		says := strings.Join(got.Says, " ")
		if trial.says == "" && says != "" && trial.term != "" || !strings.Contains(says, trial.says) {
			t.Errorf("%s: %q is found by %q, not %q", trial.what, trial.term, says, trial.says)
		}
	}
}

// Days, months and spans find what was done in them.
func TestFindDays(t *testing.T) {
	w := threeCars(t)
	for term, want := range map[string][]string{
		"2026-03-02":             {"job/j0b00001", "job/j0b00002", "run/bake-1"},
		"2026-03-22":             {"job/j0b00003", "run/bake-2"},
		"2026-03":                {"job/j0b00001", "job/j0b00003", "run/bake-1", "run/bake-2"},
		"2026-03-01..2026-03-14": {"job/j0b00001", "run/bake-1"},
		"2026-03-03..2026-03-20": nil,
		"2027":                   nil,
	} {
		got := gist(w.traces(term, trace.Options{}))
		for _, of := range want {
			if !slices.Contains(strings.Split(got, " | "), of) {
				t.Errorf("%s finds %q, and not %s", term, got, of)
			}
		}
		if strings.Contains(got, "job/j0b00003") && strings.HasSuffix(term, "-14") || len(want) == 0 && got != "" {
			t.Errorf("%s finds %q", term, got)
		}
	}
}

// Days that cannot be are said to be wrong, and how they are written; what has such
// a name is found all the same.
func TestFindNoDays(t *testing.T) {
	w := threeCars(t)
	for term, want := range map[string]string{
		"2026-13":                "Nothing here is called 2026-13, and it is not a day or a month of the calendar. Write a day as 2026-03-01",
		"2026-02-30":             "Nothing here is called 2026-02-30, and it is not a day",
		"2026-03..2026-03-32":    "Nothing here is called 2026-03-32, and it is not a day",
		"2026-03-14..2026-03-01": "2026-03-14 is later than 2026-03-01. Write the earlier day first: 2026-03-01..2026-03-14.",
		"2026-12":                "Nothing here is called 2026-12, nothing is near to it",
	} {
		got := w.traces(term, trace.Options{})
		if says := strings.Join(got.Says, " "); !strings.HasPrefix(says, want) || gist(got) != "" {
			t.Errorf("%s finds %q and says %q, want %q", term, gist(got), says, want)
		}
	}
}

// A customer is found by name where names may be asked for, and nowhere else.
func TestFindCustomers(t *testing.T) {
	w := threeCars(t)
	if got := gist(w.traces("Ferrous", trace.Options{Customers: true})); got != "job/j0b00001" {
		t.Errorf("the customer finds %q", got)
	}
	if got := gist(w.traces("Ferrous", trace.Options{})); got != "" {
		t.Errorf("where no name may be asked for it finds %q", got)
	}
}

// Somebody who works here is found and traced at the desk: by short name, by
// initials, by the full name and as entries name people; elsewhere by none of them.
func TestPeople(t *testing.T) {
	w := threeCars(t)
	for _, term := range []string{"mara", "MK", "mk", "Kessel", "mara kessel", "person/mara"} {
		got := w.traces(term, trace.Options{Customers: true, People: true})
		if gist(got) != "person/mara" || got.Of.Name != "MK" || rightSays(got) != "KX 900 here, FB 501 away, FB 502 away" {
			t.Errorf("%q finds %q, whose work is on %s", term, gist(got), rightSays(got))
		}
		for _, o := range []trace.Options{{}, {Customers: true}} {
			got := w.traces(term, o)
			if got.Of != nil || len(got.Right)+len(got.Left)+len(got.Choices) > 0 || !got.Untold && term != "MK" && !strings.Contains(strings.ToLower(term), "kessel") {
				t.Errorf("outside the desk %q finds %q: %v", term, gist(got), got.Says)
			}
			if strings.Contains(strings.Join(got.Says, " "), "Kessel") && !strings.Contains(term, "essel") {
				t.Errorf("outside the desk a full name is told: %v", got.Says)
			}
		}
	}
	if got := w.traces("maro", trace.Options{}); strings.Contains(strings.Join(got.Says, " "), "mara") {
		t.Errorf("a short name is near and told: %v", got.Says)
	}
	// Whoever worked on a part is on its left all the same, by initials.
	left := w.traces("S-71", trace.Options{}).Left
	if i := slices.IndexFunc(left, func(n *trace.Node) bool { return n.Of == "person/mara" }); i < 0 || left[i].Name != "MK" || left[i].Shares != nil {
		t.Errorf("on the left are %+v", left)
	}
}

// To the left of a part stands what touched it, by time, each with what was known
// of it then; to the right who shares any of that, and not the part's own car.
func TestLeftAndRightOfAPart(t *testing.T) {
	w := threeCars(t)
	w.does("tool/ov-1", "io", &journal.Service{Tool: "ov-1", Done: journal.OvenSurveyed, On: "2026-02-20", Set: q200(), Places: []journal.SurveyedPlace{{Place: "middle", Reads: q200()}, {Place: "door", Reads: q200()}}})
	got := w.traces("S-71", trace.Options{})
	known := make(map[string]string)
	var names []string
	var at time.Time
	for _, n := range got.Left {
		known[n.Name] = strings.Join(n.Known, "; ")
		names = append(names, n.Name)
		if n.At.Before(at) {
			t.Errorf("%s of %s stands after %s", n.Name, n.At, at)
		}
		at = n.At
	}
	for name, says := range map[string]string{
		"Run blast-1":       "blasted with glass bead",
		"Run coat-1":        "coat 1 of lot so-118",
		"Powder lot so-118": "signal orange",
		"Air in the room":   "dew point",
		"Run bake-1":        "",
		"Tool ov-1":         "surveyed",
		"Kit ks-7":          "batch 2604",
		"Tool tw-1":         "serial 0418-B, certificate K-1",
		"Fluid can-3":       "DOT 4",
		"MK":                "",
		"IO":                "",
	} {
		if !slices.Contains(names, name) || !strings.Contains(known[name], says) {
			t.Errorf("%s is known by %q, want %q; on the left are %q", name, known[name], says, names)
		}
	}
	if strings.Contains(known["Tool tw-1"], "K-2") {
		t.Errorf("what became known of the wrench later: %s", known["Tool tw-1"])
	}
	if r := rightSays(got); r != "FB 502 away, KX 900 here" { // two shares more of it
		t.Errorf("on the right are %s", r)
	}
	for _, v := range got.Right {
		if want := map[journal.JobID][]journal.Subject{two: {"run/blast-1", "run/coat-1", "lot/so-118", "run/bake-1", "tool/ov-1"}, three: {"lot/so-118", "tool/ov-1"}}[v.Job]; !slices.Equal(sorted(v.Via), sorted(want)) {
			t.Errorf("%s shares %v, want %v", v.Name, v.Via, want)
		}
	}
	if got.Total != 2 || got.Life == nil {
		t.Errorf("%d vehicles, its life %v", got.Total, got.Life)
	}
	// A rack that was corrected to other parts touched this one no more.
	w.corrects("run/coat-1", "coat-1", &journal.Coating{Rack: rack(caliper(two)), Lot: "so-118", Coat: 1})
	for _, n := range w.traces("S-71", trace.Options{}).Left {
		if n.Of == "lot/so-118" || n.Of == "run/coat-1" {
			t.Errorf("%s still touches it: %v", n.Of, n.Known)
		}
	}
}

// Forwards from a thing: every vehicle that shares it, the last one first, where
// each is and since when, whom to call, and what holds rest on it; of a tool only
// what came since it was last found good.
func TestForwards(t *testing.T) {
	w := threeCars(t)
	for _, trial := range []struct {
		term, right, since string
		parts              int
	}{
		{"so-118", "KX 900 here, FB 502 away, FB 501 away", "", 3},
		{"so-119", "", "", 0},
		{"run/bake-1", "FB 502 away, FB 501 away", "", 2},
		{"ks-7", "FB 501 away", "", 1},
		{"can-3", "FB 501 away", "", 0},
		{"tool/tw-1", "KX 900 here, FB 502 away", "K-2", 0},
		{"tool/ov-1", "KX 900 here, FB 502 away, FB 501 away", "", 3},
		{"tool/tw-9", "", "", 0},
		{"run/none", "", "", 0},
	} {
		got := w.traces(trial.term, trace.Options{})
		parts := 0
		for _, v := range got.Right {
			parts += len(v.Parts)
		}
		if rightSays(got) != trial.right || parts != trial.parts || got.Total != len(got.Right) || got.Cut {
			t.Errorf("%s is shared by %s (%d parts, %d in all), want %s (%d)", trial.term, rightSays(got), parts, got.Total, trial.right, trial.parts)
		}
		if since := got.Since; (since != nil) != (trial.since != "") || since != nil && !strings.Contains(strings.Join(since.Known, " "), trial.since) {
			t.Errorf("%s since %+v", trial.term, since)
		}
	}
	for _, v := range w.traces("so-118", trace.Options{}).Right {
		want := map[journal.JobID]string{one: "on the road since 2 March 2026", two: "on the road since 2 March 2026", three: "in the shop"}[v.Job]
		if v.Where(words.Writing{}) != want || (v.Customer == "cardada1") != (v.Job == one) {
			t.Errorf("%s is %s, call %q", v.Name, v.Where(words.Writing{}), v.Customer)
		}
		if v.Unasked || v.Job == one && v.Looks != "moss-green estate" {
			t.Errorf("%+v", v)
		}
	}
}

// Work before the last good check is traced from its own side: the wrench as the
// part met it is shared by whoever it was used on between the same two checks.
func TestBetweenTwoChecks(t *testing.T) {
	w := threeCars(t)
	w.tightens(again) // a job that was not opened here
	for job, want := range map[journal.JobID]int{one: 0, two: 2, three: 2} {
		got := w.traces(string(journal.About(job, "", "")), trace.Options{})
		i := slices.IndexFunc(got.Left, func(n *trace.Node) bool { return n.Of == "tool/tw-1" })
		if i < 0 || got.Left[i].Shares == nil || *got.Left[i].Shares != want {
			t.Errorf("the wrench of %s: %+v, want it shared with %d", job, got.Left, want)
		}
	}
}

// A part that came back is one casting with two lives: its term finds the newest,
// what touched the earlier one is on its left, and a car never shares with itself.
func TestACastingThatCameBack(t *testing.T) {
	w := threeCars(t)
	w.days(100)
	w.comes(again, journal.Vehicle{VIN: "ZZZ11AAA0A0000001", Plate: "FB 501"}, nil, journal.Tagging{Tag: "A9", Number: "S-71", Pattern: "K71", Metal: journal.Iron})
	got := w.traces("S-71", trace.Options{})
	if gist(got) != string(caliper(again)) {
		t.Fatalf("it is %s", gist(got))
	}
	if !slices.ContainsFunc(got.Left, func(n *trace.Node) bool { return n.Of == "run/bake-1" }) || strings.Contains(rightSays(got), "FB 501") {
		t.Errorf("on the left %+v, on the right %s", got.Left, rightSays(got))
	}
}

func q200() unit.Temperature { return measure[unit.Temperature]("200 °C") }

func sorted(list []journal.Subject) []journal.Subject {
	list = slices.Clone(list)
	slices.Sort(list)
	return slices.Compact(list)
}
