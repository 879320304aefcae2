package record_test

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
)

func TestDay(t *testing.T) {
	shop := fold(day(t)...)
	if shop.ID != "k7m2q4xw" || shop.Name != "Pin Bore Works" || shop.Initials("io") != "IO" || shop.Initials("nobody") != "nobody" {
		t.Errorf("got shop %s %q", shop.ID, shop.Name)
	}
	job := shop.Job(jobOne)
	if job.State != record.Sealed || !job.Erased || job.Odometer != q[unit.Distance]("84210 km") || job.Customer == nil {
		t.Errorf("got %+v", job)
	}
	if v := job.Vehicle; v.Key != record.Key("vin/"+invented(17)) || v.VIN != invented(17) || v.VINNote() != "" {
		t.Errorf("got vehicle %+v", v)
	}
	var corners []journal.Corner
	for _, c := range job.Corners {
		corners = append(corners, c.Corner)
	}
	if !slices.Equal(corners, []journal.Corner{"LF", "RF"}) {
		t.Errorf("got corners %v", corners)
	}
	caliper := job.Corners[0].Parts[0]
	if caliper.Tag != "LF-1" || caliper.Mark != "K7 2291" || caliper.Metal != "iron" || caliper.Casting.Mark != "K7 2291" {
		t.Errorf("got %+v", caliper)
	}
	if lot := shop.Lots[0]; lot.ID != "pw-0412" || lot.Stated.Colour != "red" {
		t.Errorf("got %+v", lot)
	}
	if len(shop.Loose) != 0 {
		t.Errorf("%d lines are loose", len(shop.Loose))
	}
}

// A run lies in the record once, and the parts of both jobs refer to it.
func TestSharedRun(t *testing.T) {
	shop := fold(day(t)...)
	run := shop.Run("bake-17")
	if !slices.Equal(run.What, []string{"powder", "bake"}) || len(run.Parts) != 3 || len(run.Jobs) != 2 || !slices.Equal(run.Lots, []journal.LotID{"pw-0412"}) {
		t.Errorf("got %+v", run)
	}
	mine, theirs := shop.Job(jobOne).Corners[0].Parts[0], shop.Job(jobTwo).Corners[0].Parts[0]
	if mine.Runs[0] != run || theirs.Runs[0] != run {
		t.Error("the parts do not refer to one run")
	}
	for _, p := range []*record.Part{mine, theirs} {
		line := p.Timeline()
		if !slices.Contains(line, run.Lines[0]) || !slices.IsSortedFunc(line, func(a, b *record.Line) int { return slices.Compare(a.ID[:], b.ID[:]) }) {
			t.Errorf("the timeline of %s lacks the run or its order", p.Subject)
		}
	}
	if n := len(shop.Job(jobOne).Timeline()); n != len(slices.Compact(shop.Job(jobOne).Timeline())) {
		t.Errorf("the job's timeline tells a line of the run for each of its parts (%d)", n)
	}
	// The rack of bake-18 was corrected: RF was never in, and its record says so.
	away := shop.Job(jobOne).Corners[1].Parts[0]
	if len(away.Unhung) != 1 || away.Unhung[0].ID != "bake-18" || slices.Contains(away.Runs, shop.Run("bake-18")) {
		t.Errorf("got runs %v, unhung %v", away.Runs, away.Unhung)
	}
}

func TestLateOpening(t *testing.T) {
	bench, office := newTablet(t, "bench-1"), newTablet(t, "office")
	office.says(one("", ""), "mo", opening("", "AB 1"))
	bench.says(one("LF", "caliper"), "io", &journal.Tagging{Tag: "1", Metal: "iron"})
	bench.says("run/blast-1", "io", &journal.Blasting{Rack: journal.Rack{Parts: []journal.Subject{journal.About(jobTwo, "RR", "arm")}}, Media: "glass bead"})

	book := record.NewBook(officeHub)
	for _, l := range bench.log {
		book.Add(l)
	}
	before := book.Shop()
	if j := before.Job(jobOne); j.State != record.NotHere || j.Vehicle != nil || j.Corners[0].Parts[0].Tag != "1" {
		t.Errorf("got %+v before the opening came", j)
	}
	if j := before.Job(jobTwo); j == nil || j.State != record.NotHere || len(before.Jobs) != 2 {
		t.Errorf("a job that only a run names is %+v", j)
	}
	for _, l := range office.log {
		book.Add(l)
	}
	after := book.Shop()
	if j := after.Job(jobOne); j.State != record.Open || j.Vehicle.Key != "plate/AB1" || j.Corners[0].Parts[0].Tag != "1" {
		t.Errorf("got %+v after the opening came", j)
	}
	if before.Job(jobOne).State != record.NotHere {
		t.Error("a shop changed after it was folded")
	}
}

func TestNewerKind(t *testing.T) {
	bench := newTablet(t, "bench-1")
	id := bench.newer(one("LF", "caliper"), `{"wheel": "felt", "photos": [], "note": "gentle"}`)
	loose := bench.newer("wheelstand/w-1", `{}`)
	shop := fold(bench.log)
	l := only(t, shop, id)
	if !l.Has(record.NewerKind) || l.Payload != nil || l.Effect() != nil || string(l.Data) != `{"wheel":"felt","photos":[],"note":"gentle"}` {
		t.Errorf("got %+v", l)
	}
	if got := shop.Job(jobOne).Corners[0].Parts[0].Lines; len(got) != 1 || got[0] != l {
		t.Errorf("the line is not where its subject says: %v", got)
	}
	if len(shop.Loose) != 1 || shop.Loose[0].ID != loose {
		t.Errorf("a subject of a newer fettlebook is not loose: %v", shop.Loose)
	}
}

func TestUnreadable(t *testing.T) {
	bench := newTablet(t, "bench-1")
	id := bench.says(one("", ""), "io", note("fine"))
	book := record.NewBook(officeHub)
	book.Add(bench.log[0])
	book.Add(journal.Logged{Position: journal.Position{Device: "bench-1", Index: 1}, Bytes: []byte("\xff no entry")})
	bad := bench.newer(one("", ""), `{"joint":7}`)
	raw := bench.log[1]
	raw.Bytes = replaceKind(raw.Bytes)
	book.Add(raw)
	shop := book.Shop()
	if len(shop.Loose) != 1 || string(shop.Loose[0].Raw) != "\xff no entry" || !shop.Loose[0].Has(record.Unreadable) || shop.Loose[0].Index != 1 {
		t.Errorf("got loose %+v", shop.Loose)
	}
	if l := only(t, shop, bad); !l.Has(record.Unreadable) || l.Payload != nil || l.Kind != journal.TorqueApplied {
		t.Errorf("got %+v", l)
	}
	if l := only(t, shop, id); l.Has(record.Unreadable) {
		t.Errorf("got %+v", l)
	}
}

func TestFork(t *testing.T) {
	bench := newTablet(t, "bench-1")
	id := bench.says(one("", ""), "io", note("the one"))
	book := record.NewBook(officeHub)
	book.Add(bench.log[0])
	e, err := journal.Decode(bench.log[0].Bytes)
	if err != nil {
		t.Fatal(err)
	}
	e.Data = []byte(`{"note":"the other"}`)
	raw, err := e.Encode()
	if err != nil {
		t.Fatal(err)
	}
	book.Add(journal.Logged{Position: bench.log[0].Position, Bytes: raw})
	office := newTablet(t, "office")
	office.says("device/bench-1", "mo", &journal.ForkFound{Device: "bench-1", Held: "a", Shown: "b"})
	book.Add(office.log[0])
	shop := book.Shop()
	lines := shop.Line(id)
	if len(lines) != 2 || len(shop.Job(jobOne).Lines) != 2 {
		t.Fatalf("got %d lines, want both histories", len(lines))
	}
	for _, l := range lines {
		if !l.Has(record.DoubleID) || !l.Has(record.ForkedDevice) {
			t.Errorf("got flags %v", l.Flags)
		}
	}
	if d := shop.Devices[0]; d.ID != "bench-1" || !d.Forked || d.Revoked {
		t.Errorf("got %+v", d)
	}
}

func TestRevokedDevice(t *testing.T) {
	bench, office := newTablet(t, "bench-1"), newTablet(t, "office")
	before := bench.at("09:00").says(one("", ""), "io", note("before"))
	office.at("10:00").says("device/bench-1", "mo", &journal.Revocation{Device: "bench-1", Reason: "lost"})
	after := bench.at("11:00").says(one("", ""), "io", note("after"))
	office.at("12:00").says("device/bench-1", "mo", &journal.Revocation{Device: "bench-1", Reason: "still lost"})
	shop := fold(bench.log, office.log)
	if only(t, shop, before).Has(record.RevokedDevice) || !only(t, shop, after).Has(record.RevokedDevice) || !shop.Devices[0].Revoked {
		t.Error("want the mark on what was written after the revocation only")
	}
}

func TestWrongLog(t *testing.T) {
	bench := newTablet(t, "bench-1")
	id := bench.says(one("", ""), "io", note("mine"))
	stray := bench.log[0]
	stray.Device = "another"
	if l := only(t, fold([]journal.Logged{stray}), id); !l.Has(record.WrongLog) || l.Device != "bench-1" {
		t.Errorf("got %+v", l)
	}
	if l := only(t, fold([]journal.Logged{stray}, bench.log), id); l.Has(record.WrongLog) {
		t.Error("the entry lies in its own log too, so it did not stray")
	}
}

func TestClocks(t *testing.T) {
	bench, office := newTablet(t, "bench-1"), newTablet(t, "office")
	first := bench.at("08:00").says(one("", ""), "io", note("before any comparison"))
	office.at("08:30").says("device/bench-1", "mo", &journal.ClockReading{Device: "bench-1", OffsetMs: 900, RoundTripMs: 5})
	compared := office.at("09:00").says("device/bench-1", "mo", &journal.ClockReading{Device: "bench-1", OffsetMs: -61020, RoundTripMs: 45})
	bench.write.Seen = journal.Seen{Size: 412}
	second := bench.at("10:00").says(one("", ""), "io", note("after it"))
	ahead := bench.at("12:00").says(one("", ""), "io", note("two hours ahead"))

	received := journaltest.Morning().Add(2 * time.Hour)
	book := record.NewBook(officeHub)
	for _, l := range office.log {
		book.Add(l)
	}
	for _, l := range bench.log {
		book.Add(l)
		l.Received = received.Add(time.Hour)
		book.Add(l)
		l.Received = received
		book.Add(l)
		l.Received = received.Add(2 * time.Hour)
		book.Add(l)
	}
	shop := book.Shop()
	if book.Len() != 5 {
		t.Errorf("the book holds %d entries, want 5", book.Len())
	}
	if c := only(t, shop, first).Clocks; c.Offset != nil || c.Seen != 0 || c.Device.String() != "2026-03-02T08:00:00.000+01:00" || c.Boot != "5c0e1d7a" || time.Duration(c.Uptime) != 2*time.Hour {
		t.Errorf("got %+v", c)
	}
	if c := only(t, shop, second).Clocks; *c.Offset != (record.Offset{Clock: "-61.020 s", RoundTrip: "0.045 s", Compared: compared}) || c.Seen != 412 || c.Received.String() != "2026-03-02T09:00:00.000Z" {
		t.Errorf("got %+v %+v", c, c.Offset)
	}
	if only(t, shop, second).Has(record.ClockAhead) || !only(t, shop, ahead).Has(record.ClockAhead) {
		t.Error("want the mark on what was dated two hours after its receipt")
	}
}

func TestAfterHandover(t *testing.T) {
	office := newTablet(t, "office")
	office.says(one("", ""), "mo", opening("", "AB 1"))
	before := office.says(one("LF", ""), "mo", note("before"))
	released := office.says(one("", ""), "mo", &journal.Release{})
	office.says(one("", ""), "mo", &journal.Seal{Root: journal.Digest{1}, Entries: 3})
	after := office.says(one("LF", "caliper"), "mo", note("after"))
	shop := fold(office.log)
	if only(t, shop, before).Has(record.AfterHandover) || !only(t, shop, after).Has(record.AfterHandover) {
		t.Error("want the mark on what came after handover only")
	}
	for _, l := range shop.Job(jobOne).Lines {
		if l.Has(record.AfterHandover) {
			t.Errorf("%s is the handover itself", l.Kind)
		}
	}
	// A rack on a part of another job is that one's, and it is not handed back.
	part := journal.About(jobTwo, "LF", "caliper")
	rack := office.says(part, "mo", &journal.Blasting{Rack: journal.Rack{Parts: []journal.Subject{part, one("LF", "caliper")}}, Media: "glass bead"})
	if only(t, fold(office.log), rack).Has(record.AfterHandover) {
		t.Error("another job's entry bears the mark")
	}
	// Of the job that was handed back, an entry that names the other one's part bears
	// the mark there, and tells the other one nothing of it.
	late := office.says(one("LF", "caliper"), "mo", &journal.Blasting{Rack: journal.Rack{Parts: []journal.Subject{one("LF", "caliper"), part}}, Media: "glass bead"})
	both := fold(office.log)
	if !only(t, both, late).Has(record.AfterHandover) {
		t.Error("the job's own entry bears no mark")
	}
	if told, err := both.Job(jobTwo).JSON(record.Options{}); err != nil || bytes.Contains(told, []byte(record.AfterHandover)) {
		t.Errorf("another job's record tells of the handover: %s, %v", told, err)
	}
	// A release that is taken back leaves the seal as the handover.
	office.says(one("", ""), "mo", correct(released, "wrong vehicle", nil))
	again := fold(office.log)
	if j := again.Job(jobOne); j.Released != nil || j.State != record.Sealed || !only(t, again, after).Has(record.AfterHandover) {
		t.Errorf("got %+v", j)
	}
}

func TestErasedCardAndWithdrawnPhoto(t *testing.T) {
	shop := fold(day(t)...)
	job := shop.Job(jobOne)
	if !job.Opened.Has(record.CustomerErased) {
		t.Error("the opening does not say that the card was erased")
	}
	var arrival *record.Line
	for _, l := range job.Lines {
		if l.Kind == journal.VehicleReceived {
			arrival = l
		}
	}
	if lines := shop.Line(arrival.Photos[0].Withdrawn); len(lines) != 1 || lines[0].Kind != journal.PhotoWithdrawn {
		t.Errorf("the photo does not name its withdrawal: %v", arrival.Photos[0].Withdrawn)
	}
	if !arrival.Has(record.PhotoWithdrawn) || arrival.Photos[0].Withdrawn.IsZero() || !arrival.Photos[1].Withdrawn.IsZero() {
		t.Errorf("got %+v", arrival.Photos)
	}
}

// The first withdrawal is when the photo went.
func TestPhotoWithdrawnTwice(t *testing.T) {
	office := newTablet(t, "office")
	photo := journaltest.Picture("left side")
	id := office.says(one("", ""), "mo", &journal.Snapshot{Evidence: journal.Evidence{Photos: []journal.Photo{photo}}})
	first := office.says(one("", ""), "mo", &journal.Withdrawal{Photo: photo.Ref, Reason: "a face"})
	office.says(one("", ""), "mo", &journal.Withdrawal{Photo: photo.Ref, Reason: "a face, again"})
	if got := only(t, fold(office.log), id).Photos[0].Withdrawn; got != first {
		t.Errorf("got %s, want %s", got, first)
	}
}

// What is read at the vehicle counts more than what was said at the counter,
// also when that was written down later.
func TestOdometer(t *testing.T) {
	office := newTablet(t, "office")
	opened := opening("", "AB 1")
	opened.Odometer = q[unit.Distance]("84000 km")
	office.says(one("", ""), "mo", &journal.Arrival{Odometer: q[unit.Distance]("84210 km")})
	office.says(one("", ""), "mo", opened)
	if got := fold(office.log).Job(jobOne).Odometer; got != q[unit.Distance]("84210 km") {
		t.Errorf("got %s", got)
	}
}

// A part that another entry of the run names is not unhung by a correction.
func TestUnhungOnce(t *testing.T) {
	bench := newTablet(t, "bench-1")
	both := journal.Rack{Parts: []journal.Subject{one("LF", "caliper"), one("RF", "caliper")}}
	bench.says("run/r", "io", &journal.Cooling{Rack: both})
	slip := bench.says("run/r", "io", &journal.Blasting{Rack: both, Media: "bead"})
	bench.says("run/r", "io", correct(slip, "one only", &journal.Blasting{Rack: journal.Rack{Parts: both.Parts[:1]}, Media: "bead"}))
	if p := fold(bench.log).Job(jobOne).Corners[1].Parts[0]; len(p.Runs) != 1 || len(p.Unhung) != 0 {
		t.Errorf("got runs %v, unhung %v", p.Runs, p.Unhung)
	}
}

func TestJobOpenedTwice(t *testing.T) {
	a, b := newTablet(t, "a"), newTablet(t, "b")
	first := a.at("08:00").says(one("", ""), "io", opening("", "AB 1"))
	second := b.at("09:00").says(one("", ""), "io", opening("", "CD 2"))
	shop := fold(b.log, a.log)
	if !only(t, shop, first).Has(record.JobTwice) || !only(t, shop, second).Has(record.JobTwice) {
		t.Error("both openings must say that there are two")
	}
	if v := shop.Job(jobOne).Vehicle; v.Key != "plate/AB1" || len(shop.Vehicles) != 1 {
		t.Errorf("got %+v", v)
	}
}

func TestCastingOverJobs(t *testing.T) {
	bench := newTablet(t, "bench-1")
	bench.says(one("LF", "caliper"), "io", &journal.Tagging{Tag: "1", Mark: "K7-2291", Metal: "iron"})
	bench.says(journal.About(jobTwo, "RF", "caliper"), "io", &journal.Tagging{Tag: "9", Mark: "k7 2291", Metal: "iron"})
	shop := fold(bench.log)
	if len(shop.Castings) != 1 || len(shop.Castings[0].Parts) != 2 || len(shop.Castings[0].Notes) != 0 || len(shop.Castings[0].Timeline()) != 2 {
		t.Fatalf("got %+v", shop.Castings)
	}
	bench.says(one("RF", "caliper"), "io", &journal.Tagging{Tag: "2", Mark: "K7 2291", Metal: "iron"})
	shop = fold(bench.log)
	if len(shop.Castings) != 3 {
		t.Fatalf("got %+v; a mark on two parts of one job is a pattern", shop.Castings)
	}
	for _, c := range shop.Castings {
		if len(c.Parts) != 1 || len(c.Notes) != 1 {
			t.Errorf("got %+v", c)
		}
	}
}

// The shop's own number is the casting, its pattern is not; and a photograph
// can show that two lives are one, as long as it stands.
func TestNumberIsTheCasting(t *testing.T) {
	const first, second = journal.JobID("j0b00003"), journal.JobID("j0b00004")
	here, before, later := one("LF", "caliper"), journal.About(first, "RF", "caliper"), journal.About(second, "LF", "caliper")
	shown := journal.Evidence{Photos: []journal.Photo{journaltest.Picture("the repair")}}
	lives := func(log ...any) string {
		t.Helper()
		bench := newTablet(t, "bench-1")
		for i := 0; i < len(log); i += 2 {
			bench.says(log[i].(journal.Subject), "io", log[i+1].(journal.Payload))
		}
		var said []string
		for _, c := range fold(bench.log).Castings {
			text := c.Name()
			for _, p := range c.Parts {
				text += fmt.Sprintf(" %s/%s", p.Subject.Job(), p.Subject.Corner())
			}
			said = append(said, fmt.Sprintf("%s (%d)", text, len(c.Notes)))
		}
		return strings.Join(said, "; ")
	}
	tag := func(number, pattern, mark string) *journal.Tagging {
		return &journal.Tagging{Tag: "1", Metal: "iron", Number: number, Pattern: pattern, Mark: mark}
	}
	match := func(as journal.Subject, e journal.Evidence) *journal.CastingMatch {
		return &journal.CastingMatch{As: as, How: "the repair", Evidence: e}
	}
	for name, trial := range map[string]struct {
		log  []any
		want string
	}{
		"one number":                      {[]any{here, tag("117", "", ""), before, tag("1 17", "", "")}, "117 4f7kk2m9/LF j0b00003/RF (0)"},
		"one pattern":                     {[]any{here, tag("117", "K7", ""), before, tag("118", "K7", "")}, "117 4f7kk2m9/LF (0); 118 j0b00003/RF (0)"},
		"a pattern alone":                 {[]any{here, tag("", "K7", ""), before, tag("", "K7", "")}, ""},
		"the mark was the number":         {[]any{before, tag("", "", "117"), here, tag("117", "K7", "")}, "117 j0b00003/RF 4f7kk2m9/LF (0)"},
		"the mark was a pattern":          {[]any{before, tag("", "", "K7"), here, tag("117", "K7", "")}, "117 4f7kk2m9/LF (0); K7 j0b00003/RF (0)"},
		"shown to be the same":            {[]any{before, tag("", "K7", ""), here, tag("117", "K7", ""), here, match(before, shown)}, "117 j0b00003/RF 4f7kk2m9/LF (0)"},
		"over a third":                    {[]any{before, tag("", "K7", ""), later, tag("117", "", ""), here, tag("117", "K7", ""), here, match(before, shown)}, "117 j0b00003/RF j0b00004/LF 4f7kk2m9/LF (0)"},
		"the same, with another number":   {[]any{before, tag("118", "", ""), here, tag("117", "", ""), here, match(before, shown)}, "118 j0b00003/RF 4f7kk2m9/LF (1)"},
		"the same, with another pattern":  {[]any{before, tag("117", "K8", ""), here, tag("117", "K7", "")}, "117 j0b00003/RF 4f7kk2m9/LF (1)"},
		"a number on two parts of one":    {[]any{here, tag("117", "", ""), one("RF", "caliper"), tag("117", "", "")}, "117 4f7kk2m9/LF 4f7kk2m9/RF (1)"},
		"the same as nothing known":       {[]any{here, tag("117", "", ""), here, match(later, shown)}, "117 4f7kk2m9/LF (0)"},
		"tagged anew with another number": {[]any{here, tag("117", "", ""), here, tag("119", "", ""), before, tag("117", "", "")}, "117 j0b00003/RF (0); 119 4f7kk2m9/LF (0)"},
	} {
		if got := lives(trial.log...); got != trial.want {
			t.Errorf("%s: got %s, want %s", name, got, trial.want)
		}
	}
	bench := newTablet(t, "bench-1")
	bench.says(before, "io", tag("", "K7", ""))
	bench.says(here, "io", tag("117", "K7", ""))
	wrong := bench.says(here, "io", match(before, shown))
	bench.says(here, "io", &journal.Correction{Of: wrong, Reason: "another repair"})
	if list := fold(bench.log).Castings; len(list) != 1 || len(list[0].Parts) != 1 {
		t.Errorf("what was struck out still joins: %+v", list)
	}
}

// A part's own entry that names other parts is told by those too.
func TestRackOnPart(t *testing.T) {
	bench := newTablet(t, "bench-1")
	id := bench.says(one("LF", "caliper"), "io", &journal.Soaking{Rack: journal.Rack{Parts: []journal.Subject{one("LF", "caliper"), one("LF", "bracket")}}, Set: q[unit.Temperature]("220 °C"), Held: q[unit.Duration]("45 min")})
	shop := fold(bench.log)
	for _, p := range shop.Job(jobOne).Corners[0].Parts {
		if len(p.Lines) != 1 || p.Lines[0].ID != id {
			t.Errorf("%s tells %d lines", p.Subject, len(p.Lines))
		}
	}
}

func TestFoldStream(t *testing.T) {
	logs := day(t)
	broken := errors.New("the disk")
	stream := func(fails bool) func(func(journal.Logged, error) bool) {
		return func(yield func(journal.Logged, error) bool) {
			for _, l := range slices.Concat(logs...) {
				if !yield(l, nil) {
					return
				}
			}
			if fails {
				yield(journal.Logged{}, broken)
			}
		}
	}
	shop, err := record.Fold(officeHub, stream(false))
	if err != nil || len(shop.Jobs) != 2 {
		t.Errorf("got %d jobs and %v", len(shop.Jobs), err)
	}
	if shop, err := record.Fold(officeHub, stream(true)); !errors.Is(err, broken) || shop != nil {
		t.Errorf("got %v and %v; half a record looks like a whole one", shop, err)
	}
}

func TestRegisterOfPeople(t *testing.T) {
	office := newTablet(t, "office")
	office.says("person/io", "mo", &journal.Person{Person: "io", Initials: "IO"})
	office.says("person/io", "mo", &journal.Retirement{Person: "io"})
	if p := fold(office.log).People[0]; !p.Retired || p.Stated.Initials != "IO" {
		t.Errorf("got %+v", p)
	}
	office.says("person/io", "mo", &journal.Person{Person: "io", Initials: "IB"})
	if p := fold(office.log).People[0]; p.Retired || p.Stated.Initials != "IB" || len(p.Lines) != 3 {
		t.Errorf("got %+v", p)
	}
}
