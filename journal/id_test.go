package journal_test

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"

	"github.com/google/uuid"
)

// RFC 9562, appendix A.6: the example of a UUIDv7 value.
func TestRFC9562Example(t *testing.T) {
	const example = "017F22E2-79B0-7CC3-98C4-DC0C0C07398F"
	id, err := journal.ParseEntryID(example)
	if err != nil {
		t.Fatal(err)
	}
	if id.Millis() != 0x017F22E279B0 {
		t.Errorf("unix_ts_ms is %#x, want 0x017F22E279B0", id.Millis())
	}
	// The appendix gives the time as February 22, 2022 2:22:22.00 PM GMT-05:00.
	if want := time.Date(2022, 2, 22, 14, 22, 22, 0, time.FixedZone("", -5*3600)); !id.Time().Equal(want) {
		t.Errorf("the time is %s, want %s", id.Time(), want)
	}
	if counter(id) != 0xCC3 {
		t.Errorf("rand_a is %#x, want 0xCC3", counter(id))
	}
	if id.String() != strings.ToLower(example) {
		t.Errorf("writes %s", id)
	}
}

// google/uuid judges the layout from outside.
func TestMadeIDsAreUUIDv7(t *testing.T) {
	w := journaltest.NewWatch(journaltest.Morning())
	c := newClock(w)
	for range 5000 {
		id := next(t, c)
		u, err := uuid.Parse(id.String())
		if err != nil {
			t.Fatal(err)
		}
		if u.Version() != 7 || u.Variant() != uuid.RFC4122 {
			t.Fatalf("%s is version %d, %s", id, u.Version(), u.Variant())
		}
		// For version 7, Time gives the milliseconds in units of 100 ns since 1582.
		if sec, nsec := u.Time().UnixTime(); time.Unix(sec, nsec).UnixMilli() != id.Millis() {
			t.Fatalf("%s is at %d ms here and at %d s %d ns for google/uuid", id, id.Millis(), sec, nsec)
		}
		w.Advance(700 * time.Microsecond)
	}
}

func TestParseEntryIDRefuses(t *testing.T) {
	for _, text := range []string{
		"", "x", "0195a3c17e4070019c3a5d1f0a6b7c8d", "{0195a3c1-7e40-7001-9c3a-5d1f0a6b7c8d}",
		"urn:uuid:0195a3c1-7e40-7001-9c3a-5d1f0a6b7c8d",
		"0195a3c1-7e40-4001-9c3a-5d1f0a6b7c8d", // version 4
		"0195a3c1-7e40-7001-1c3a-5d1f0a6b7c8d", // another variant
		"00000000-0000-0000-0000-000000000000",
	} {
		if id, err := journal.ParseEntryID(text); err == nil {
			t.Errorf("%q was read as %s", text, id)
		}
	}
}

// A beginning stands for the ids that begin so, and for no others.
func TestIDBeginning(t *testing.T) {
	const whole = "0195a3c1-7e40-7001-9c3a-5d1f0a6b7c8d"
	id, err := journal.ParseEntryID(whole)
	if err != nil {
		t.Fatal(err)
	}
	for n := journal.ShortestID; n <= len(whole); n++ {
		for _, text := range []string{whole[:n], strings.ToUpper(whole[:n]), strings.ReplaceAll(whole[:n], "-", "")} {
			begin, ok := journal.ParseIDBeginning(text)
			if digits := len(strings.ReplaceAll(text, "-", "")); ok != (digits >= journal.ShortestID) {
				t.Errorf("%q: %v", text, ok)
			}
			from, to := begin.Range()
			if from.String() > whole || whole > to.String() || !strings.HasPrefix(from.String(), whole[:n]) || !strings.HasPrefix(to.String(), whole[:n]) {
				t.Errorf("%q: %s to %s", text, from, to)
			}
			if n == len(whole) && (from != id || to != id) {
				t.Errorf("%q: %s to %s", text, from, to)
			}
		}
	}
	for _, text := range []string{"", "019", "xyz0", "0195-a3c1", "0195a3c1 7e40", whole + "0", "0195a3c1-7e40-7001-9c3a-5d1f0a6b7c8", "later"} {
		if begin, ok := journal.ParseIDBeginning(text); ok && text != whole[:len(whole)-1] {
			t.Errorf("%q was read as %v", text, begin)
		}
	}
}

func TestNewNames(t *testing.T) {
	easy := regexp.MustCompile(`^[0-9a-hjkmnp-tv-z]{8}$`) // without i, l, o, u
	seen := map[journal.JobID]bool{}
	r := journaltest.Rand("names")
	for range 1000 {
		name, err := journal.NewJobID(r)
		if err != nil {
			t.Fatal(err)
		}
		if !easy.MatchString(string(name)) || seen[name] {
			t.Fatalf("drew the name %q", name)
		}
		if _, err := journal.ParseSubject("job/" + string(name)); err != nil {
			t.Fatal(err)
		}
		seen[name] = true
	}
}
