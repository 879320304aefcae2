package journal_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"

	"pgregory.net/rapid"
)

func TestSubjects(t *testing.T) {
	for _, c := range []struct {
		text, word, last string
		corner           journal.Corner
		part             journal.PartID
	}{
		{"job/4f7kk2m9", "job", "4f7kk2m9", "", ""},
		{"job/4f7kk2m9/corner/LF", "job/corner", "LF", "LF", ""},
		{"job/4f7kk2m9/corner/LF/part/caliper", "job/corner/part", "caliper", "LF", "caliper"},
		{"run/bake-17", "run", "bake-17", "", ""},
		{"a/b/c/d/e/f/g/h/i/j/k/l", "a/c/e/g/i/k", "l", "", ""},
	} {
		s, err := journal.ParseSubject(c.text)
		if err != nil {
			t.Errorf("%s: %v", c.text, err)
			continue
		}
		if s.Word() != c.word || s.Last() != c.last || s.Corner() != c.corner || s.Part() != c.part {
			t.Errorf("%s is %s, %s, corner %q, part %q", c.text, s.Word(), s.Last(), s.Corner(), s.Part())
		}
	}
	for _, text := range []string{"", "/", "job", "job/", "/x", "job/x/", "job//corner/LF", "job/x/corner", "a/b/c/d/e/f/g/h/i/j/k/l/m/n", "job/a b", "job/ä", "job/" + strings.Repeat("x", 41), "-job/x"} {
		if s, err := journal.ParseSubject(text); err == nil {
			t.Errorf("%q was read as %q", text, s)
		}
	}
}

func TestBuiltSubjectsParse(t *testing.T) {
	name := rapid.StringMatching(`[A-Za-z0-9][A-Za-z0-9._-]{0,39}`)
	rapid.Check(t, func(t *rapid.T) {
		job, part := name.Draw(t, "job"), name.Draw(t, "part")
		corner := rapid.SampledFrom(journal.Corner("").Words()).Draw(t, "corner")
		built := journal.About(journal.JobID(job), journal.Corner(corner), journal.PartID(part))
		s, err := journal.ParseSubject(string(built))
		if err != nil || s.Job() != journal.JobID(job) || s.Corner() != journal.Corner(corner) || s.Part() != journal.PartID(part) {
			t.Fatalf("%q gives job %q, corner %q, part %q, %v", built, s.Job(), s.Corner(), s.Part(), err)
		}
		if of := journal.Of("run", job); of.Run() != journal.RunID(job) || of.Word() != "run" {
			t.Fatalf("%q gives run %q", of, of.Run())
		}
	})
}

func TestStampKeepsThreeDecimals(t *testing.T) {
	zone := time.FixedZone("", -(3*3600 + 30*60))
	at := time.Date(2026, 3, 2, 8, 0, 0, 120_999_999, zone)
	if got := journal.Stamp(at).String(); got != "2026-03-02T08:00:00.120-03:30" {
		t.Errorf("got %s", got)
	}
	if got := journal.Stamp(at.UTC()).String(); got != "2026-03-02T11:30:00.120Z" {
		t.Errorf("got %s", got)
	}
}

func TestUptimeAndSeenReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		up := journal.Uptime(time.Duration(rapid.Int64Range(0, 1<<42).Draw(t, "ms")) * time.Millisecond)
		text, err := up.MarshalText()
		var back journal.Uptime
		if err = errors.Join(err, back.UnmarshalText(text)); err != nil || back != up {
			t.Fatalf("%v is written %s and read %v, %v", time.Duration(up), text, time.Duration(back), err)
		}
		seen := journal.Seen{Size: rapid.Int64Min(1).Draw(t, "size")}
		copy(seen.Root[:], rapid.SliceOfN(rapid.Byte(), 32, 32).Draw(t, "root"))
		text, err = seen.MarshalText()
		var again journal.Seen
		if err = errors.Join(err, again.UnmarshalText(text)); err != nil || again != seen {
			t.Fatalf("%v is written %s and read %v, %v", seen, text, again, err)
		}
	})
}
