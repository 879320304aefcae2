package audit_test

import (
	"database/sql"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/audit"
)

// Two copies of a shop's logs: how far they are the same, where they part, and what only one
// of them has. Whoever has the keys can sign another history; the other copy shows it.
func TestAgainst(t *testing.T) {
	s := theShop(t)
	compared := func(spoil func(*copied)) map[journal.DeviceID]audit.Compared {
		hub, tablet := s.lay(t, t.TempDir(), s.hub), s.lay(t, t.TempDir(), s.tablet)
		spoil(tablet)
		list := map[journal.DeviceID]audit.Compared{}
		if err := tablet.with(t, func(here audit.Sources) {
			if err := hub.with(t, func(there audit.Sources) {
				all, err := audit.Against(t.Context(), here.Logs, there.Logs)
				if err != nil {
					t.Fatal(err)
				}
				for _, c := range all {
					list[c.Device] = c
				}
			}); err != nil {
				t.Fatal(err)
			}
		}); err != nil {
			t.Fatal(err)
		}
		return list
	}
	for _, c := range []struct {
		name  string
		spoil func(*copied)
		want  audit.Compared
		says  string
	}{
		{"the same", func(*copied) {}, audit.Compared{Device: bench, Same: size, Here: size, There: size}, "40 entries the same in both"},
		{"an older copy", func(c *copied) {
			c.tamper(t, exec(`DELETE FROM entries WHERE pos >= `+row(bench, 38)))
		}, audit.Compared{Device: bench, Same: 38, Here: 38, There: size}, "only there: entries 39 to 40"},
		{"another entry", func(c *copied) {
			c.tamper(t, flip("entries", "bytes", "pos = "+row(bench, 7), -40, 1))
		}, audit.Compared{Device: bench, Same: 7, Here: size, There: size, Parted: true}, "they part at entry 8"},
		{"an entry left out", func(c *copied) {
			c.tamper(t, exec(`DELETE FROM entries WHERE pos = `+row(bench, 7)))
		}, audit.Compared{Device: bench, Same: 7, Here: size, There: size, Parted: true}, "they part at entry 8"},
		{"a receipt taken away", func(c *copied) {
			c.tamper(t, exec(`DELETE FROM countersigned WHERE size = 13`))
		}, audit.Compared{Device: bench, Same: size, Here: size, There: size, ReceiptsThere: []int64{13}}, "only there: the countersignature at entry 13"},
		{"a log that is gone", func(c *copied) {
			c.tamper(t, func(tx *sql.Tx) error {
				for _, q := range []string{`DELETE FROM entries WHERE pos >= ` + row(bench, 0), `DELETE FROM countersigned`, `DELETE FROM logs WHERE device = '` + string(bench) + `'`} {
					if _, err := tx.Exec(q); err != nil {
						return err
					}
				}
				return nil
			})
		}, audit.Compared{Device: bench, There: size, ReceiptsThere: []int64{13, 26, 39, 40}}, "only there: entries 1 to 40"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := compared(c.spoil)[bench]
			if got.Device != c.want.Device || got.Same != c.want.Same || got.Here != c.want.Here || got.There != c.want.There || got.Parted != c.want.Parted ||
				!slices.Equal(got.ReceiptsHere, c.want.ReceiptsHere) || !slices.Equal(got.ReceiptsThere, c.want.ReceiptsThere) {
				t.Errorf("got %+v, want %+v", got, c.want)
			}
			if text := strings.Join(got.Lines(), "\n"); !strings.Contains(text, c.says) {
				t.Errorf("it does not say %q:\n%s", c.says, text)
			}
		})
	}
}
