package audit_test

import (
	"strings"
	"testing"

	"fettlebook/journal/audit"
)

func text(t testing.TB, r audit.Report) string {
	t.Helper()
	var b strings.Builder
	if err := r.WriteText(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// A folder that a program wrote has no damage, and everything in it is
// looked at.
func TestCleanFolders(t *testing.T) {
	s := theShop(t)
	bytes := int64(0)
	for _, i := range []int64{3, 11, 19} {
		bytes += int64(len(s.tablet.originals[s.photos[i].Ref]))
	}
	late := int64(len(s.tablet.originals[s.photos[3].Ref]))
	for _, c := range []struct {
		name    string
		folder  kept
		checked audit.Counts
		remarks []audit.Where
	}{
		// The hub's entries came as two segments with a checkpoint each.
		{"tablet", s.tablet, audit.Counts{Logs: 2, Entries: size + hubs, Checkpoints: size + 2, Countersignatures: 6,
			Thumbnails: 3, Originals: 3, OriginalBytes: bytes, Cards: 3}, nil},
		// The tablet's came as four segments; one original and a card have not come.
		{"hub", s.hub, audit.Counts{Logs: 2, Entries: size + hubs, Checkpoints: hubs + 4, Countersignatures: 6,
			Thumbnails: 3, Originals: 2, OriginalBytes: bytes - late, Cards: 2},
			[]audit.Where{{Part: audit.Original, Photo: s.photos[3].Ref}, {Part: audit.Card, Card: s.mine}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := s.lay(t, t.TempDir(), c.folder).audit(t)
			if r.Damaged() || r.Checked != c.checked || len(r.Findings) != len(c.remarks) {
				t.Fatalf("checked %+v, want %+v:\n%s", r.Checked, c.checked, text(t, r))
			}
			for i, w := range c.remarks {
				if got := r.Findings[i]; got.Severity != audit.Remark || got.Where.Part != w.Part || got.Where.Photo != w.Photo || got.Where.Card != w.Card {
					t.Errorf("remark %d is at %s, want %s", i, got.Where, w)
				}
			}
		})
	}
}

// People count the entries of a log from 1, as every paper does; data counts
// them from 0.
func TestPlacesInWords(t *testing.T) {
	for where, want := range map[*audit.Where]string{
		{Part: audit.Entry, Log: "t1", Entries: &audit.Span{First: 4, Last: 4}}:      "entry 5 of log t1",
		{Part: audit.Checkpoint, Log: "t1", Entries: &audit.Span{First: 0, Last: 6}}: "checkpoint at entries 1 to 7 of log t1",
		{Part: audit.Log, Log: "t1"}: "log t1",
	} {
		if got := where.String(); got != want {
			t.Errorf("it reads %q and not %q", got, want)
		}
	}
}
