package bolt_test

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"fettlebook/journal/trade/bolt"
	"fettlebook/journal/trade/tradetest"
	"fettlebook/journal/trade/unit"

	"pgregory.net/rapid"
)

func thread(t rapid.TB, text string) bolt.Thread {
	t.Helper()
	got, err := bolt.ParseThread(text)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// near reports whether got lies within a share of want.
func near(got, want, share float64) bool { return math.Abs(got-want) <= share*math.Abs(want) }

func TestPublishedAreasAndProofLoads(t *testing.T) {
	for _, name := range []string{"bolt/iso898_coarse.csv", "bolt/iso898_fine.csv"} {
		head, rows := tradetest.Published(t, name)
		for _, row := range rows {
			th := thread(t, row[0])
			// Three figures are printed; 14.183 of M5 stands as 14.2.
			if want := tradetest.Number(t, row[1]); !near(th.StressArea(), want, 0.005) {
				t.Errorf("%s: area %.3f mm², want %g", row[0], th.StressArea(), want)
			}
			for i, class := range head[2:] {
				if row[i+2] == "" {
					continue
				}
				got, err := bolt.ProofLoad(th, bolt.Class(class))
				if want := tradetest.Number(t, row[i+2]); err != nil || got.Load != want || got.Source == "" {
					t.Errorf("%s of class %s: %g N by %q, %v; want %g", row[0], class, got.Load, got.Source, err, want)
				}
			}
		}
	}
}

// Every printed load is the area times the proof stress to within what rounding by hand
// does; a slip of a digit is more. Threads that no table has are worked out.
func TestProofLoadsFollowFromAreas(t *testing.T) {
	stress := map[bolt.Class]float64{"4.6": 225, "4.8": 310, "5.6": 280, "5.8": 380, "6.8": 440, "8.8": 580, "9.8": 650, "10.9": 830, "12.9": 970}
	worked := 0
	for _, size := range []string{
		"M3", "M3.5", "M4", "M5", "M6", "M7", "M8", "M8x1", "M10", "M10x1.25", "M10x1", "M12", "M12x1.5", "M12x1.25", "M14", "M14x1.5", "M16", "M16x1.5",
		"M18", "M18x1.5", "M20", "M20x1.5", "M22", "M22x1.5", "M24", "M24x2", "M27", "M27x2", "M30", "M33", "M36", "M39", "M12x1", "M8x0.75",
	} {
		th := thread(t, size)
		for class, mpa := range stress {
			if class == bolt.Class9_8 && th.Diameter > 16 {
				continue
			}
			if class == bolt.Class8_8 && th.Diameter > 16 {
				mpa = 600
			}
			got, err := bolt.ProofLoad(th, class)
			if want := th.StressArea() * mpa; err != nil || !near(got.Load, want, 0.008) {
				t.Errorf("%s of class %s: %g N, %v; area times stress is %.0f", size, class, got.Load, err, want)
			}
			if strings.Contains(got.Source, "have no such bolt") {
				worked++
			}
		}
	}
	if want := 3*len(stress) - 1; worked != want { // M22x1.5 has no 9.8
		t.Errorf("%d loads were worked out, want %d", worked, want)
	}
	_, err := bolt.ProofLoad(thread(t, "M18"), bolt.Class9_8)
	var refused *bolt.Error
	if !errors.As(err, &refused) {
		t.Errorf("class 9.8 of M18: %v, want a refusal", err)
	}
}

func TestClamp(t *testing.T) {
	for _, test := range []struct {
		thread string
		class  bolt.Class
		torque string
		k      float64
		kN     float64
		share  float64 // percent
		over   bool
		source string
	}{
		{"M8", bolt.Class8_8, "25 N.m", 0.20, 15.63, 73.7, false, "computed from T = K·d·F and the printed proof load"},
		{"M8", bolt.Class8_8, "25 N.m", 0.13, 24.04, 113.4, true, "computed: the same torque, lubricated"},
		{"M12x1.25", bolt.Class10_9, "105 N.m", 0.20, 43.75, 57.3, false, "computed"},
		{"M12x1.25", bolt.Class10_9, "105 N.m", 0.15, 58.33, 76.4, false, "computed"},
		{"M12x1.25", bolt.Class10_9, "105 N.m", 0.25, 35.00, 45.8, false, "computed"},
		{"M14x1.5", bolt.Class10_9, "140 N.m", 0.20, 50.0, 48.1, false, "computed"},
	} {
		got, err := bolt.ClampOf(bolt.Bolt{Thread: thread(t, test.thread), Class: test.class}, tradetest.Quantity[unit.Torque](t, test.torque), exactly(test.k, test.source))
		if err != nil || math.Abs(got.Most/1000-test.kN) > 0.0051 || got.Most != got.Least || math.Abs(100*got.MostShare-test.share) > 0.051 {
			t.Errorf("%+v: %+v, %v", test, got, err)
		}
		if test.over != (len(got.Warnings) == 1) {
			t.Errorf("%+v: warnings %q", test, got.Warnings)
		}
		if !strings.Contains(got.Source, test.source) || !strings.Contains(got.Source, "ISO 898-1") {
			t.Errorf("%+v: source %q", test, got.Source)
		}
	}
}

func TestClampSays(t *testing.T) {
	b := bolt.Bolt{Thread: thread(t, "M12x1.25"), Class: bolt.Class10_9}
	got, err := bolt.ClampOf(b, tradetest.Quantity[unit.Torque](t, "105 N.m"), bolt.DrySteel())
	if want := "105 N.m on M12x1.25 of class 10.9 clamps with about 32.4 to 48.6 kN, 42 to 64 % of the proof load"; err != nil || got.Say() != want {
		t.Errorf("got %q, %v", got.Say(), err)
	}
	b.Class = ""
	got, err = bolt.ClampOf(b, tradetest.Quantity[unit.Torque](t, "105 N.m"), exactly(0.25, ""))
	if want := "105 N.m on M12x1.25 clamps with about 35.0 kN; the property class is not known"; err != nil || got.Say() != want || len(got.Warnings) != 1 {
		t.Errorf("got %q, %q, %v", got.Say(), got.Warnings, err)
	}
	for name, k := range map[string]bolt.Friction{"dry": bolt.DrySteel(), "oiled": bolt.Oiled(), "zinc": bolt.ZincPlated(), "flake": bolt.ZincFlake(), "cadmium": bolt.Cadmium()} {
		if _, err := bolt.ClampOf(b, tradetest.Quantity[unit.Torque](t, "105 N.m"), k); err != nil || k.Source == "" {
			t.Errorf("%s: %v, source %q", name, err, k.Source)
		}
	}
}

// A bracket bolt through 25 mm of iron, worked by the embedding loss of VDI 2230 (from
// memory): 2.187e-6 and 0.3e-6 mm/N.
func TestCreepLoss(t *testing.T) {
	given := bolt.Compliance{Bolt: 2.187e-6, Parts: 0.3e-6, Source: "given"}
	for _, test := range []struct {
		creep     string
		kN, share float64
	}{
		{"5 µm", 2.01, 4.6}, {"10 µm", 4.02, 9.2}, {"20 µm", 8.04, 18.4}, {"30 µm", 12.06, 27.6},
	} {
		got, err := bolt.LossBy(tradetest.Quantity[unit.Length](t, test.creep), given, 43750)
		if err != nil || math.Abs(got.Lost/1000-test.kN) > 0.005 || math.Abs(100*got.Share-test.share) > 0.051 {
			t.Errorf("%+v: %+v, %v", test, got, err)
		}
		if warned := test.share >= 10; warned != (len(got.Warnings) == 1) {
			t.Errorf("%+v: warnings %q", test, got.Warnings)
		}
	}
	// A film of 70 µm squeezed by a third takes a fifth of the clamp.
	got, err := bolt.LossBy(tradetest.Quantity[unit.Length](t, "23.3 µm"), given, 43750)
	if err != nil || math.Round(10*got.Share) != 2 {
		t.Errorf("%+v, %v", got, err)
	}
	if want := "creep of 23.3 µm under the head loses 9.4 kN of 43.8 kN, 21 %"; got.Say() != want {
		t.Errorf("says %q", got.Say())
	}
	loose, err := bolt.LossBy(tradetest.Quantity[unit.Length](t, "0.2 mm"), given, 43750)
	if err != nil || loose.Left != 0 || loose.Share != 1 || len(loose.Warnings) != 1 {
		t.Errorf("%+v, %v", loose, err)
	}
}

func TestEstimatedCompliances(t *testing.T) {
	got, err := bolt.Estimate(thread(t, "M12x1.25"), tradetest.Quantity[unit.Length](t, "25 mm"), bolt.DuctileIron)
	if err != nil || !near(got.Bolt, 2.187e-6, 0.001) || !near(got.Parts, 0.3e-6, 0.05) || !got.Estimated {
		t.Errorf("%+v, %v", got, err)
	}
	soft, err := bolt.Estimate(thread(t, "M12x1.25"), tradetest.Quantity[unit.Length](t, "25 mm"), bolt.Aluminium)
	if err != nil || soft.Bolt != got.Bolt || soft.Parts <= 2*got.Parts {
		t.Errorf("aluminium gives way more than twice as much: %+v, %v", soft, err)
	}
	loss, err := bolt.LossBy(tradetest.Quantity[unit.Length](t, "1 mil"), got, 43750)
	if err != nil || !strings.HasSuffix(loss.Say(), "(estimated)") {
		t.Errorf("%q, %v", loss.Say(), err)
	}
}

func TestRefusals(t *testing.T) {
	m12, torque, film := thread(t, "M12"), tradetest.Quantity[unit.Torque](t, "105 N.m"), tradetest.Quantity[unit.Length](t, "20 µm")
	clamp := func(b bolt.Bolt, q unit.Torque, low, high float64) error {
		got, err := bolt.ClampOf(b, q, bolt.Friction{Low: low, High: high})
		if got.Most != 0 {
			t.Errorf("figures beside an error: %+v", got)
		}
		return err
	}
	estimate := func(th bolt.Thread, grip string, part bolt.Material) error {
		var q unit.Length
		if err := q.UnmarshalText([]byte(grip)); err != nil {
			t.Fatal(err)
		}
		_, err := bolt.Estimate(th, q, part)
		return err
	}
	loss := func(creep unit.Length, c bolt.Compliance, n float64) error {
		_, err := bolt.LossBy(creep, c, n)
		return err
	}
	good := bolt.Compliance{Bolt: 2e-6, Parts: 1e-6}
	for _, test := range []struct {
		err  error
		says string
	}{
		{clamp(bolt.Bolt{}, torque, 0.1, 0.2), "the thread, not entered"},
		{clamp(bolt.Bolt{Thread: bolt.Thread{Diameter: 12, Pitch: 9}}, torque, 0.1, 0.2), "the thread, M12x9"},
		{clamp(bolt.Bolt{Thread: m12}, unit.Torque{}, 0.1, 0.2), "the torque, not entered"},
		{clamp(bolt.Bolt{Thread: m12}, tradetest.Quantity[unit.Torque](t, "0 N.m"), 0.1, 0.2), "the torque, 0 N.m"},
		{clamp(bolt.Bolt{Thread: m12}, torque, 0.2, 0.1), "the torque coefficient K, 0.2 to 0.1"},
		{clamp(bolt.Bolt{Thread: m12}, torque, 0, 0.1), "the torque coefficient K, 0 to 0.1"},
		{clamp(bolt.Bolt{Thread: m12}, torque, 2, 2), "the torque coefficient K, 2 to 2"},
		{clamp(bolt.Bolt{Thread: m12}, torque, math.NaN(), 0.2), "the torque coefficient K"},
		{clamp(bolt.Bolt{Thread: m12, Class: "8,8"}, torque, 0.1, 0.2), "the property class, 8,8"},
		{clamp(bolt.Bolt{Thread: thread(t, "M20"), Class: bolt.Class9_8}, torque, 0.1, 0.2), "the property class, 9.8"},
		{estimate(bolt.Thread{}, "25 mm", bolt.Steel), "the thread, not entered"},
		{estimate(m12, "", bolt.Steel), "the grip, not entered"},
		{estimate(m12, "25 in", bolt.Steel), "the grip, 25 in"},
		{estimate(m12, "25 mm", "cheese"), "the material, cheese"},
		{loss(unit.Length{}, good, 1e4), "the creep, not entered"},
		{loss(tradetest.Quantity[unit.Length](t, "20 mm"), good, 1e4), "the creep, 20 mm"},
		{loss(film, bolt.Compliance{Bolt: 1e-6}, 1e4), "the compliances, 1e-06 and 0 mm/N"},
		{loss(film, good, 0), "the clamp, 0 N"},
		{loss(film, good, math.Inf(1)), "the clamp, +Inf N"},
	} {
		var refused *bolt.Error
		if !errors.As(test.err, &refused) || !strings.HasPrefix(test.err.Error(), test.says) {
			t.Errorf("want %q, got %v", test.says, test.err)
		}
	}
}

func TestParseThread(t *testing.T) {
	for text, want := range map[string]bolt.Thread{
		"M12x1.25":      {Diameter: 12, Pitch: 1.25},
		"M12×1.25":      {Diameter: 12, Pitch: 1.25},
		" m 12 X 1.25 ": {Diameter: 12, Pitch: 1.25},
		"M10":           {Diameter: 10, Pitch: 1.5},
		"M10x1.50":      {Diameter: 10, Pitch: 1.5},
		"M3.5":          {Diameter: 3.5, Pitch: 0.6},
		"M39":           {Diameter: 39, Pitch: 4},
	} {
		if got, err := bolt.ParseThread(text); err != nil || got != want {
			t.Errorf("%q: %v, %v; want %v", text, got, err, want)
		}
	}
	for text, problem := range map[string]string{
		"":         `the thread, "": write an ISO metric thread such as M12x1.25, or M10 for the coarse pitch`,
		"12x1.25":  `the thread, "12x1.25": write an ISO metric thread such as M12x1.25, or M10 for the coarse pitch`,
		"M":        `the thread, "M": the diameter after M is not a number: write for example M12x1.25`,
		"M1e1":     `the thread, "M1e1": the diameter after M is not a number: write for example M12x1.25`,
		"M12x":     `the thread, "M12x": the pitch after x is not a number: write for example M12x1.25`,
		"M12x1,25": `the thread, "M12x1,25": the pitch after x is not a number: write for example M12x1.25`,
		"M12x125":  `the thread, "M12x125": M12 has a pitch of 1.75, 1.5, 1.25 or 1 mm`,
		"M13":      `the thread, "M13": there is no thread of this diameter between M3 and M39: measure again across the thread`,
	} {
		var refused *bolt.Error
		if got, err := bolt.ParseThread(text); !errors.As(err, &refused) || err.Error() != problem || !got.IsZero() {
			t.Errorf("%q: %v, %v", text, got, err)
		}
	}
}

func TestThreadInJSON(t *testing.T) {
	type payload struct {
		Thread bolt.Thread `json:"thread,omitzero"`
	}
	var p payload
	if err := json.Unmarshal([]byte(`{"thread":"M10"}`), &p); err != nil || p.Thread.Pitch != 1.5 {
		t.Errorf("read %v, %v", p.Thread, err)
	}
	if text, err := json.Marshal(p); err != nil || string(text) != `{"thread":"M10x1.5"}` {
		t.Errorf("wrote %s, %v", text, err)
	}
	if text, err := json.Marshal(payload{}); err != nil || string(text) != `{}` {
		t.Errorf("no thread is written as %s, %v", text, err)
	}
	var refused *bolt.Error
	if err := json.Unmarshal([]byte(`{"thread":"M13"}`), &p); !errors.As(err, &refused) || p.Thread.Pitch != 1.5 {
		t.Errorf("a wrong thread gave %v and left %v", err, p.Thread)
	}
}

func TestUnitDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nm := float64(rapid.IntRange(50, 2000).Draw(t, "tenths")) / 10
		b := bolt.Bolt{Thread: thread(t, "M12x1.25"), Class: bolt.Class10_9}
		metric, err := bolt.ClampOf(b, tradetest.Quantity[unit.Torque](t, unit.Format(nm, unit.NewtonMetre, 1)), bolt.Oiled())
		if err != nil {
			t.Fatal(err)
		}
		feet := unit.Format(nm/1.3558179483314, unit.PoundForceFoot, 9)
		again, err := bolt.ClampOf(b, tradetest.Quantity[unit.Torque](t, feet), bolt.Oiled())
		if err != nil || !near(again.Most, metric.Most, 1e-7) || !near(again.Least, metric.Least, 1e-7) {
			t.Fatalf("%s: %+v, %v; want %+v", feet, again, err, metric)
		}
		if metric.Least > metric.Most || (metric.MostShare > 1) != (len(metric.Warnings) == 1) {
			t.Fatalf("%+v", metric)
		}
	})
}

func FuzzParseThread(f *testing.F) {
	f.Fuzz(func(t *testing.T, text string) {
		got, err := bolt.ParseThread(text)
		if (err == nil) == got.IsZero() {
			t.Fatalf("%q: %v, %v", text, got, err)
		}
		if err != nil {
			return
		}
		if again, err := bolt.ParseThread(got.String()); err != nil || again != got {
			t.Fatalf("%q is parsed again as %v, %v", got, again, err)
		}
		if proof, err := bolt.ProofLoad(got, bolt.Class8_8); err != nil || !(proof.Load > 2000 && proof.Load < 700000) {
			t.Fatalf("%v: proof load %g, %v", got, proof.Load, err)
		}
	})
}

// exactly is one coefficient of friction, with which somebody else computed a figure.
func exactly(k float64, source string) bolt.Friction {
	return bolt.Friction{Low: k, High: k, Source: source}
}
