package form_test

import (
	"maps"
	"net/url"
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/form"
	"fettlebook/journal"
)

// with is a copy of values in which some have another text.
func with(v form.Values, pairs ...string) form.Values {
	c := maps.Clone(v)
	for i := 0; i < len(pairs); i += 2 {
		c[pairs[i]] = []string{pairs[i+1]}
	}
	return c
}

// TestBadInput: what is wrong is said at its field in one sentence, and keeps
// the data from being made.
func TestBadInput(t *testing.T) {
	torque := form.Values{"joint": {"banjo bolt"}, "torque": {"27"}, "torque.unit": {"N.m"}, "tool": {"tw-1"}}
	soak := form.Values{"set": {"200"}, "held": {"45"}}
	masked := form.Values{"plugs": {"6"}}
	film := form.Values{"spots.0.place": {"flank"}}
	check := form.Values{"tool": {"tw-1"}, "result": {"in tolerance"}}
	const comma = "Row 1: 7,9 has a comma; put a space between two readings, and a point in a decimal such as 7.9."
	for _, trial := range []struct {
		kind  journal.Kind
		v     form.Values
		field string
		says  string
	}{
		{journal.TorqueApplied, with(torque, "torque", "27,5"), "torque", "Write 27.5, not 27,5."},
		{journal.TorqueApplied, with(torque, "torque", "tight"), "torque", `“tight” does not begin with a number, such as 27 or 27.5.`},
		{journal.TorqueApplied, with(torque, "torque", "N.m"), "torque", `“N.m” does not begin with a number, such as 27 or 27.5.`},
		{journal.TorqueApplied, with(torque, "torque", "-"), "torque", `“-” does not begin with a number, such as 27 or 27.5.`},
		{journal.TorqueApplied, with(torque, "torque", "27 °C"), "torque", "°C is a temperature; this field needs a torque, for example 27 N·m."},
		{journal.TorqueApplied, with(torque, "torque", "27nm"), "torque", "nm is not a unit known here: capitals matter here, write Nm."},
		{journal.TorqueApplied, with(torque, "torque.unit", "furlong"), "torque", `“furlong” is not a unit known here: write a torque with one of N·m, lb·ft, lb·in, daN·m, kgf·m.`},
		{journal.TorqueApplied, with(torque, "torque", "-5"), "torque", "A torque cannot be negative: leave out the minus sign."},
		{journal.TorqueApplied, with(torque, "torque", "1.2.3"), "torque", "1.2.3 has more than one decimal point: write one or none."},
		{journal.TorqueApplied, with(torque, "torque", "5."), "torque", "5. needs a digit on both sides of the decimal point: write for example 0.5."},
		{journal.TorqueApplied, with(torque, "torque", "1e9"), "torque", "An exponent is not accepted: write the number in full."},
		{journal.TorqueApplied, with(torque, "torque", "2 7"), "torque", "The number is broken by a space: write it in one piece."},
		{journal.TorqueApplied, with(torque, "torque", " "), "torque", "Fill this in."},
		{journal.TorqueApplied, with(torque, "tool", ""), "tool", "Choose one."},
		{journal.TorqueApplied, with(torque, "tool", "tw/1"), "tool", `The tool name “tw/1” may have letters, digits, dots, dashes and underscores only, and must start with a letter or digit.`},
		{journal.TorqueApplied, with(torque, "pattern", "zigzag"), "pattern", `“zigzag” is not one of the answers; choose one of: star, cross, in turn.`},
		{journal.TorqueApplied, with(torque, "count", "two"), "count", `“two” is not a whole number. Use digits.`},
		{journal.TorqueApplied, with(torque, "count", "2.5"), "count", `“2.5” is not a whole number. Use digits.`},
		{journal.TorqueApplied, with(torque, "count", "-1"), "count", "-1 cannot be right: it must be at least 1, since a joint has a bolt, and none of a vehicle has more. Check the number."},
		{journal.TorqueApplied, with(torque, "adapter.offset", "45", "adapter.offset.unit", "mm", "adapter.angle", "0"), "adapter.wrench", "Complete this, or clear the fields that go with it."},
		{journal.TorqueApplied, with(torque, "adapter.wrench", "400", "adapter.offset", "45", "adapter.angle", "900"), "adapter.angle", "900 cannot be right: it must be at most 180, since an offset end is straight on at 0° and folded back at 180°. Check the number."},
		{journal.TorqueApplied, with(torque, "count", "0"), "count", "0 cannot be right: it must be at least 1, since a joint has a bolt, and none of a vehicle has more. Check the number."},
		{journal.TorqueApplied, with(torque, "torque", "10000000000000000000000"), "torque", "10000000000000000000000 N.m cannot be right: it must be at most 2000 N·m, since fingers give the one, and a person on a bar of 2 m the other. Check the number and its unit."},
		{journal.TorqueApplied, with(torque, "torque", "2000 lb·ft"), "torque", "2000 lb·ft cannot be right: it must be at most 1475 lb·ft, since fingers give the one, and a person on a bar of 2 m the other. Check the number and its unit."},
		{journal.TorqueApplied, with(torque, "joint", "a\xff"), "joint", "This holds something that is not text; type it again."},
		{journal.TorqueApplied, with(torque, "note", strings.Repeat("µ", journal.MaxText+1)), "note", "This has 4001 characters; shorten it to 4000."},
		{journal.PartSoaked, with(soak, "set", "−300"), "set", "This is below absolute zero, -273.15 °C: check the number and the sign."},
		{journal.PartSoaked, with(soak, "set", "-500", "set.unit", "°F"), "set", "This is below absolute zero, -459.67 °F: check the number and the sign."},
		{journal.PartSoaked, with(soak, "set", "200 °"), "set", "° alone may be °C or °F: write which."},
		{journal.PartSoaked, with(soak, "held", "20 m"), "held", "m is the metre: write min for minutes."},
		{journal.VehicleRaised, form.Values{"points": {"sills"}, "stands": {"0"}}, "stands", "0 cannot be right: it must be at least 1, since a vehicle on stands stands on one at least, and on no more. Check the number."},
		{journal.VehicleReleased, form.Values{"odometer": {"63.120"}}, "odometer", "63.120 can be read in two ways: write 63120 or 63.12."},
		{journal.TorqueApplied, with(torque, "count", "1,200"), "count", `“1,200” is not a whole number. Use digits.`},
		{journal.VehicleReleased, form.Values{"odometer": {"84,210"}}, "odometer", "84,210 can be read in two ways: write 84210 or 84.210, without a comma."},
		{journal.PowderApplied, form.Values{"lot": {"pw-1"}, "coat": {"1"}, "humidity": {"200"}, "humidity.unit": {"%"}}, "humidity", "200 % cannot be right: it must be at most 100 %, since it is a share of a whole. Check the number and its unit."},
		{journal.ReservoirTopped, form.Values{"before": {"50"}, "after": {"1000 %"}}, "after", "1000 % cannot be right: it must be at most 200 %, since a reservoir ends below MIN, and has no more room above MAX than below it. Check the number and its unit."},
		{journal.BoreMasked, masked, "features", "Give at least one."},
		{journal.BoreMasked, with(masked, "features.0.what", "pin bore"), "features", "Row 1: How many: pin bore?"},
		{journal.BoreMasked, with(masked, "features.0.count", "2"), "features", "Row 1: Fill in “What” too."},
		{journal.BoreMasked, with(masked, "features.0.what", "pin bore", "features.0.count", "0"), "features", "Row 1: 0 cannot be right: it must be at least 1, since what is not there is left out, and nobody counts more by hand. Check the number."},
		{journal.BoreMasked, with(masked, "features.1000.what", "pin bore", "features.1000.count", "1"), "features", "A form holds 1000 rows; write the rest in another entry."},
		{journal.VehicleReceived, form.Values{"found.0": {"torn boot"}, "found.1": {"a\xff"}, "agreed": {"yes"}}, "found", "Row 2: This holds something that is not text; type it again."},
		{journal.FilmMeasured, with(film, "spots.0.readings", "82 7,9 84", "spots.0.readings.unit", "µm"), "spots", comma},
		{journal.FilmMeasured, with(film, "spots.0.readings", "82"), "", ""},
		{journal.FilmMeasured, with(film, "spots.0.readings", "82", "spots.3.place", "ear", "spots.3.readings", "82 80mm"), "spots", "Row 4: 80mm cannot be right: it must be at most 5 mm, since gauges of film end there. Check the number and its unit."},
		{journal.FilmMeasured, with(film, "spots.0.readings", "82", "spots.3.place", "ear", "spots.3.readings", "82 °C"), "spots", "Row 4: °C is a temperature; this field needs a length, for example 80 µm."},
		{journal.FilmMeasured, with(film, "spots.0.readings", "-82"), "spots", "Row 1: A length cannot be negative: leave out the minus sign."},
		{journal.AdhesionTested, form.Values{"scale": {"ISO 2409"}, "class": {"5B"}, "on": {"coupon"}}, "class", `ISO 2409 has no class “5B”; its classes, best first, are 0 1 2 3 4 5.`},
		{journal.ToolChecked, with(check, "due", "30.9.2027"), "due", `“30.9.2027” is not a day such as 2026-03-02.`},
		{journal.ToolChecked, with(check, "due", "2027-02-30"), "due", `“2027-02-30” is not a day such as 2026-03-02.`},
		{journal.NoteMade, form.Values{}, "note", "Fill this in."},
		{journal.PartDegreased, form.Values{"agent": {"hot wash"}, "chlorinated": {"perhaps"}}, "chlorinated", "Choose one."},
		{journal.PersonAdded, form.Values{"person": {"mk"}, "initials": {"MK"}, "duties": {"bench", "king"}}, "duties", `“king” is not one of the answers; choose one of: bench, desk, second check, waive, release, owner.`},
		{journal.JobOpened, form.Values{}, "vehicle.plate", "Give the VIN or the plate, so that the vehicle can be found again."},
		{journal.JobOpened, form.Values{"vehicle.plate": {"TRL 4471"}, "corners": {"LF", "LF"}}, "corners", "This names LF twice."},
		{journal.BakeStarted, form.Values{"set": {"200"}}, "", "Name the parts that went into the oven."},
		{journal.PhotoTaken, form.Values{}, "", "Add the photograph."},
		{journal.PhotoWithdrawn, form.Values{"reason": {"the customer asked for it"}}, "photo", "This page no longer knows what it is about. Open it again."},
		{journal.SecondChecked, form.Values{"finds": {"right"}}, "of", "Choose one."},
	} {
		data, problems := sheet(t, trial.kind).Data(trial.v)
		want := form.Problems{trial.field: trial.says}
		if trial.says == "" {
			want = form.Problems{}
		}
		if (data == nil) != (len(want) > 0) || !maps.Equal(problems, want) {
			t.Errorf("%s %.200q:\n got %q\nwant %q", trial.kind, trial.v, problems, want)
		}
	}
}

// TestAllAtOnce: one mistake does not hide another, not even one that only
// all fields together show.
func TestAllAtOnce(t *testing.T) {
	_, got := sheet(t, journal.TorqueApplied).Data(form.Values{"torque": {"27,5"}, "count": {"two"}, "adapter.offset": {"45 mm"}})
	again := "Complete this, or clear the fields that go with it."
	want := form.Problems{"torque": "Write 27.5, not 27,5.", "count": `“two” is not a whole number. Use digits.`,
		"joint": "Fill this in.", "adapter.wrench": again, "adapter.angle": again}
	if !maps.Equal(got, want) {
		t.Errorf("got %q\nwant %q", got, want)
	}
	_, got = sheet(t, journal.AdhesionTested).Data(form.Values{"scale": {"ISO 2409"}, "class": {"5B"}})
	if len(got) != 2 || got["on"] != "Choose one." || !strings.Contains(got["class"], "no class") {
		t.Errorf("got %q", got)
	}
}

// TestAsTyped: numbers and units go into the journal as they were typed.
func TestAsTyped(t *testing.T) {
	torque := form.Values{"joint": {" banjo bolt "}, "tool": {"tw-1"}, "torque.unit": {"N.m"}}
	for _, trial := range []struct {
		kind journal.Kind
		v    form.Values
		want string
	}{
		{journal.TorqueApplied, with(torque, "torque", "80.0 lbf.ft", "marked", "yes"), `{"joint":"banjo bolt","marked":true,"tool":"tw-1","torque":"80.0 lbf.ft"}`},
		{journal.TorqueApplied, with(torque, "torque", "027.50"), `{"joint":"banjo bolt","tool":"tw-1","torque":"027.50 N.m"}`},
		{journal.TorqueApplied, with(torque, "torque", "80lbf·ft"), `{"joint":"banjo bolt","tool":"tw-1","torque":"80lbf·ft"}`},
		{journal.TorqueApplied, with(torque, "torque", "27", "marked", "no"), `{"joint":"banjo bolt","tool":"tw-1","torque":"27 N.m"}`},
		{journal.VehicleReleased, form.Values{"odometer": {"63\u202f120"}}, "{\"odometer\":\"63\u202f120 km\"}"},
		{journal.VehicleReleased, form.Values{"odometer": {"1.063.120 mi"}}, `{"odometer":"1.063.120 mi"}`},
		{journal.ToolChecked, form.Values{"tool": {"tw-1"}, "result": {"in tolerance"}, "cycles": {"5 004"}}, `{"cycles":5004,"result":"in tolerance","tool":"tw-1"}`},
		{journal.PartCooled, form.Values{"to": {"−3 °C"}}, `{"to":"−3 °C"}`},
		{journal.PartCooled, form.Values{"to": {"−3"}, "to.unit": {"°F"}}, `{"to":"−3 °F"}`},
		{journal.FilmMeasured, form.Values{"spots.0.place": {"flank"}, "spots.0.readings": {"82 79; 3.1 mil"}, "spots.0.readings.unit": {"µm"}, "spots.1.place": {""}},
			`{"spots":[{"place":"flank","readings":["82 µm","79 µm","3.1 mil"]}]}`},
		{journal.FilmMeasured, form.Values{"spots.4.place": {"flank"}, "spots.4.readings": {"3.1, 3.0,\t3.2"}, "spots.4.readings.unit": {"mil"}},
			`{"spots":[{"place":"flank","readings":["3.1 mil","3.0 mil","3.2 mil"]}]}`},
		{journal.PowderReceived, form.Values{"lot": {"pw-1"}, "colour": {"red"}, "chemistry": {"epoxy"}, "schedule.0.metal": {"180"}, "schedule.0.metal.unit": {"°C"}, "schedule.0.hold": {"20"}, "schedule.0.hold.unit": {"min"}},
			`{"chemistry":"epoxy","colour":"red","lot":"pw-1","schedule":[{"hold":"20 min","metal":"180 °C"}]}`},
		{journal.PersonAdded, form.Values{"person": {"mk"}, "initials": {"MK"}, "duties": {"bench", "waive"}},
			`{"duties":["bench","waive"],"initials":"MK","person":"mk"}`},
		{journal.JobOpened, form.Values{"vehicle.plate": {"TRL 4471"}, "route": {"2"}, "edition": {"3"}},
			`{"edition":3,"route":"2","vehicle":{"plate":"TRL 4471"}}`},
		{journal.LineOpened, form.Values{"at": {"banjo"}, "nobody": {"knows this"}, "at.0": {"x"}}, `{"at":"banjo"}`},
	} {
		data, problems := sheet(t, trial.kind).Data(trial.v)
		if len(problems) > 0 || string(data) != trial.want {
			t.Errorf("%s %v: got %s, %v", trial.kind, trial.v, data, problems)
		}
	}
}

// FuzzTyped posts anything to the form of any kind. What becomes data the
// journal takes, and typing it again gives the same.
func FuzzTyped(f *testing.F) {
	kinds := slices.Collect(journal.Kinds())
	for i := range kinds {
		f.Add(byte(i), "joint=banjo&torque=27,5&tool=tw-1&set=−3+°C&count=two&note=x&plugs=6")
		f.Add(byte(i), "spots.0.place=a&spots.0.readings=82+79+3.1mil&features.63.count=1e9&corners=LF&corners=LF&seats.0=%ff&of=x")
	}
	f.Fuzz(func(t *testing.T, which byte, posted string) {
		typed, _ := url.ParseQuery(posted) // what can be read of it is posted
		s, err := form.Of(kinds[int(which)%len(kinds)])
		if err != nil {
			return
		}
		v := form.Values(typed)
		data, problems := s.Data(v)
		s.View(v, problems, form.Known{})
		if (data == nil) != (len(problems) > 0) {
			t.Fatalf("data %s with problems %v", data, problems)
		}
		if data == nil {
			return
		}
		if _, err := journal.ParsePayload(journal.Type{Kind: s.Kind, Version: s.Kind.Version()}, data); err != nil {
			t.Fatal(err)
		}
		if again, problems := s.Data(s.Values(data)); string(again) != string(data) {
			t.Fatalf("%s typed again is %s, %v", data, again, problems)
		}
	})
}
