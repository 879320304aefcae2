package demo

import (
	"bytes"
	"crypto/rand"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/bag"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/trade/unit"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// program is the file that the machines run, built once for all tests.
type program struct{ dir, file string }

var built program

func TestMain(m *testing.M) {
	journaltest.Roomy()
	code := m.Run()
	if err := os.RemoveAll(built.dir); err != nil {
		fmt.Fprintln(os.Stderr, err)
		code = 1
	}
	os.Exit(code)
}

// buildProgram takes a copy of the program that the machines run, without what only
// serves to look into it; the tests of other packages share what was built.
func buildProgram(t *testing.T) string {
	t.Helper()
	if built.file != "" {
		return built.file
	}
	var err error
	if built.dir, err = os.MkdirTemp("", "fettlebook-test-"); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(built.dir, "fettlebook.exe")
	if out, err := exec.CommandContext(t.Context(), "go", "run", "-ldflags", "-s -w", "-exec", fmt.Sprintf(`sh -c 'cp "$0" %s'`, file), "fettlebook/cmd/fettlebook").CombinedOutput(); err != nil {
		t.Fatalf("build: %v\n%s", err, out)
	}
	built.file = file
	return file
}

// TestTheDay plays the day with the hub killed in the middle of it, and with
// FETTLEBOOK_DAYS=all in peace too.
func TestTheDay(t *testing.T) {
	program := buildProgram(t)
	for _, c := range []struct {
		name string
		kill bool
	}{{"with the hub killed", true}, {"in peace", false}} {
		if !c.kill && os.Getenv("FETTLEBOOK_DAYS") != "all" {
			continue
		}
		t.Run(c.name, func(t *testing.T) {
			var told bytes.Buffer
			day, err := Play(t.Context(), Config{Dir: t.TempDir(), Program: program, KillHub: c.kill, Out: &told, Now: time.Now, Rand: rand.Reader})
			if err != nil {
				t.Fatalf("%v\n%s", err, told.String())
			}
			defer func() {
				if err := day.Close(); err != nil {
					t.Error(err)
				}
			}()
			r, err := day.Sum(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			if !r.Same {
				t.Error("the record at the hub is not the one folded from the machines' own logs")
			}
			if r.Photos == 0 || len(r.Machines) != 3 {
				t.Errorf("%d originals at the hub, %d machines", r.Photos, len(r.Machines))
			}
			var summary strings.Builder
			r.WriteSummary(&summary)
			if said := summary.String(); !strings.Contains(said, "TRL 4471") || !strings.Contains(said, "GVN 0316") {
				t.Errorf("the closing figures do not say of which vehicles they are: %s", said)
			}
			for _, m := range r.Machines {
				if out, err := exec.CommandContext(t.Context(), program, "audit", "--data", m.Dir).CombinedOutput(); err != nil {
					t.Errorf("audit of %s: %v\n%s", m.Name, err, out)
				}
				if m.Entries == 0 || m.AtHub != m.Entries || m.Countersigned != m.Entries || m.PhotosWaiting != 0 {
					t.Errorf("%s: %+v", m.Name, m)
				}
			}
			if got := strings.Contains(told.String(), "killed with no warning"); got != c.kill {
				t.Errorf("the story tells of a kill: %v", got)
			}
			for _, want := range []string{
				"hold broken: Every plug that went in is out again (LR): caliper: 8 plugs in, 7 counted out",
				"hold broken: Bled after the last opening (LR)",
				"0 broken, 1 waived; no safety hold forbids",
				"the label says: LR bracket; the tablet opens its job there",
				"the dossier of job ", "checked by nothing but these two: Yes: the seal of job",
			} {
				if !strings.Contains(told.String(), want) {
					t.Errorf("the story does not tell %q", want)
				}
			}
			for _, left := range []string{ReceiptFile, DossierFile} {
				if info, err := os.Stat(filepath.Join(day.cfg.Dir, left)); err != nil || info.Size() < 1000 {
					t.Errorf("%s is not in the folder: %v", left, err)
				}
			}
			checkDossier(t, filepath.Join(day.cfg.Dir, DossierFile))
			checkRecord(t, day, r)
		})
	}
}

// checkDossier looks for the other car of the day, whose bracket hung in the
// oven beside this one's calipers, and for the customer.
func checkDossier(t *testing.T, file string) {
	t.Helper()
	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	b, err := bag.Open(bytes.NewReader(raw), int64(len(raw)))
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range b.Paths() {
		one, err := b.Bytes(path, 1<<26)
		if err != nil {
			t.Fatal(err)
		}
		for _, other := range []string{"GVN 0316", "Wilma"} {
			if bytes.Contains(one, []byte(other)) {
				t.Errorf("%s of the dossier tells %q", path, other)
			}
		}
	}
	for _, want := range []string{"report.html", "report.pdf"} {
		if !slices.Contains(b.Paths(), want) {
			t.Errorf("the dossier has no %s", want)
		}
	}
}

// checkRecord looks for what the day is about in the record as a person
// reads it.
func checkRecord(t *testing.T, day *Day, r *Result) {
	t.Helper()
	var text bytes.Buffer
	if err := day.WriteRecords(t.Context(), r, &text); err != nil {
		t.Fatal(err)
	}
	said := strings.Join(strings.Fields(text.String()), " ") // lines are as wide as a sheet
	for _, want := range []string{
		"TRL 4471", "22 N·m", "220 N·m", "slip of the finger", "sealed", "bake-2", "2 new washers", "This is a record, not an approval",
		"12 May 2026, UTC", "13 May 2026, UTC", "demonstration", "and the clock was set", "parking brake tried on a slope: it holds",
		"then turned a further 60°, as the 60° printed", "by the probe on the RR bracket, which stands for this part", "put right at our cost",
		"B9-017: LF bracket in job", "8 plugs in, 7 out: 1 still in", "8 plugs in, 8 out: none is left in",
		"marked on a copy of the photograph; ring at 70.5 % from the left and 53.6 % from the top: the pinhole",
	} {
		if !strings.Contains(said, want) {
			t.Errorf("the record does not say %q", want)
		}
	}
	if from, to := r.Began.Format(stepTime), r.Ended.Format("2006-01-02"); from != "2026-03-24 07:45" || to != "2026-05-13" {
		t.Errorf("the clock began at %s and ended on %s", from, to)
	}
	if strings.Contains(said, "Wilma") {
		t.Error("the record tells the customer’s name without being asked")
	}
}

// TestStory reads the story without playing it: every entry of it is valid.
func TestStory(t *testing.T) {
	steps, err := readStory(story)
	if err != nil {
		t.Fatal(err)
	}
	id, err := journal.NewClock(time.Now, rand.Reader).Next()
	if err != nil {
		t.Fatal(err)
	}
	known := names{}
	kinds := map[journal.Kind]bool{}
	for i, s := range steps {
		switch {
		case s.Do == openJob:
			known[s.As] = fmt.Sprintf("4f7kk2m%d", len(known))
		case s.Do == newCard:
			known[s.As], known[s.As+"commitment"] = fmt.Sprintf("c%d", len(known)), "sha256:"+strings.Repeat("ab", 32)
		case s.As != "" && known[s.As] == "":
			known[s.As] = id.String()
			known[s.As+"photo"] = "sha256:" + strings.Repeat("cd", 32)
		}
		if s.Kind == "" || len(s.Shots) > 0 && s.Kind == journal.PhotoTaken {
			continue
		}
		d, err := s.draft(known)
		if err != nil {
			t.Errorf("step %d: %v", i+1, err)
			continue
		}
		if err := d.Valid(); err != nil {
			t.Errorf("step %d: %v", i+1, err)
		}
		kinds[s.Kind] = true
	}
	if len(kinds) < 40 {
		t.Errorf("the story shows %d kinds of entry; it should show the whole job", len(kinds))
	}
}

// TestStoryTakesItsTime: no step is before the one above it, what lasts lasts
// as long as it says since anything else was done to the same part, and a bake
// as long as its temperatures.
func TestStoryTakesItsTime(t *testing.T) {
	steps, err := readStory(story)
	if err != nil {
		t.Fatal(err)
	}
	var now time.Time
	days, touched, begun := map[string]bool{}, map[string]time.Time{}, map[string]time.Time{}
	lasting := 0
	for i, s := range steps {
		if s.At != "" {
			at, err := s.time(time.UTC)
			if err != nil || at.Before(now) {
				t.Fatalf("step %d is at %s, after %s (%v)", i+1, s.At, now.Format(stepTime), err)
			}
			now = at
		}
		if i == 0 && s.At == "" || s.Kind != "" && now.IsZero() {
			t.Fatalf("step %d has no time", i+1)
		}
		days[now.Format(time.DateOnly)] = true
		var data struct {
			Parts   []string       `json:"parts"`
			Held    unit.Duration  `json:"held"`
			Took    unit.Duration  `json:"took"`
			Seconds journal.Series `json:"seconds"`
			Rest    jsontext.Value `json:",unknown"`
		}
		if s.Kind == "" {
			continue
		}
		if err := json.Unmarshal(s.Data, &data); err != nil {
			t.Fatalf("step %d: %v", i+1, err)
		}
		last, least := begun[s.Subject], time.Duration(0)
		for _, part := range append(data.Parts, s.Subject) {
			if at := touched[part]; at.After(last) {
				last = at
			}
			touched[part] = now
		}
		switch s.Kind {
		case journal.BakeStarted:
			begun[s.Subject] = now
		case journal.ProbeLogged:
			last, least = begun[s.Subject], time.Duration(data.Seconds.Last()-data.Seconds.First())*time.Second
		case journal.CureCompleted:
			last, least = begun[s.Subject], span(data.Held)
		case journal.PartSoaked, journal.LeakChecked:
			least = span(data.Held)
		case journal.PartBlasted:
			least = span(data.Took)
		}
		if least == 0 {
			continue
		}
		if lasting++; now.Sub(last) < least {
			t.Errorf("step %d, %s at %s, takes %s and only %s passed", i+1, s.Kind, s.At, least, now.Sub(last))
		}
	}
	if len(days) < 5 || lasting < 12 {
		t.Errorf("%d days and %d steps that last: the story has lost its time", len(days), lasting)
	}
}

func span(d unit.Duration) time.Duration {
	if d.IsZero() {
		return 0
	}
	return time.Duration(d.In(unit.Second) * float64(time.Second))
}

func TestReadStoryRefuses(t *testing.T) {
	for _, bad := range []string{`{"sya":"x"}`, `{"say":"x"} trailing`, `nothing`, `{"say":1}`} {
		if _, err := readStory([]byte(bad)); err == nil {
			t.Errorf("%s: no error", bad)
		}
	}
	if _, err := (names{}).fill("job/$job"); err == nil {
		t.Error("an unknown name: no error")
	}
}
