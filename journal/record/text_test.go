package record_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"fettlebook/journal"
	"fettlebook/journal/record"
)

var update = flag.Bool("update", false, "write the golden texts anew, to be read before they are kept")

// golden compares a text with a file of testdata.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs; got\n%s", name, got)
	}
}

func TestText(t *testing.T) {
	shop := fold(day(t)...)
	var b strings.Builder
	if err := shop.Job(jobOne).Vehicle.WriteText(&b, record.Options{}); err != nil {
		t.Fatal(err)
	}
	golden(t, "vehicle.txt", b.String())

	b.Reset()
	if err := shop.Job(jobTwo).WriteText(&b, record.Options{Clocks: true, Receipts: true}); err != nil {
		t.Fatal(err)
	}
	golden(t, "job-clocks.txt", b.String())
}

// A text from an entry must not move the cursor of the terminal that shows it,
// nor turn the direction of what stands beside it.
func TestTextIsPlain(t *testing.T) {
	bench := newTablet(t, "bench-1")
	bench.says(one("", ""), "io", opening("", "AB 1"))
	bench.says(one("", ""), "io", note("up\x1b[2A and\r\nback \u202edrow \u009b1m"))
	var b strings.Builder
	if err := fold(bench.log).Job(jobOne).WriteText(&b, record.Options{}); err != nil {
		t.Fatal(err)
	}
	if strings.ContainsAny(b.String(), "\x1b\r\u202e\u009b") || !strings.Contains(b.String(), "up·[2A and back ·drow ·1m") {
		t.Errorf("got %q", b.String())
	}
}

// No line ends between a number and its unit.
func TestTextKeepsQuantitiesWhole(t *testing.T) {
	bench := newTablet(t, "bench-1")
	bench.says(one("", ""), "io", opening("", "AB 1"))
	for n := range 90 {
		bench.says(one("", ""), "io", note(strings.Repeat("x ", n)+"27 N.m"))
	}
	var b strings.Builder
	if err := fold(bench.log).Job(jobOne).WriteText(&b, record.Options{}); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(b.String(), "27 N.m"); n != 90 {
		t.Errorf("%d of 90 figures are whole", n)
	}
	for line := range strings.Lines(b.String()) {
		if n := utf8.RuneCountInString(line); n > 97 {
			t.Errorf("this line has %d characters: %s", n, line)
		}
	}
}

func TestTextOfJobThatIsNotOpenedHere(t *testing.T) {
	bench := newTablet(t, "bench-1")
	bench.says(one("LF", "caliper"), "io", note("came in a box"))
	var b strings.Builder
	if err := fold(bench.log).Job(jobOne).WriteText(&b, record.Options{}); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"VEHICLE not known here yet", "JOB 4f7kk2m9 — not opened here yet", "came in a box", record.Caution} {
		if !strings.Contains(strings.Join(strings.Fields(b.String()), " "), want) {
			t.Errorf("the text lacks %q:\n%s", want, b.String())
		}
	}
}

// broken is a printer without paper.
type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, os.ErrClosed }

func TestTextReportsTheWriter(t *testing.T) {
	if err := fold(day(t)...).Job(journal.JobID(jobOne)).WriteText(broken{}, record.Options{}); err == nil {
		t.Error("a writer that takes nothing went unnoticed")
	}
}
