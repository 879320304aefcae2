package bleed_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal/trade/bleed"
	"fettlebook/journal/trade/unit"

	"pgregory.net/rapid"
)

func volume(t rapid.TB, text string) (v unit.Volume) {
	t.Helper()
	if err := v.UnmarshalText([]byte(text)); err != nil {
		t.Fatal(err)
	}
	return v
}

func share(t rapid.TB, text string) (l bleed.Level) {
	t.Helper()
	if err := l.Share.UnmarshalText([]byte(text)); err != nil {
		t.Fatal(err)
	}
	return l
}

// tank holds 200 mL from MIN to MAX and 100 mL below.
func tank(t rapid.TB) bleed.Reservoir {
	t.Helper()
	return bleed.Reservoir{Span: volume(t, "200 mL"), Rest: volume(t, "100 mL")}
}

// Worked by hand: levels are sums of what was drawn and added.
func TestBalance(t *testing.T) {
	draw := func(c bleed.Corner, drawn, added string) bleed.Step {
		return bleed.Step{Corner: c, Drawn: volume(t, drawn), Added: volume(t, added)}
	}
	seen := draw(bleed.RR, "150 mL", "150 mL")
	seen.Seen = share(t, "20 %")
	noRest := tank(t)
	noRest.Rest = unit.Volume{}
	for name, test := range map[string]struct {
		tank     bleed.Reservoir
		steps    []bleed.Step
		end      float64
		below    bool
		again    []bleed.Corner
		warnings int
		say      string
	}{
		"topped up in between": {tank(t), []bleed.Step{draw(bleed.RR, "150 mL", "150 mL"), draw(bleed.LR, "150 mL", "150 mL")}, 200, false, nil, 0,
			"300 mL drawn, 300 mL added, at the end 200 mL above MIN"},
		"below MIN": {tank(t), []bleed.Step{draw(bleed.RR, "150 mL", ""), draw(bleed.LR, "100 mL", "200 mL")}, 150, true, nil, 1,
			"250 mL drawn, 200 mL added, at the end 150 mL above MIN; it was below MIN in between"},
		"empty": {tank(t), []bleed.Step{draw(bleed.RR, "150 mL", ""), draw(bleed.LR, "150 mL", "250 mL"), draw(bleed.RR, "50 mL", "")}, 100, true,
			[]bleed.Corner{bleed.LF, bleed.RF, bleed.LR}, 1, "350 mL drawn, 250 mL added, at the end 100 mL above MIN; bleed again: LF, RF, LR"},
		"unknown rest": {noRest, []bleed.Step{draw(bleed.RR, "201 mL", "")}, -1, true, []bleed.Corner{bleed.LF, bleed.RF, bleed.LR, bleed.RR}, 1,
			"201 mL drawn, 0 mL added, at the end 1 mL below MIN; bleed again: LF, RF, LR, RR"},
		"exactly MIN":       {noRest, []bleed.Step{draw(bleed.RR, "200 mL", "")}, 0, false, nil, 0, ""},
		"above MAX":         {tank(t), []bleed.Step{draw("", "", "10 mL")}, 210, false, nil, 1, ""},
		"another level":     {tank(t), []bleed.Step{seen}, 40, false, nil, 1, ""},
		"in US fluid ounce": {tank(t), []bleed.Step{draw(bleed.RR, "4 US fl oz", "")}, 200 - 118.29412, false, nil, 0, ""},
	} {
		got, err := bleed.BalanceOf(test.tank, share(t, "100 %"), test.steps)
		if err != nil {
			t.Fatal(name, err)
		}
		if end := got.Stands[len(got.Stands)-1].After; math.Abs(end-test.end) > 1e-4 || got.BelowMin != test.below || !slices.Equal(got.Again, test.again) || len(got.Warnings) != test.warnings {
			t.Errorf("%s: %+v", name, got)
		}
		if test.say != "" && got.Say() != test.say {
			t.Errorf("%s:\n got %q\nwant %q", name, got.Say(), test.say)
		}
	}
}

func TestBalanceRefusals(t *testing.T) {
	both := share(t, "50 %")
	both.Volume = volume(t, "100 mL")
	for _, test := range []struct {
		tank  bleed.Reservoir
		start bleed.Level
		step  bleed.Step
		says  string
	}{
		{tank(t), bleed.Level{}, bleed.Step{}, "the level at the start, not entered: "},
		{tank(t), both, bleed.Step{}, "the level at the start, 50 % and 100 mL: "},
		{bleed.Reservoir{}, share(t, "50 %"), bleed.Step{}, "the level at the start, 50 %: a share needs the reservoir’s volume"},
		{tank(t), share(t, "50 %"), bleed.Step{Seen: both}, "step 1, 50 % and 100 mL: "},
		{tank(t), share(t, "50 %"), bleed.Step{Corner: "XX"}, `the corner, "XX": `},
	} {
		got, err := bleed.BalanceOf(test.tank, test.start, []bleed.Step{test.step})
		var refused *bleed.Error
		if !errors.As(err, &refused) || !strings.HasPrefix(err.Error(), test.says) || got.Stands != nil {
			t.Errorf("want %q, got %v", test.says, err)
		}
	}
}

func TestNothingIsLostAndSharesEqualVolumes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		percent := rapid.IntRange(0, 100).Draw(t, "percent")
		amount := rapid.Map(rapid.IntRange(0, 150), func(ml int) unit.Volume { return volume(t, unit.Format(float64(ml), unit.Millilitre, 0)) })
		steps := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) bleed.Step {
			return bleed.Step{Corner: rapid.SampledFrom(usual).Draw(t, "corner"), Drawn: amount.Draw(t, "drawn"), Added: amount.Draw(t, "added")}
		}), 1, 6).Draw(t, "steps")
		got, err := bleed.BalanceOf(tank(t), share(t, unit.Format(float64(percent), unit.Percent, 0)), steps)
		if err != nil {
			t.Fatal(err)
		}
		end := got.Stands[len(got.Stands)-1].After
		if math.Abs(got.Start-got.Drawn+got.Added-end) > 1e-9 {
			t.Fatalf("%+v", got)
		}
		if got.Dry && !got.BelowMin || len(got.Again) > 0 && !got.Dry {
			t.Fatalf("%+v", got)
		}
		inVolume, err := bleed.BalanceOf(tank(t), bleed.Level{Volume: volume(t, unit.Format(2*float64(percent), unit.Millilitre, 0))}, steps)
		if err != nil || inVolume.Say() != got.Say() {
			t.Fatalf("as a share %q, as a volume %q, %v", got.Say(), inVolume.Say(), err)
		}
	})
}
