package bleed_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal/trade/bleed"
	"fettlebook/journal/trade/tradetest"
	"fettlebook/journal/trade/unit"

	"pgregory.net/rapid"
)

var usual = []bleed.Corner{bleed.RR, bleed.LR, bleed.RF, bleed.LF}

func TestOrder(t *testing.T) {
	for _, test := range []struct {
		vehicle bleed.Vehicle
		say     string // common practice but where a manual is given
	}{
		{bleed.Vehicle{Driver: bleed.Left, Split: bleed.FrontRear}, "bleed RR, LR, RF, LF: farthest from the master cylinder first, shop default"},
		{bleed.Vehicle{Driver: bleed.Right, Split: bleed.FrontRear}, "bleed LR, RR, LF, RF: farthest from the master cylinder first, shop default"},
		{bleed.Vehicle{Driver: bleed.Left, Split: bleed.Diagonal}, "bleed RR, LF, LR, RF: circuit by circuit, farthest wheel first, shop default"},
		{bleed.Vehicle{Driver: bleed.Right, Split: bleed.Diagonal}, "bleed LR, RF, RR, LF: circuit by circuit, farthest wheel first, shop default"},
		{bleed.Vehicle{Manual: []bleed.Corner{bleed.LF, bleed.RF, bleed.LR, bleed.RR}}, "bleed LF, RF, LR, RR: the vehicle’s manual"},
		{bleed.Vehicle{Driver: bleed.Left, Split: bleed.Diagonal, Manual: []bleed.Corner{bleed.LF, bleed.RF, bleed.LR, bleed.RR}}, "bleed LF, RF, LR, RR: the vehicle’s manual"},
	} {
		got, err := bleed.OrderOf(test.vehicle)
		if err != nil || got.Say() != test.say || (len(got.Warnings) == 0) != (test.vehicle.Manual != nil) {
			t.Errorf("%+v: %q, %q, %v", test.vehicle, got.Say(), got.Warnings, err)
		}
	}
}

func TestOrderRefusals(t *testing.T) {
	for says, v := range map[string]bleed.Vehicle{
		`the split, "": `:                         {Driver: bleed.Left},
		`the driver’s side, "middle": `:           {Driver: "middle", Split: bleed.FrontRear},
		`the corner, "FL": it must be LF`:         {Manual: []bleed.Corner{"FL"}},
		"the manual’s order, RR, RR: RR is named": {Manual: []bleed.Corner{bleed.RR, bleed.RR}},
		"the manual’s order, RR, LR: name all":    {Manual: []bleed.Corner{bleed.RR, bleed.LR}},
	} {
		got, err := bleed.OrderOf(v)
		var refused *bleed.Error
		if !errors.As(err, &refused) || !strings.HasPrefix(err.Error(), says) || got.Corners != nil {
			t.Errorf("%+v: %v", v, err)
		}
	}
}

// twoAtLF is a vehicle with two bleeder screws at LF, which are told apart, and
// at RF, which are not.
func twoAtLF() map[bleed.Corner]bleed.Bleeders {
	return map[bleed.Corner]bleed.Bleeders{bleed.LF: {Names: []string{"inner", "outer"}}, bleed.RF: {Count: 2}}
}

func TestComplete(t *testing.T) {
	const banjo = "banjo"
	open, shut := bleed.Opened, bleed.Closed
	inner, outer := bleed.BledAt(bleed.LF, bleed.Screws{Which: "inner"}), bleed.BledAt(bleed.LF, bleed.Screws{Which: "outer"})
	some := func(n int) bleed.Event { return bleed.BledAt(bleed.RF, bleed.Screws{Many: n}) }
	for name, test := range map[string]struct {
		events   []bleed.Event
		complete bool
		say      string
		warnings int
	}{
		"nothing happened": {nil, true, "no line was opened, so nothing needs bleeding", 0},
		"as it should be": {[]bleed.Event{
			open(bleed.RR, banjo), open(bleed.LR, banjo), shut(bleed.RR, banjo), shut(bleed.LR, banjo),
			bleed.Topped(), bleed.Bled(bleed.RR), bleed.Topped(), bleed.Bled(bleed.LR),
		}, true, "bled after the last opening: RR, LR", 0},
		"not bled": {[]bleed.Event{open(bleed.RR, banjo), shut(bleed.RR, banjo)}, false, "RR must be bled: the banjo at RR was opened", 0},
		"opened again afterwards": {[]bleed.Event{
			open(bleed.RR, banjo), shut(bleed.RR, banjo), bleed.Bled(bleed.RR), open(bleed.RR, banjo), shut(bleed.RR, banjo),
		}, false, "RR must be bled: the banjo at RR was opened", 0},
		"bled while open": {[]bleed.Event{open(bleed.RR, banjo), bleed.Bled(bleed.RR), shut(bleed.RR, banjo)}, false,
			"RR must be bled: it was bled while the banjo at RR was open", 0},
		"still open": {[]bleed.Event{open(bleed.RR, "")}, false,
			"RR must be bled: the line at RR was opened; the line at RR is still open", 0},
		"closed without having been opened": {[]bleed.Event{bleed.Bled(bleed.RR), shut(bleed.RR, banjo)}, false,
			"RR must be bled: the banjo at RR was closed and must have been open before", 0},
		"bubbles":                              {[]bleed.Event{bleed.Bled(bleed.RR), bleed.Bubbled(bleed.RR)}, false, "RR must be bled: bubbles still came", 0},
		"one screw of two":                     {[]bleed.Event{inner}, false, "LF must be bled: only 1 of its 2 bleeder screws bled (inner), still to do: outer", 0},
		"the same screw twice":                 {[]bleed.Event{inner, inner}, false, "LF must be bled: only 1 of its 2 bleeder screws bled (inner), still to do: outer", 0},
		"both screws":                          {[]bleed.Event{outer, inner}, true, "bled after the last opening: LF", 0},
		"all of a corner, whatever it has":     {[]bleed.Event{bleed.Bled(bleed.LF)}, true, "bled after the last opening: LF", 0},
		"one screw, and nobody said which":     {[]bleed.Event{some(1), some(1)}, false, "RF must be bled: only 1 of its 2 bleeder screws bled", 0},
		"two screws, and nobody said which":    {[]bleed.Event{some(2)}, true, "bled after the last opening: RF", 0},
		"air between the screws":               {[]bleed.Event{inner, open(bleed.LF, banjo), shut(bleed.LF, banjo), outer}, false, "LF must be bled: only 1 of its 2 bleeder screws bled (outer), still to do: inner", 0},
		"the first screw while a line is open": {[]bleed.Event{open(bleed.LF, banjo), inner, shut(bleed.LF, banjo), outer}, false, "LF must be bled: only 1 of its 2 bleeder screws bled (outer), still to do: inner", 0},
		"one screw again after both":           {[]bleed.Event{inner, outer, inner}, true, "bled after the last opening: LF", 0},
		"ran dry": {[]bleed.Event{bleed.Bled(bleed.RR), bleed.RanDry(), bleed.Bled(bleed.RR), bleed.Topped(), bleed.Bled(bleed.LR), bleed.Topped(), bleed.Bled(bleed.RF)}, false,
			"LF must be bled: the reservoir ran dry", 0},
		"master cylinder": {[]bleed.Event{
			bleed.Bled(bleed.RR), open("", "master cylinder"), bleed.Bled(bleed.RR), shut("", "master cylinder"),
		}, false, "RR must be bled: it was bled while the master cylinder ahead of all corners was open; " +
			"LR must be bled: the master cylinder ahead of all corners was opened; " +
			"RF must be bled: the master cylinder ahead of all corners was opened; " +
			"LF must be bled: the master cylinder ahead of all corners was opened", 0},
		"no look at the reservoir": {[]bleed.Event{bleed.Bled(bleed.RR), bleed.Bled(bleed.LR)}, true, "bled after the last opening: RR, LR", 1},
		"the same corner twice":    {[]bleed.Event{bleed.Bled(bleed.RR), bleed.Bled(bleed.RR)}, true, "bled after the last opening: RR", 0},
		"out of order": {[]bleed.Event{
			open(bleed.RR, banjo), open(bleed.LF, banjo), shut(bleed.RR, banjo), shut(bleed.LF, banjo),
			bleed.Bled(bleed.LF), bleed.Topped(), bleed.Bled(bleed.RR),
		}, true, "bled after the last opening: RR, LF", 1},
	} {
		got, err := bleed.Complete(test.events, usual, twoAtLF())
		if err != nil || got.Complete != test.complete || got.Say() != test.say || len(got.Warnings) != test.warnings {
			t.Errorf("%s: %v, %q, %v\n got %q\nwant %q", name, got.Complete, got.Warnings, err, got.Say(), test.say)
		}
	}
}

func TestCompleteRefusals(t *testing.T) {
	for _, test := range []struct {
		events []bleed.Event
		order  []bleed.Corner
		says   string
	}{
		{nil, usual[:3], "the manual’s order, RR, LR, RF: "},
		{[]bleed.Event{{}}, usual, "an event, without a kind: "},
		{[]bleed.Event{bleed.Bled("")}, usual, `the corner, "": `},
		{[]bleed.Event{bleed.Opened("XX", "hose")}, usual, `the corner, "XX": `},
	} {
		_, err := bleed.Complete(test.events, test.order, nil)
		var refused *bleed.Error
		if !errors.As(err, &refused) || !strings.HasPrefix(err.Error(), test.says) {
			t.Errorf("want %q, got %v", test.says, err)
		}
	}
}

func TestOpeningAfterTheLastBleedIsNeverComplete(t *testing.T) {
	corner := rapid.SampledFrom(usual)
	event := rapid.Custom(func(t *rapid.T) bleed.Event {
		c := corner.Draw(t, "corner")
		return rapid.SampledFrom([]bleed.Event{
			bleed.Opened(c, "banjo"), bleed.Closed(c, "banjo"), bleed.Bled(c), bleed.Bubbled(c), bleed.Topped(), bleed.RanDry(),
		}).Draw(t, "event")
	})
	rapid.Check(t, func(t *rapid.T) {
		before := rapid.SliceOfN(event, 0, 20).Draw(t, "before")
		after := rapid.SliceOfN(event, 0, 10).Draw(t, "after")
		c := corner.Draw(t, "opened")
		after = slices.DeleteFunc(after, func(e bleed.Event) bool { return e == bleed.Bled(c) })
		got, err := bleed.Complete(append(append(before, bleed.Opened(c, "banjo")), after...), usual, nil)
		if err != nil {
			t.Fatal(err)
		}
		if got.Complete || !slices.ContainsFunc(got.Need, func(n bleed.Need) bool { return n.Corner == c && n.Why != "" }) || slices.Contains(got.Bled, c) {
			t.Fatalf("%s was opened and not bled after it: %s", c, got.Say())
		}
		// Closing everything and bleeding all corners always ends it.
		var end []bleed.Event
		for _, o := range got.Open {
			end = append(end, bleed.Closed(o.Corner, o.Where))
		}
		for _, each := range usual {
			end = append(end, bleed.Topped(), bleed.Bled(each))
		}
		got, err = bleed.Complete(slices.Concat(before, []bleed.Event{bleed.Opened(c, "banjo")}, after, end), usual, nil)
		if err != nil || !got.Complete || len(got.Bled) != 4 {
			t.Fatalf("%s, %v", got.Say(), err)
		}
	})
}

// The table is that of the rule; °C and °F are printed side by side and must agree.
func TestPublishedBoilingPoints(t *testing.T) {
	_, table := tradetest.Published(t, "bleed/fmvss116.csv")
	if len(table) != 4 {
		t.Fatalf("%d grades", len(table))
	}
	for _, row := range table {
		got, err := bleed.BoilingOf(bleed.Grade(row[0]))
		if err != nil || got.Source == "" || got.Base == "" {
			t.Errorf("%s: %+v, %v", row[0], got, err)
		}
		for i, figure := range []int{got.DryC, got.DryF, got.WetC, got.WetF} {
			if want := tradetest.Quantity[unit.Temperature](t, row[i+1]); float64(figure) != want.Value() {
				t.Errorf("%s: %d, want %s", row[0], figure, want)
			}
		}
		for _, pair := range [][2]int{{got.DryC, got.DryF}, {got.WetC, got.WetF}} {
			if math.Abs(float64(pair[0])*1.8+32-float64(pair[1])) > 0.5 {
				t.Errorf("%s: %d °C is not %d °F", row[0], pair[0], pair[1])
			}
		}
	}
	got, err := bleed.BoilingOf(bleed.DOT4)
	if want := "DOT 4 boils at no less than 230 °C (446 °F) dry and 155 °C (311 °F) wet"; err != nil || got.Say() != want {
		t.Errorf("%q, %v", got.Say(), err)
	}
	for _, g := range []bleed.Grade{bleed.MineralOil, "DOT 6", ""} {
		var refused *bleed.Error
		if got, err := bleed.BoilingOf(g); !errors.As(err, &refused) || got.DryC != 0 {
			t.Errorf("%q: %+v, %v", g, got, err)
		}
	}
}

func TestMix(t *testing.T) {
	all := []bleed.Grade{bleed.DOT3, bleed.DOT4, bleed.DOT51, bleed.DOT5, bleed.MineralOil}
	for i, a := range all {
		for j, b := range all {
			got, err := bleed.Mix(a, b)
			back, errBack := bleed.Mix(b, a)
			want := a == b || i < 3 && j < 3
			if err != nil || errBack != nil || got.OK != want || back.OK != want || got.Holds != back.Holds || got.Why == "" {
				t.Errorf("%s and %s: %+v, %v", a, b, got, err)
			}
			if want && got.Holds != all[min(i, j)] || !want && got.Holds != "" {
				t.Errorf("%s and %s hold as %q", a, b, got.Holds)
			}
			if lower := want && j < i; lower != (len(got.Warnings) == 1) {
				t.Errorf("%s filled on %s: warnings %q", b, a, got.Warnings)
			}
		}
	}
	got, err := bleed.Mix(bleed.DOT4, bleed.DOT5)
	if want := "DOT 5 must not be added to DOT 4: silicone does not mix with the other grades"; err != nil || got.Say() != want {
		t.Errorf("%q, %v", got.Say(), err)
	}
	for _, pair := range [][2]bleed.Grade{{"", bleed.DOT3}, {bleed.DOT3, "DOT3"}} {
		var refused *bleed.Error
		if got, err := bleed.Mix(pair[0], pair[1]); !errors.As(err, &refused) || got.OK {
			t.Errorf("%q: %+v, %v", pair, got, err)
		}
	}
}
