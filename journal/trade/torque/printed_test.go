package torque_test

import (
	"testing"

	"fettlebook/journal/trade/torque"
	"fettlebook/journal/trade/unit"
)

// Figures that are printed without limits, or with an angle, are judged by a
// convention, which the sentence names; they are never inside the maker's limits.
func TestAsPrinted(t *testing.T) {
	for name, test := range map[string]struct {
		reading string // empty for none
		turned  float64
		spec    torque.Spec
		want    torque.Verdict
		say     string
	}{
		"one number": {"105 N.m", 0, torque.Spec{Nominal: nm(t, "105 N.m"), Source: "manual"}, torque.AsPrinted,
			"105 N.m is set to the printed figure, 105 N.m (no tolerance is printed: by convention within the tool’s own ±4 %, 100.8 N·m to 109.2 N·m)"},
		"at the end of the convention": {"109.2 N.m", 0, torque.Spec{Nominal: nm(t, "105 N.m"), Source: "manual"}, torque.AsPrinted,
			"109.2 N.m is set to the printed figure, 105 N.m (no tolerance is printed: by convention within the tool’s own ±4 %, 100.8 N·m to 109.2 N·m)"},
		"beyond it": {"110 N.m", 0, torque.Spec{Nominal: nm(t, "105 N.m"), Source: "manual"}, torque.Outside,
			"110 N.m is not the printed figure, 105 N.m (no tolerance is printed: by convention within the tool’s own ±4 %, 100.8 N·m to 109.2 N·m)"},
		"torque and angle": {"50 N.m", 92, torque.Spec{Nominal: nm(t, "50 N.m"), Angle: 90, Source: "manual"}, torque.AsPrinted,
			"50 N.m is set to the printed figure, 50 N.m (no tolerance is printed: by convention within the tool’s own ±4 %, 48.0 N·m to 52.0 N·m), then turned a further 92°, as the 90° printed (by convention within 5°)"},
		"a range and an angle": {"50 N.m", 60, torque.Spec{Low: nm(t, "45 N.m"), High: nm(t, "55 N.m"), Angle: 90, Source: "manual"}, torque.Outside,
			"50 N.m is inside 45.0 N·m to 55.0 N·m, then turned a further 60° and not the 90° printed (by convention within 5°)"},
		"an angle alone": {"", 90, torque.Spec{Angle: 90, Source: "manual"}, torque.AsPrinted,
			"turned a further 90°, as the 90° printed (by convention within 5°)"},
		"an angle alone, without a source": {"", 90, torque.Spec{Angle: 90}, torque.NotProven,
			"turned a further 90°, as the 90° printed (by convention within 5°) is not proven: the specification has no source: name the manual’s page, the label, or the customer who supplied it"},
		"an angle that is not printed": {"105 N.m", 90, between(t, "90 N.m", "120 N.m"), torque.Outside,
			"105 N.m is inside 90.0 N·m to 120.0 N·m, then turned a further 90°, and the figure asks for no angle"},
	} {
		use := torque.Use{At: used, Turned: test.turned}
		if test.reading != "" {
			use.Reading = nm(t, test.reading)
		}
		got, err := torque.Judge(use, test.spec, wrench(t))
		if err != nil || got.Verdict != test.want || got.Say() != test.say {
			t.Errorf("%s: %v, %v\n got %q\nwant %q", name, got.Verdict, err, got.Say(), test.say)
		}
	}
	if _, err := torque.Judge(torque.Use{At: used, Reading: unit.Torque{}}, torque.Spec{Angle: 90, Source: "manual"}, wrench(t)); err == nil {
		t.Error("a bolt that was neither set nor turned is judged")
	}
}
