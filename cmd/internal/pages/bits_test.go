package pages_test

import (
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages"
)

func TestBits(t *testing.T) {
	for text, want := range map[string]string{
		"":                               "",
		"no figure":                      "no figure",
		"27 N.m on banjo bolt with tw-1": "[27 N.m] on banjo bolt with tw-1",
		"film: bridge 78 µm, 81 µm":      "film: bridge [78 µm], [81 µm]",
		"84266 to 84316 km":              "[84266] to [84316 km]",
		"set to 200 °C; 4 parts":         "set to [200 °C]; [4] parts",
		"± 4 %":                          "± [4 %]",
		"-2.140 s, round trip 0.018 s":   "[-2.140 s], round trip [0.018 s]",
		"due 2027-09-30":                 "due [2027-09-30]",
		"12 months":                      "[12] months",
		"VIN 0FTLN4E19T2004471":          "VIN 0FTLN4E19T2004471",
		"(9 of 12)":                      "([9] of [12])",
		"5s and 5 s and 5 screws":        "5s and [5 s] and [5] screws",
		"40 lbf.ft":                      "[40 lbf.ft]",
		"part to earth 0.4 MΩ":           "part to earth [0.4 MΩ]",
		"8 kΩ, then 20 lb":               "[8 kΩ], then [20 lb]",
	} {
		var got strings.Builder
		for _, b := range pages.Bits(text) {
			if b.Figure {
				got.WriteString("[" + b.Text + "]")
			} else {
				got.WriteString(b.Text)
			}
		}
		if got.String() != want {
			t.Errorf("%q: got %q, want %q", text, got.String(), want)
		}
	}
}
