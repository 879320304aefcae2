package shoptest_test

import (
	"bytes"
	"encoding/binary"
	"os"
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/media"
	"fettlebook/media/mediatest"
	"fettlebook/sync/shoptest"
)

// A tablet comes back from a month away and brings all of it at once, while another one
// works: it is not cut off, and needs a fourth of each budget at most. By default it is
// one part in fifty of the month; FETTLEBOOK_MONTH=all brings 10 000 entries and 1 000
// photographs of 4 MB.
func TestBackFromAMonthAway(t *testing.T) {
	entries, photos := 10_000, 1000
	part := 0.25
	if os.Getenv("FETTLEBOOK_MONTH") != "all" {
		entries, photos = entries/50, photos/50
	}
	shop := shoptest.Open(t)
	other, away := shop.Tablet("bench 1"), shop.Joined("bench 2")
	picture := mediatest.JPEG(mediatest.Noise(1900, 1400, 1), 95, nil)
	drafts, err := shoptest.Drafts(entries, 0, 1)
	if err != nil {
		t.Fatal(err)
	}
	for n, d := range drafts {
		away.Write(d)
		if n < photos {
			snapped(t, away, picture, n)
		}
	}
	t.Logf("%d entries, %d photographs of %.1f MB", entries+photos, photos, float64(len(picture))/1e6)
	away.Connect()
	for n := uint64(2); ; n++ {
		beside, err := shoptest.Drafts(1, 0, n)
		if err != nil {
			t.Fatal(err)
		}
		other.Write(beside[0]) // so that there is news all the time
		shop.SettleLog(other)
		waiting, err := away.Bench.DB.Unconfirmed(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if list := shop.Hub.Hub.Resting(); len(list) > 0 {
			t.Fatalf("cut off: %+v", list)
		}
		if len(waiting) == 0 {
			break
		}
	}
	shop.SettleLog(away)
	for _, tablet := range shop.Tablets {
		for of, spent := range shop.Hub.Hub.Spent(tablet.Device()) {
			t.Logf("%s: %.4f of the budget of %s", tablet.Device(), spent, of)
			if spent > part {
				t.Errorf("%s spent %.2f of the budget of %s, want %.2f at most", tablet.Device(), spent, of, part)
			}
		}
	}
}

// snapped has a tablet take the picture, as the nth of its kind: each is another file.
func snapped(t *testing.T, tablet *shoptest.Tablet, picture []byte, n int) {
	t.Helper()
	comment := binary.BigEndian.AppendUint32([]byte{0xff, 0xfe, 0, 6}, uint32(n))
	photo, err := media.Receive(t.Context(), tablet.Bench.Photos, bytes.NewReader(slices.Insert(slices.Clone(picture), 2, comment...)), media.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	thumb := noise(n, 60<<10)
	tablet.Write(journal.Draft{Subject: journal.About("4f7kk2m9", "", ""), By: "io", Thumbs: [][]byte{thumb},
		Data: &journal.Snapshot{Evidence: journal.Evidence{Photos: []journal.Photo{{Ref: photo.Ref, Thumb: media.RefOf(thumb), Role: "masked bores"}}}}})
}
