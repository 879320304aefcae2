package words_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"fettlebook/journal/words"

	"pgregory.net/rapid"
)

func TestWriting(t *testing.T) {
	at := time.Date(2027, 3, 2, 9, 5, 7, 0, time.FixedZone("", 3600))
	comma := words.Writing{Decimal: words.Comma}
	grouped := words.Writing{Decimal: words.Comma, Thousands: words.ThinSpace}
	for _, test := range []struct{ got, want string }{
		{words.Writing{}.Day(at), "2 March 2027"},
		{words.Writing{Days: words.YearFirst}.Day(at), "2027-03-02"},
		{words.Writing{Days: words.PointsDayFirst}.Day(at), "02.03.2027"},
		{words.Writing{Days: words.SlashesDayFirst}.Day(at), "02/03/2027"},
		{words.Writing{Days: words.SlashesMonthFirst}.Day(at), "03/02/2027"},
		{words.Writing{Days: words.PointsDayFirst}.Moment(at), "02.03.2027 09:05"},
		{words.Writing{Days: words.PointsDayFirst}.ThisYear(at), "02.03.2027 09:05"},
		{words.Writing{Days: words.YearFirst}.Second(at), "2027-03-02 09:05:07"},
		{words.Writing{Days: words.SlashesDayFirst}.Zoned(at), "02/03/2027 09:05 UTC+01:00"},
		{words.Writing{Days: words.PointsDayFirst}.Weekday(at), "Tuesday, 02.03.2027"},
		{words.Writing{}.Month(at), "March 2027"},
		{words.Writing{}.ShortMonth(at), "Mar 2027"},
		{words.Writing{Days: words.SlashesDayFirst}.ShortMonth(at), "03/2027"},
		{words.Writing{Days: words.YearFirst}.Month(at), "2027-03"},
		{words.Writing{Days: words.PointsDayFirst}.Month(at), "03/2027"},
		{words.Writing{Days: words.SlashesMonthFirst}.Month(at), "03/2027"},
		{grouped.Count(12345, "entry"), "12\u202f345 entries"},
		{grouped.Count(1, "entry"), "1 entry"},
		{grouped.Either(9999, "stands out", "stand out"), "9999 stand out"},
		{grouped.Of(10000, 12345, "stage"), "10\u202f000 of 12\u202f345 stages"},
		{grouped.Sprintf("%d of %6d", 12345, 7), "12\u202f345 of      7"},
		{grouped.Sprintf("%d and %d", int64(12345), uint64(54321)), "12\u202f345 and 54\u202f321"},
		{comma.Number("22.5 N·m"), "22,5 N·m"},
		{comma.Number("-0.25"), "-0,25"},
		{comma.Number("95.0 N·m to 115.0 N·m"), "95,0 N·m to 115,0 N·m"},
		{comma.Number("27 N.m"), "27 N.m"},
		{comma.Number("1,263,120.5 km and 1.263.120 km and 02.03.2027"), "1,263,120.5 km and 1.263.120 km and 02.03.2027"},
		{comma.Number("27 N.m (19.9 lb·ft)."), "27 N.m (19,9 lb·ft)."},
		{comma.Number("up to 3."), "up to 3."},
		{comma.Number("63120.5 km"), "63120,5 km"},
		{grouped.Number("63120.12345 km"), "63\u202f120,12345 km"},
		{grouped.Number("1234567"), "1\u202f234\u202f567"},
		{grouped.Number("1980 parts"), "1980 parts"},
		{comma.Lasting(9000), "2,5 h"},
		{comma.Sprintf("%.2f of %s, %5.1f, %d", 2.834, "DOT 5.1", 0.5, 7), "2,83 of DOT 5.1,   0,5, 7"},
		{comma.Sprintf("%[2]g after %[1]g", 1.5, 2.5), "2,5 after 1,5"},
		{comma.Sprintf("%s", typed("22.5 N.m")), "22,5 N.m"},
		{words.Writing{}.Sprintf("%.2f of %s", 2.834, typed("22.5 N.m")), "2.83 of 22.5 N.m"},
	} {
		if test.got != test.want {
			t.Errorf("got %q, want %q", test.got, test.want)
		}
	}
}

// What a shop writes with a comma it may type with a comma, where it can be read in one way
// only.
func TestPlain(t *testing.T) {
	comma := words.Writing{Decimal: words.Comma}
	for typed, want := range map[string]string{
		"22,5": "22.5", "22,5 N.m": "22.5 N.m", "-0,25 K": "-0.25 K", "−0,5": "−0.5", "63 120,5 km": "63 120.5 km", "0,125 in": "0.125 in", "1,2345": "1.2345", "22.5 N·m": "22.5 N·m",
		"1,234": "1,234", "1,234 km": "1,234 km", "1,263,120": "1,263,120", "1.263,5": "1.263,5", ",5": ",5", "22,": "22,", "22, 5": "22, 5", "lot 7,35": "lot 7,35", "": "",
	} {
		if got := comma.Plain(typed); got != want {
			t.Errorf("%q is read as %q, want %q", typed, got, want)
		}
		if got := (words.Writing{}).Plain(typed); got != typed {
			t.Errorf("where the sign is a point %q is read as %q", typed, got)
		}
	}
}

// typed is a quantity as somebody typed it.
type typed string

func (q typed) String() string                 { return string(q) }
func (q typed) Written(w words.Writing) string { return w.Number(string(q)) }

// A number is the same number in every way, and the way of who chose nothing changes
// nothing.
func TestWritingKeepsNumbers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := words.Writing{Decimal: words.DecimalSign(rapid.IntRange(0, 1).Draw(t, "sign")), Thousands: words.Grouping(rapid.IntRange(0, 1).Draw(t, "thousands"))}
		value, digits := rapid.Float64Range(-1e9, 1e9).Draw(t, "value"), rapid.IntRange(0, 6).Draw(t, "digits")
		plain := fmt.Sprintf("%.*f", digits, value)
		back := strings.NewReplacer(",", ".", "\u202f", "").Replace(w.Number(plain))
		if back != plain {
			t.Fatalf("%q is written %q", plain, w.Number(plain))
		}
		if got := (words.Writing{}).Number(plain); got != plain {
			t.Fatalf("%q is written %q", plain, got)
		}
	})
}

// Every choice is found by its name, and no other name is one.
func TestWritingChoices(t *testing.T) {
	for i, name := range words.Point.Words() {
		if words.Named[words.DecimalSign](name) != words.DecimalSign(i) || words.DecimalSign(i).String() != name {
			t.Errorf("the sign %q is not found", name)
		}
	}
	for i, name := range words.Together.Words() {
		if words.Named[words.Grouping](name) != words.Grouping(i) || words.Grouping(i).String() != name {
			t.Errorf("the grouping %q is not found", name)
		}
	}
	for i, name := range words.MonthInWords.Words() {
		if words.Named[words.DayForm](name) != words.DayForm(i) || words.DayForm(i).String() != name {
			t.Errorf("the form %q is not found", name)
		}
	}
	if got := words.Named[words.DayForm]("as we like"); got != words.MonthInWords {
		t.Errorf("a name that is none is taken for %q", got)
	}
}
