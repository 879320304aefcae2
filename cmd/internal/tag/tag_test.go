package tag_test

import (
	"errors"
	"strings"
	"testing"

	"fettlebook/cmd/internal/tag"
)

func TestParse(t *testing.T) {
	good := "FETTLETAG1.k7m2q4xw.job/4f7kk2m9/corner/LF/part/caliper"
	for _, text := range []string{good, "FETTLETAG1.k7m2q4xw.job/4f7kk2m9/corner/LF", "FETTLETAG1.k7m2q4xw.run/bake-26.064", "FETTLETAG1.k7m2q4xw.tool/tw-2"} {
		if got, err := tag.Parse(text); err != nil || got.String() != text {
			t.Errorf("%s: %v, %v", text, got, err)
		}
	}
	for text, want := range map[string]error{
		"": tag.ErrOther, "https://192.168.1.5:7463/pair/ABC": tag.ErrOther, "fettlebook receipt 1 shop:k7m2q4xw": tag.ErrOther, "FETTLE1.abc": tag.ErrOther, "fettletag1.x.tool/a": tag.ErrOther,
		"FETTLETAG": tag.ErrTorn, "FETTLETAG1": tag.ErrTorn, "FETTLETAG1.": tag.ErrTorn, "FETTLETAG1.k7m2q4xw": tag.ErrTorn, good[:len(good)-8]: tag.ErrTorn, "FETTLETAG1.k7m2q4xw.job/4f7kk2m9": tag.ErrTorn,
		"FETTLETAG1.k7m2q4xw.person/io": tag.ErrTorn, "FETTLETAG1.k7m2q4xw.tool/../x": tag.ErrTorn, "FETTLETAG1.k7 m2.tool/a": tag.ErrTorn, good + strings.Repeat("x", 700): tag.ErrTorn,
		"FETTLETAG2.k7m2q4xw.tool/a": tag.ErrNewer,
	} {
		if got, err := tag.Parse(text); !errors.Is(err, want) || got != (tag.Tag{}) {
			t.Errorf("%.60q: %v, %v; want %v", text, got, err, want)
		}
	}
}

func FuzzParse(f *testing.F) {
	f.Add("FETTLETAG1.k7m2q4xw.job/4f7kk2m9/corner/LF/part/caliper")
	f.Fuzz(func(t *testing.T, text string) {
		if got, err := tag.Parse(text); err == nil && got.String() != text {
			t.Errorf("%q is read as %q", text, got)
		}
	})
}
