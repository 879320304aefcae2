package words_test

import (
	"slices"
	"testing"

	"fettlebook/journal/words"

	"pgregory.net/rapid"
)

func TestCount(t *testing.T) {
	for noun, want := range map[string][3]string{
		"photo":      {"0 photos", "1 photo", "2 photos"},
		"entry":      {"0 entries", "1 entry", "2 entries"},
		"day":        {"0 days", "1 day", "2 days"},
		"key":        {"0 keys", "1 key", "2 keys"},
		"new washer": {"0 new washers", "1 new washer", "2 new washers"},
		"wash":       {"0 washes", "1 wash", "2 washes"},
		"pinch":      {"0 pinches", "1 pinch", "2 pinches"},
		"gas":        {"0 gases", "1 gas", "2 gases"},
		"box":        {"0 boxes", "1 box", "2 boxes"},
		"y":          {"0 ys", "1 y", "2 ys"},
		"":           {"0 ", "1 ", "2 "},
	} {
		for n, w := range want {
			if got := words.Count(n, noun); got != w {
				t.Errorf("%d %q reads %q, want %q", n, noun, got, w)
			}
		}
	}
	if got := words.Count(int64(1000000), "entry"); got != "1000000 entries" {
		t.Errorf("a million reads %q", got)
	}
	if got := words.Count(-1, "day"); got != "-1 days" {
		t.Errorf("one less than none reads %q", got)
	}
}

func TestEither(t *testing.T) {
	for n, want := range []string{"0 strata", "1 stratum", "2 strata"} {
		if got := words.Either(n, "stratum", "strata"); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestOf(t *testing.T) {
	for _, test := range []struct {
		n, all int
		want   string
	}{{0, 0, "0 of 0 stages"}, {0, 1, "0 of 1 stage"}, {1, 1, "1 of 1 stage"}, {1, 3, "1 of 3 stages"}} {
		if got := words.Of(test.n, test.all, "stage"); got != test.want {
			t.Errorf("got %q, want %q", got, test.want)
		}
	}
}

func TestLists(t *testing.T) {
	for _, test := range []struct {
		list                     []string
		commas, clauses, and, or string
	}{
		{nil, "", "", "", ""},
		{[]string{"a"}, "a", "a", "a", "a"},
		{[]string{"a", "b"}, "a, b", "a; b", "a and b", "a or b"},
		{[]string{"a", "b", "c"}, "a, b, c", "a; b; c", "a, b and c", "a, b or c"},
		{[]string{"a", "b", "c", "d"}, "a, b, c, d", "a; b; c; d", "a, b, c and d", "a, b, c or d"},
		{[]string{"", "a", "", "b", ""}, "a, b", "a; b", "a and b", "a or b"},
		{[]string{"", ""}, "", "", "", ""},
	} {
		got := []string{words.Commas(test.list...), words.Clauses(test.list...), words.And(test.list...), words.Or(test.list...)}
		if want := []string{test.commas, test.clauses, test.and, test.or}; !slices.Equal(got, want) {
			t.Errorf("%q reads %q, want %q", test.list, got, want)
		}
	}
	list := []string{"a", "", "b"}
	if words.And(list...); list[1] != "" || list[2] != "b" {
		t.Errorf("the list itself was changed: %q", list)
	}
}

func TestCapital(t *testing.T) {
	for text, want := range map[string][2]string{
		"":                      {"", ""},
		"a":                     {"A", "A."},
		"élan vital":            {"Élan vital", "Élan vital."},
		"ß first":               {"ß first", "ß first."},
		"Already.":              {"Already.", "Already."},
		"is it?":                {"Is it?", "Is it?"},
		"and so on…":            {"And so on…", "And so on…"},
		"tw-1 is in use":        {"tw-1 is in use", "tw-1 is in use."},
		"2 parts":               {"2 parts", "2 parts."},
		"“27” is not a number":  {"“27” is not a number", "“27” is not a number."},
		" led by a space":       {" led by a space", " led by a space."},
		"\xffnot of this world": {"\xffnot of this world", "\xffnot of this world."},
	} {
		if got := words.Capital(text); got != want[0] {
			t.Errorf("%q begins %q, want %q", text, got, want[0])
		}
		if got := words.Sentence(text); got != want[1] {
			t.Errorf("%q becomes %q, want %q", text, got, want[1])
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.String().Draw(t, "text")
		if once := words.Sentence(text); words.Sentence(once) != once {
			t.Fatalf("%q becomes %q and then %q", text, once, words.Sentence(once))
		}
	})
}

func TestSquash(t *testing.T) {
	for name, want := range map[string]string{"": "", "trl 4471": "TRL4471", "FB-204": "FB204", "fb\u2013204": "FB204", "k é 7": "KÉ7", "57/2.l": "57/2.L"} {
		if got := words.Squash(name); got != want {
			t.Errorf("%q is squashed to %q, want %q", name, got, want)
		}
	}
}

func TestLasting(t *testing.T) {
	for seconds, want := range map[float64]string{0: "0 s", 0.5: "0.5 s", 1.1 - 0.9: "0.2 s", 119: "119 s", 120: "2 min", 2940: "49 min", 150: "2.5 min", 7199: "120 min", 7200: "2 h", 9000: "2.5 h"} {
		if got := words.Lasting(seconds); got != want {
			t.Errorf("%v s reads %q, want %q", seconds, got, want)
		}
	}
}

func TestSmall(t *testing.T) {
	for phrase, want := range map[string]string{"": "", "Look for fluid": "look for fluid", "A part is off": "a part is off", "VIN read": "VIN read", "Öl nachsehen": "öl nachsehen", "\xff": "\xff"} {
		if got := words.Small(phrase); got != want {
			t.Errorf("%q is %q, want %q", phrase, got, want)
		}
	}
}

func TestQuoted(t *testing.T) {
	for text, want := range map[string]string{"": "“”", "2x2": "“2x2”", "a\nb": "“a b”", "\x1b[2J": "“·[2J”"} {
		if got := words.Quoted(text); got != want {
			t.Errorf("%q is quoted as %q, want %q", text, got, want)
		}
	}
}

// What cannot be seen has a mark in its place; letters of every script, and white
// space on pages, stay.
func TestSeen(t *testing.T) {
	for name, test := range map[string]struct{ typed, seen, line string }{
		"a terminal's cursor":    {"a\r\nb\x1b[2J\u202ec\u009bd\xff", "a\r\nb·[2J·c·d·", "a  b·[2J·c·d·"},
		"turned around":          {"TRL \u202e1744\u202c", "TRL ·1744·", "TRL ·1744·"},
		"isolates and marks":     {"a\u2066b\u2069\u200e\u200f\u061cc", "a·b····c", "a·b····c"},
		"joined, parted, tagged": {"m\u200bk\u2060\ufeff\u00ad\U000e0041", "m·k····", "m·k····"},
		"nothing and delete":     {"a\x00b\x7f", "a·b·", "a·b·"},
		"lines and tabs":         {"one\n\ttwo\u2028three", "one\n\ttwo\u2028three", "one  two three"},
		"letters of any script":  {"Größe Ωμέγα Привет 漢字 العربية עברית", "Größe Ωμέγα Привет 漢字 العربية עברית", "Größe Ωμέγα Привет 漢字 العربية עברית"},
		"nothing":                {"", "", ""},
	} {
		if got := words.Seen(test.typed); got != test.seen {
			t.Errorf("%s: seen as %q, want %q", name, got, test.seen)
		}
		if got := words.OneLine(test.typed); got != test.line {
			t.Errorf("%s: in one line %q, want %q", name, got, test.line)
		}
	}
}
