package demo

import (
	"bytes"
	"crypto/rand"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
)

// program is the file that the machines run, built once for all tests.
type program struct{ dir, file string }

var built program

func TestMain(m *testing.M) {
	code := m.Run()
	if err := os.RemoveAll(built.dir); err != nil {
		fmt.Fprintln(os.Stderr, err)
		code = 1
	}
	os.Exit(code)
}

// buildProgram builds the program that the machines run.
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
	if out, err := exec.CommandContext(t.Context(), "go", "build", "-o", file, "fettlebook/cmd/fettlebook").CombinedOutput(); err != nil {
		t.Fatalf("build: %v\n%s", err, out)
	}
	built.file = file
	return file
}

func TestTheDay(t *testing.T) {
	program := buildProgram(t)
	for _, c := range []struct {
		name string
		kill bool
	}{{"in peace", false}, {"with the hub killed", true}} {
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
			for _, m := range r.Machines {
				if m.Entries == 0 || m.AtHub != m.Entries || m.Countersigned != m.Entries || m.PhotosWaiting != 0 {
					t.Errorf("%s: %+v", m.Name, m)
				}
			}
			if got := strings.Contains(told.String(), "killed with no warning"); got != c.kill {
				t.Errorf("the story tells of a kill: %v", got)
			}
			for _, want := range []string{
				"hold broken: Every plug that went in is out again (LF): caliper: 7 plugs in, 6 counted out",
				"hold broken: Bled after the last opening (LF)",
				"0 broken, 2 waived; no safety hold forbids",
			} {
				if !strings.Contains(told.String(), want) {
					t.Errorf("the story does not tell %q", want)
				}
			}
			checkRecord(t, r)
		})
	}
}

// checkRecord looks for what the day is about in the record as a person
// reads it.
func checkRecord(t *testing.T, r *Result) {
	t.Helper()
	var text bytes.Buffer
	if err := r.WriteRecords(&text); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"TRL 4471", "22 N·m", "220 N·m", "slip of the finger", "sealed", "bake-2", "2 new washers", "This is a record, not an approval"} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("the record does not say %q", want)
		}
	}
	if strings.Contains(text.String(), "Wilma") {
		t.Error("the record tells the customer's name without being asked")
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
	known := names{"job": "4f7kk2m9", "other": "4f7kk2m8", "customer": "c1", "customercommitment": "sha256:" + strings.Repeat("ab", 32)}
	kinds := map[journal.Kind]bool{}
	for i, s := range steps {
		if s.As != "" && known[s.As] == "" {
			known[s.As] = id.String()
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
