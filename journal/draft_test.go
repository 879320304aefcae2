package journal_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/trade/unit"
	"fettlebook/media"

	"github.com/go-json-experiment/json/jsontext"
)

func problemsOf(t *testing.T, err error) []string {
	t.Helper()
	var invalid *journal.Invalid
	if !errors.As(err, &invalid) {
		t.Fatalf("got %v, want *journal.Invalid", err)
	}
	var all []string
	for _, p := range invalid.Problems {
		all = append(all, p.String())
	}
	return all
}

func TestValidNamesEveryProblemAtOnce(t *testing.T) {
	d := journal.Draft{
		Subject: "job/x/corner/XX",
		Data: &journal.Torque{
			Tool:     "no name",
			Adapter:  &journal.Adapter{},
			Count:    -1,
			Pattern:  "round",
			Evidence: journal.Evidence{Photos: []journal.Photo{{}, {Role: "bolts"}}, Note: strings.Repeat("ö", journal.MaxText+1) + "\xff"},
		},
	}
	want := []string{
		`the person is missing; say who did it`,
		`the corner “XX” is not one of: LF, RF, LR, RR, NC`,
		`the field joint is missing`,
		`the field tool: the tool name “no name” may have letters, digits, dots, dashes and underscores only, and must start with a letter or digit`,
		`the field adapter.wrench is missing`,
		`the field adapter.offset is missing`,
		`the field pattern: “round” is not one of: star, cross, in turn`,
		`the field photos.0 is missing`,
		`the field photos.1.ref is missing`,
		`the field photos.1.thumb is missing`,
		`the field note has 4002 characters, more than 4000`,
		`the field note holds bytes that are not text`,
		`the field count: -1 cannot be right: it must be at least 1, since a joint has a bolt, and none of a vehicle has more. Check the number`,
		`the field torque is missing`,
	}
	err := d.Valid()
	if got := problemsOf(t, err); !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	if !strings.HasPrefix(err.Error(), "torque.applied: the person is missing; say who did it; the corner") {
		t.Errorf("reads as %s", err)
	}
}

func TestValidRefuses(t *testing.T) {
	ok := journaltest.Sample(journal.NoteMade)
	about := func(subject journal.Subject, data journal.Payload) journal.Draft {
		return journal.Draft{Subject: subject, By: "io", Data: data}
	}
	part := journal.About("j1", "LF", "caliper")
	vehicle := journal.Vehicle{Plate: "FB 204"}
	for _, c := range []struct {
		name  string
		draft journal.Draft
		want  string // a part of the one problem
	}{
		{"no data", journal.Draft{Subject: ok.Subject, By: "io"}, "the entry has no data"},
		{"no subject", about("", ok.Data), "the subject is missing"},
		{"subject of one word", about("job", ok.Data), "word/name pairs"},
		{"subject of another kind", about("run/b1", &journal.PedalCheck{Feel: "firm"}), "the subject is a run; this kind is about: job"},
		{"person with a space", journal.Draft{Subject: ok.Subject, By: "i o", Data: ok.Data}, "person name"},
		{"empty remark", about("job/j1", &journal.Remark{}), "the field note is missing"},
		{"no photograph", about("job/j1", &journal.Snapshot{}), "add the photograph"},
		{"neither VIN nor plate", about("job/j1", &journal.Job{Vehicle: journal.Vehicle{Looks: "red"}}), "give the VIN or the plate"},
		{"a corner twice", about("job/j1", &journal.Job{Vehicle: vehicle, Corners: []journal.Corner{"LF", "LF"}}), "names LF twice"},
		{"no such corner", about("job/j1", &journal.Job{Vehicle: vehicle, Corners: []journal.Corner{"LF", "FL"}}), "the field corners.1"},
		{"no parts in the oven", about("run/b1", &journal.BakeStart{Set: temperature(t, "200 °C")}), "name the parts"},
		{"a corner in the oven", about("run/b1", &journal.BakeStart{Set: temperature(t, "200 °C"), Rack: journal.Rack{Parts: []journal.Subject{"job/j1/corner/LF"}}}), "is not a part"},
		{"too many parts", about("run/b1", &journal.Cooling{Rack: journal.Rack{Parts: manyParts(journal.MaxParts + 1)}}), "too many for one run"},
		{"too many marks", about("job/j1", manyMarks(t, journal.MaxMarks+1)), "too many for one entry"},
		{"too many marks of a defect", about(part, &journal.Defect{Looks: journal.Chip, Face: "ear", Seen: journal.AtAssembly, Marks: slices.Repeat([]journal.Mark{{Photo: media.Ref{1}, X: share(t), Y: share(t)}}, journal.MaxMarks+1)}), "too many for one entry"},
		{"coat nought", about(part, &journal.Coating{Lot: "l1"}), "the field coat: 0 cannot be right: it must be at least 1"},
		{"plugs below nought", about(part, &journal.Unmasking{Plugs: -1}), "the field plugs: -1 cannot be right: it must be at least 0"},
		{"a class of the other scale", about(part, &journal.AdhesionTest{Scale: "ISO 2409", Class: "5B", On: "coupon"}), `ISO 2409 has no class “5B”; its classes, best first, are 0 1 2 3 4 5`},
		{"fewer readings than times", about("run/b1", &journal.ProbeTrace{Unit: "°C", Seconds: "0 1 2", Channels: []journal.Channel{{Channel: "1", Readings: "20 21"}}}), "channel 1 has 2 readings for 3 times"},
		{"a correction that is no JSON", about("job/j1", &journal.Correction{Of: journal.EntryID{6: 0x70, 8: 0x80}, Reason: "slip", Data: jsontext.Value(`{"joint":`)}), "the field data must be a JSON object"},
		{"a spot without readings", about(part, &journal.FilmReadings{Spots: []journal.Spot{{Place: "bridge"}}}), "the field spots.0.readings is missing"},
		{"an empty word in a list", about("job/j1", &journal.Release{Told: []string{"pads", ""}}), "the field told.1 is missing"},
	} {
		got := problemsOf(t, c.draft.Valid())
		if !strings.Contains(got[0], c.want) {
			t.Errorf("%s: got %q", c.name, got)
		}
	}
}

func temperature(t *testing.T, text string) unit.Temperature {
	t.Helper()
	q, err := unit.Parse[unit.Temperature](text)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

func manyParts(n int) []journal.Subject {
	var parts []journal.Subject
	for i := range n {
		parts = append(parts, journal.About("j1", "NC", journal.PartID("cover"+strings.Repeat("x", i%30)+string(rune('a'+i/30)))))
	}
	return parts
}

func manyMarks(t *testing.T, n int) *journal.PhotoMarks {
	t.Helper()
	mark := journal.Pointed{Photo: media.Ref{1}, Shape: journal.RingMark, X: share(t), Y: share(t), Says: "a chip"}
	return &journal.PhotoMarks{Of: journal.EntryID{6: 0x70, 8: 0x80}, Marks: slices.Repeat([]journal.Pointed{mark}, n)}
}

func share(t *testing.T) unit.Ratio {
	t.Helper()
	half, err := unit.Parse[unit.Ratio]("50 %")
	if err != nil {
		t.Fatal(err)
	}
	return half
}

// Nought is a reading and a count like any other; only nothing is missing.
func TestNoughtIsGiven(t *testing.T) {
	for _, c := range []struct {
		kind journal.Kind
		data string
	}{
		{journal.FilmMeasured, `{"base":"0 µm","spots":[{"place":"bare tab","readings":["0 µm","0.0 mil"]}]}`},
		{journal.BoreUnmasked, `{"plugs":0}`},
		{journal.ClockCompared, `{"device":"t3fz8c1n","offset_ms":0,"round_trip_ms":0}`},
		{journal.DeviceInvited, `{"token":"sha256:` + strings.Repeat("a", 64) + `","expires":"2026-03-02T18:00:00Z"}`},
	} {
		if _, err := journal.ParsePayload(journal.Type{Kind: c.kind, Version: 1}, []byte(c.data)); err != nil {
			t.Errorf("%s: %v", c.data, err)
		}
	}
}

func TestPayloadRefusalsNameTheField(t *testing.T) {
	for _, c := range []struct {
		kind       journal.Kind
		data, want string
	}{
		{journal.TorqueApplied, `{"joint":"banjo bolt","torque":"27","tool":"tw-1"}`,
			`torque.applied: the field torque: “27”: the unit is missing: write for example 27 N·m`},
		{journal.TorqueApplied, `{"joint":"banjo bolt","torque":"27 °C","tool":"tw-1"}`,
			`torque.applied: the field torque: “27 °C”: °C is a temperature; this field needs a torque, for example 27 N·m`},
		{journal.TorqueApplied, `{"joint":"banjo bolt","torque":"27,5 N.m","tool":"tw-1"}`,
			`torque.applied: the field torque: “27,5 N.m”: write 27.5, not 27,5`},
		{journal.FilmMeasured, `{"spots":[{"place":"bridge","readings":["78 µm","81"]}]}`,
			`film.measured: the field spots.0.readings.1: “81”: the unit is missing: write for example 80 µm`},
		{journal.TorqueApplied, `{"joint":"banjo bolt","torgue":"27 N.m","tool":"tw-1"}`,
			"torque.applied: the field torgue is not known; `fettlebook schema` lists the fields of each kind"},
		{journal.TorqueApplied, `{"joint":"banjo bolt","joint":"bleeder","torque":"27 N.m","tool":"tw-1"}`,
			`torque.applied: the field joint is given twice; keep one of them`},
		{journal.TorqueApplied, `{"joint":"banjo bolt","torque":"27 N.m","tool":"tw-1"`,
			`torque.applied: this is not proper JSON: unexpected EOF after offset 53`},
		{journal.TorqueApplied, `{"joint":null,"torque":"27 N.m","tool":"tw-1","count":null}`,
			`torque.applied: the field joint is null; leave it out instead; the field count is null; leave it out instead; the field joint is missing`},
		{journal.TorqueApplied, `{"joint":"bracket","torque":"27 N.m","tool":"tw-1","adapter":{"wrench":"380 mm","offset":"50 mm"}}`,
			`torque.applied: the field adapter.angle is missing`},
		{journal.BoreUnmasked, `{}`, `bore.unmasked: the field plugs is missing`},
		{journal.PartDegreased, `{"agent":"alkaline bath"}`, `part.degreased: the field chlorinated is missing`},
		{journal.WheelFitted, `{"step":"snug, wheel off the ground","nuts":5,"pattern":"zigzag","torque":"20 N.m","tool":"tw-1"}`,
			`wheel.fitted: the field pattern: “zigzag” is not one of: star, cross, in turn`},
		{journal.TorqueApplied, `{"joint":7,"torque":"27 N.m","tool":"tw-1"}`,
			`torque.applied: the field joint must be a text in quotes`},
		{journal.TorqueApplied, `{"joint":"bracket","torque":"27 N.m","tool":"tw-1","count":2.5}`,
			`torque.applied: the field count must be a whole number`},
		{journal.TorqueApplied, `{"joint":"bracket","torque":"27 N.m","tool":"tw-1","count":99999999999999999999}`,
			`torque.applied: the field count must be a whole number`},
		{journal.TorqueApplied, `{"joint":"bracket","torque":"27 N.m","tool":"tw-1","marked":"yes"}`,
			`torque.applied: the field marked must be true or false`},
		{journal.TorqueApplied, `{"joint":"bracket","torque":"27 N.m","tool":"tw-1","adapter":"crowfoot"}`,
			`torque.applied: the field adapter must be an object with fields of its own`},
		{journal.TorqueApplied, `{"joint":"bracket","torque":27,"tool":"tw-1"}`,
			`torque.applied: the field torque must be a text in quotes`},
		{journal.TorqueApplied, `[]`, `torque.applied: the data must be an object with fields of its own`},
		{journal.SeatProved, `{"seats":"banjo face","state":"bare"}`,
			`seat.proved: the field seats must be a list`},
	} {
		_, err := journal.ParsePayload(journal.Type{Kind: c.kind, Version: 1}, []byte(c.data))
		problemsOf(t, err)
		if err.Error() != c.want {
			t.Errorf("%s\n got %s\nwant %s", c.data, err, c.want)
		}
	}
}

// What a draft may say can be read back, so that nothing is written that the
// strict decoder would refuse later.
func TestValidDraftsCanBeReadBack(t *testing.T) {
	for _, d := range slices.Concat(journaltest.Samples(), journaltest.Minimal()) {
		raw, err := journaltest.Golden(d)
		if err != nil {
			t.Fatal(err)
		}
		e, err := journal.Decode(raw)
		if err != nil {
			t.Fatalf("%s: %v", d.Data.Kind(), err)
		}
		if _, err := e.Payload(); err != nil {
			t.Errorf("%v in %s", err, raw)
		}
	}
}
