package folder_test

import (
	"bytes"
	"crypto/rand"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/audit"
	"fettlebook/journal/record"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media/photodir"
)

const earlier = "../../../testdata/folders"

// TestEarlier opens, audits, folds and goes on with the data folders that
// earlier programs wrote.
func TestEarlier(t *testing.T) {
	days, err := filepath.Glob(filepath.Join(earlier, "*", "day.json"))
	if err != nil || len(days) == 0 {
		t.Fatalf("no earlier folders are kept in %s (%v)", earlier, err)
	}
	for _, day := range days {
		t.Run(filepath.Base(filepath.Dir(day)), func(t *testing.T) {
			sizes := sizesOf(t, day)
			var records [][]byte
			for _, machine := range []string{"hub", "bench-1"} {
				t.Run(machine, func(t *testing.T) {
					dir := t.TempDir()
					if err := os.CopyFS(dir, os.DirFS(filepath.Join(filepath.Dir(day), machine))); err != nil {
						t.Fatal(err)
					}
					records = append(records, goOn(t, dir, sizes))
				})
			}
			if len(records) != 2 || !bytes.Equal(records[0], records[1]) {
				t.Errorf("hub and tablet fold to different records")
			}
		})
	}
}

// sizesOf reads how many entries each machine of a day had written.
func sizesOf(t *testing.T, file string) map[journal.DeviceID]int64 {
	t.Helper()
	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var day struct {
		Machines []struct {
			Device  journal.DeviceID
			Entries int64
		}
	}
	if err := json.Unmarshal(raw, &day); err != nil {
		t.Fatal(err)
	}
	sizes := map[journal.DeviceID]int64{}
	for _, m := range day.Machines {
		sizes[m.Device] = m.Entries
	}
	return sizes
}

// goOn checks a folder as it was left, writes into it on the next day, and
// checks it again. It returns the record as it was left.
func goOn(t *testing.T, dir string, sizes map[journal.DeviceID]int64) []byte {
	t.Helper()
	onlyOriginalsMissing(t, dir)
	shop, left := fold(t, dir)
	var last journal.EntryID
	for line := range shop.All() {
		last = line.ID
	}
	begun := time.Now()
	now := func() time.Time { return last.Time().Add(24*time.Hour + time.Since(begun)) }
	f, err := folder.Open(t.Context(), dir, folder.Options{Now: now, Rand: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := f.Close(); err != nil {
			t.Error(err)
		}
	}()
	for device, want := range sizes {
		if head, err := f.Log.Head(t.Context(), device); err != nil || head.Size != want {
			t.Errorf("the log %s has %d entries, want %d (%v)", device, head.Size, want, err)
		}
	}
	e, err := f.Append(t.Context(), journal.Draft{Subject: journal.About(shop.Jobs[0].ID, "", ""), By: "io",
		Data: &journal.Remark{Evidence: journal.Evidence{Note: "looked at once more"}}})
	if err != nil {
		t.Fatalf("nothing can be appended: %v", err)
	}
	if bytes.Compare(e.ID[:], last[:]) <= 0 {
		t.Errorf("the new entry %s does not follow %s", e.ID, last)
	}
	if head, err := f.Log.Head(t.Context(), f.Device); err != nil || head.Size != sizes[f.Device]+1 {
		t.Errorf("with the new entry the log has %d entries, want %d (%v)", head.Size, sizes[f.Device]+1, err)
	}
	onlyOriginalsMissing(t, dir)
	shop, after := fold(t, dir)
	if len(shop.Line(e.ID)) == 0 || bytes.Equal(after, left) {
		t.Error("the new entry is not in the record")
	}
	return left
}

// fold folds a folder's entries and writes the records of all vehicles.
func fold(t *testing.T, dir string) (*record.Shop, []byte) {
	t.Helper()
	db, err := sqlitelog.OpenToRead(t.Context(), folder.DatabasePath(dir))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	id, err := folder.ReadIdentity(dir)
	if err != nil {
		t.Fatal(err)
	}
	shop, err := record.Fold(id.Authority(), db.All(t.Context()))
	if err != nil {
		t.Fatal(err)
	}
	if len(shop.Jobs) == 0 || len(shop.Loose) > 0 {
		t.Fatalf("%d jobs, and %d entries that belong nowhere", len(shop.Jobs), len(shop.Loose))
	}
	for l := range shop.All() {
		if !l.Counts() {
			t.Errorf("%s %s counts for nothing: %v", l.Kind, l.ID, l.Flags)
		}
	}
	var all []byte
	for _, v := range shop.Vehicles {
		raw, err := v.JSON(record.Options{})
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, raw...)
	}
	return shop, all
}

// onlyOriginalsMissing audits a folder: that the originals are not here is
// worth a remark, and there is nothing else to say.
func onlyOriginalsMissing(t *testing.T, dir string) {
	t.Helper()
	id, err := folder.ReadIdentity(dir)
	if err != nil {
		t.Fatal(err)
	}
	db, err := sqlitelog.OpenToInspect(t.Context(), folder.DatabasePath(dir))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	report, err := audit.Run(t.Context(), audit.Sources{
		Shop: id.Shop, Own: append([]journal.DeviceID{id.Device}, id.Earlier...),
		Hub: id.Hub, HubKey: id.HubKey, CosignKey: id.CosignKey,
		Store: db, Logs: db, Photos: db, Beside: db, Originals: photodir.OpenToRead(folder.PhotosPath(dir)),
	}, nil)
	if err != nil {
		t.Fatal(err)
	}
	missing := 0
	for _, f := range report.Findings {
		if f.Severity == audit.Remark && f.Where.Part == audit.Original {
			missing++
			continue
		}
		if f.Severity == audit.Remark && f.Where.Part == audit.Log && f.Where.Log == id.Hub {
			continue // no hub ran to countersign what was appended
		}
		t.Errorf("%s: %s: %s", f.Severity, f.Where, f.What)
	}
	if _, err := os.Stat(folder.PhotosPath(dir)); missing == 0 && err != nil {
		t.Error("no original is missing, though none is kept")
	}
}
