package audit_test

import (
	"context"
	"errors"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/audit"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media/photodir"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// reopen opens the copied tablet's folder for writing.
func (c *copied) reopen(t testing.TB) *sqlitelog.DB {
	t.Helper()
	db, err := sqlitelog.Open(t.Context(), c.database(), sqlitelog.Options{
		Shop: journaltest.Shop, Own: bench, Key: c.tabletKey, Hub: office, HubKey: c.hubKey.Verifier(), Boot: "5c0e1d7a",
		Clock: journal.NewClock(time.Now, journaltest.Rand("reopened")), Now: time.Now, Started: time.Now().Add(-2 * time.Hour),
	})
	if err != nil {
		t.Fatal(err)
	}
	return db
}

func plain() journal.Draft {
	return journal.Draft{Subject: journal.About(journaltest.JobOne, "LF", "caliper"), By: journaltest.Io,
		Data: &journal.Remark{Evidence: journal.Evidence{Note: "the guide pins move freely"}}}
}

// bigFolder is the tablet's folder with n more entries, and their checkpoints.
func bigFolder(b *testing.B, n int) (*copied, [][]byte) {
	s := theShop(b)
	c := s.lay(b, b.TempDir(), s.tablet)
	db := c.reopen(b)
	defer db.Close()
	var notes [][]byte
	for range n {
		if _, err := db.Append(b.Context(), plain()); err != nil {
			b.Fatal(err)
		}
		head, err := db.Head(b.Context(), bench)
		if err != nil {
			b.Fatal(err)
		}
		notes = append(notes, head.Checkpoint)
	}
	return c, notes
}

// An audit may run beside the program that writes the folder: here at every
// step of the audit an entry is added and countersigned.
func TestBesideAWriter(t *testing.T) {
	s := theShop(t)
	c := s.lay(t, t.TempDir(), s.tablet)
	db := c.reopen(t)
	defer db.Close()
	const more = 80
	written := 0
	b := &builder{shop: s, ctx: t.Context(), watch: journaltest.NewWatch(time.Now())}
	err := c.with(t, func(src audit.Sources) {
		r, err := audit.Run(t.Context(), src, func(int, int) {
			if written == more {
				return
			}
			if _, err := db.Append(t.Context(), plain()); err != nil {
				t.Error(err)
			}
			b.countersign(db, bench)
			written++
		})
		if err != nil || r.Damaged() {
			t.Errorf("%v\n%s", err, text(t, r))
		}
		// What was written while the hub's log was read comes before the own.
		if n := r.Checked.Entries - size - hubs; n < hubs || n > written {
			t.Errorf("%d of %d new entries were checked", n, written)
		}
	})
	if err := errors.Join(err, b.err); err != nil {
		t.Fatal(err)
	}
}

func TestEnds(t *testing.T) {
	s := theShop(t)
	c := s.lay(t, t.TempDir(), s.tablet)
	for _, after := range []int{0, 1, 10, size, size + hubs + 1} {
		ctx, cancel := context.WithCancel(t.Context())
		steps := 0
		err := c.with(t, func(src audit.Sources) {
			if after == 0 {
				cancel()
			}
			_, err := audit.Run(ctx, src, func(int, int) {
				if steps++; steps == after {
					cancel()
				}
			})
			if !errors.Is(err, context.Canceled) {
				t.Errorf("stopped after %d steps, Run gives %v", after, err)
			}
		})
		if err != nil {
			t.Fatal(err)
		}
		if steps > after+1 {
			t.Errorf("stopped after %d steps, it went on to %d", after, steps)
		}
		cancel()
	}
}

func TestProgress(t *testing.T) {
	s := theShop(t)
	c := s.lay(t, t.TempDir(), s.tablet)
	var told [][2]int
	err := c.with(t, func(src audit.Sources) {
		if _, err := audit.Run(t.Context(), src, func(done, total int) { told = append(told, [2]int{done, total}) }); err != nil {
			t.Error(err)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	all := size + hubs + len(s.tablet.originals)
	want := make([][2]int, all)
	for i := range want {
		want[i] = [2]int{i + 1, all}
	}
	if !slices.Equal(told, want) {
		t.Errorf("told %v", told)
	}
}

// What this machine must hold and a machine may hold are told apart.
func TestHubLosesTheEnd(t *testing.T) {
	s := theShop(t)
	c := s.lay(t, t.TempDir(), s.hub)
	c.tamper(t, exec(`DELETE FROM entries WHERE pos >= `+row(bench, size-2)))
	r := c.audit(t)
	if !found(r, at(audit.Log, bench, size-1)) || !found(r, at(audit.Log, bench, size-2)) || !found(r, at(audit.Checkpoint, bench, size-3)) || damages(r) != 2 {
		t.Error(text(t, r))
	}
}

func TestWrongSetUp(t *testing.T) {
	s := theShop(t)
	c := s.lay(t, t.TempDir(), s.tablet)
	for name, spoil := range map[string]func(*audit.Sources){
		"countersigning key of another": func(src *audit.Sources) { src.CosignKey = src.HubKey },
		"countersigning key unreadable": func(src *audit.Sources) { src.CosignKey = "x" },
		"hub's key of another":          func(src *audit.Sources) { src.HubKey = s.tabletKey.Verifier() },
		"another shop":                  func(src *audit.Sources) { src.Shop = "q9hd2w0r" },
		"another hub":                   func(src *audit.Sources) { src.Hub = "q9hd2w0r" },
	} {
		t.Run(name, func(t *testing.T) {
			err := c.with(t, func(src audit.Sources) {
				spoil(&src)
				r, err := audit.Run(t.Context(), src, nil)
				if err != nil || !r.Damaged() {
					t.Errorf("%v\n%s", err, text(t, r))
				}
				if n := damages(r); n > 8 {
					t.Errorf("%d damages for one cause:\n%s", n, text(t, r))
				}
			})
			if err != nil {
				t.Fatal(err)
			}
		})
	}
}

func TestReportAsText(t *testing.T) {
	p := newPaper(t)
	p.tablet().note(t, same)
	p.tablet().rows[1].Checkpoint[40] ^= 1
	p.tablet().Closed = "rolled back"
	want := `Checked 2 logs with 4 entries, 4 checkpoints, 0 countersignatures, 0 thumbnails, 0 originals (0.0 MiB), 0 customer cards and 0 seals.

DAMAGE  checkpoint at entry 2 of log t3fz8c1n
        It is not signed with the device’s key.
        Keep a copy of this folder as it is, then take the log back from the hub, another machine or a backup.

Remark  log t3fz8c1n
        This log takes no more entries here: rolled back.
        Nothing needs to be done.

DAMAGED: 1 damage, 1 remark.
`
	if got := text(t, p.audit(t)); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if got := text(t, newPaper(t).audit(t)); got[len(got)-len("\nNothing is damaged; 0 remarks.\n"):] != "\nNothing is damaged; 0 remarks.\n" {
		t.Error(got)
	}
}

func TestReportAsJSON(t *testing.T) {
	p := newPaper(t)
	p.tablet().rows[0].Thumbs = []byte{1}
	r := p.audit(t)
	got, err := json.Marshal(r, jsontext.WithIndent("  "))
	if err != nil {
		t.Fatal(err)
	}
	id, err := journal.Decode(p.tablet().rows[0].Bytes)
	if err != nil {
		t.Fatal(err)
	}
	want := `{
  "format": "fettlebook audit 1",
  "checked": {
    "logs": 2,
    "entries": 3,
    "checkpoints": 3,
    "countersignatures": 0,
    "thumbnails": 0,
    "originals": 0,
    "original_bytes": 0,
    "cards": 0,
    "seals": 0
  },
  "findings": [
    {
      "severity": "damage",
      "where": {
        "part": "entry",
        "log": "t3fz8c1n",
        "entries": {
          "first": 0,
          "last": 0
        },
        "id": "` + id.ID.String() + `"
      },
      "what": "The thumbnails noted beside it are not those that it names.",
      "do": "Keep a copy of this folder as it is, then restore the database from a backup, or join the shop again so that the hub gives the entries back."
    }
  ]
}`
	if string(got) != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// A folder without photos that was never opened has an empty photo folder.
func TestEmptyFolder(t *testing.T) {
	s := theShop(t)
	dir := t.TempDir()
	if _, err := photodir.Open(filepath.Join(dir, "photos")); err != nil {
		t.Fatal(err)
	}
	c := &copied{s, dir, bench}
	c.reopen(t).Close()
	r := c.audit(t)
	if r.Checked.Logs != 2 || r.Checked.Entries != 0 {
		t.Error(text(t, r))
	}
	// The tablet has just joined: the register has not come yet.
	if r.Damaged() || len(r.Findings) != 1 {
		t.Error(text(t, r))
	}
}
