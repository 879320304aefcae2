package readonlytest_test

import (
	"slices"
	"testing"

	"fettlebook/cmd/internal/pages/readonly/readonlytest"
	"fettlebook/journal/words"
)

// What finds the other ways finds each of them, and nothing in the shop's own.
func TestOtherwise(t *testing.T) {
	points := words.Writing{Decimal: words.Comma, Days: words.PointsDayFirst}
	for text, want := range map[string][]string{
		"22.5 N·m on 13 May 2026": {"13 May 2026", "22.5"}, "22,5 N·m on 13.05.2026, 0,25.": nil, "13 May 09:27": {"13 May 09:"}, "2026-05-13": {"2026-05-13"}, "13/05/2026 05/13/2026": {"05/13/2026", "13/05/2026"},
		"DOT 5.1, wash-20260513, K-tw-2, 5-17, M10x1.25, 10:30": nil, "2.83 times.": {"2.83"}, "(0.5)": {"0.5"},
	} {
		if got := readonlytest.Otherwise(text, points); !slices.Equal(got, want) {
			t.Errorf("%q: found %q, want %q", text, got, want)
		}
	}
	if got := readonlytest.Otherwise("22,5 N·m on 13 May 2026 and 82, 79", words.Writing{}); !slices.Equal(got, []string{"22,5"}) {
		t.Errorf("found %q", got)
	}
	if got, want := readonlytest.ReadOn(`<p title="1.5">2<b>.5</b></p><input inputmode="decimal" value="3.5"><script>4.5</script>`), "1.5\n3.5\n\n2\n.5\n\n\n"; got != want {
		t.Errorf("read %q, want %q", got, want)
	}
}
