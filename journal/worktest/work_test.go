package worktest_test

import (
	"context"
	"crypto/sha256"
	"fmt"
	"slices"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/order"
	"fettlebook/journal/parts"
	"fettlebook/journal/proof"
	"fettlebook/journal/record"
	"fettlebook/journal/worktest"

	"golang.org/x/mod/sumdb/tlog"
)

func some(t testing.TB, seed string, n int, o worktest.Options) []journal.Logged {
	t.Helper()
	var list []journal.Logged
	for l, err := range worktest.First(n, worktest.New(seed, o)) {
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, l)
	}
	if len(list) != n {
		t.Fatalf("%d entries, want %d", len(list), n)
	}
	return list
}

func TestEqualSeedsGiveEqualBytes(t *testing.T) {
	sum := func(seed string, n int) string {
		h := sha256.New()
		for _, l := range some(t, seed, n, worktest.Options{}) {
			h.Write(l.Bytes)
		}
		return fmt.Sprintf("%x", h.Sum(nil))
	}
	once, again, other := sum("a", 3000), sum("a", 3000), sum("b", 3000)
	if once != again {
		t.Error("one seed gives two histories")
	}
	if once == other {
		t.Error("two seeds give one history")
	}
}

// The history has the mix that a shop writes, and every entry can be read.
func TestMix(t *testing.T) {
	const n = 20_000
	kinds := map[journal.Kind]int{}
	next := map[journal.DeviceID]int64{}
	jobs, late := map[journal.JobID]int{}, 0
	var newest journal.EntryID
	for _, l := range some(t, "mix", n, worktest.Options{}) {
		if l.Index != next[l.Device] {
			t.Fatalf("entry %d of %s comes where %d should", l.Index, l.Device, next[l.Device])
		}
		next[l.Device]++
		e, err := journal.Decode(l.Bytes)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := e.Payload(); err != nil {
			t.Fatalf("%s: %v", e.Type, err)
		}
		kinds[e.Type.Kind]++
		if job := e.Subject.Job(); job != "" {
			jobs[job]++
		}
		if e.ID.Time().Add(15 * time.Minute).Before(newest.Time()) {
			late++
		}
		if string(newest[:]) < string(e.ID[:]) {
			newest = e.ID
		}
	}
	if len(next) != 4 {
		t.Errorf("%d devices wrote", len(next))
	}
	if per := float64(n) / float64(len(jobs)); per < 45 || per > 65 {
		t.Errorf("%.1f entries a job", per)
	}
	if share := float64(kinds[journal.EntryCorrected]) / n; share < 0.015 || share > 0.025 {
		t.Errorf("%.3f are corrections", share)
	}
	if share := float64(late) / n; share < 0.001 || share > 0.1 { // a tablet loses its network on one day in twelve
		t.Errorf("%.3f come late", share)
	}
	for _, k := range []journal.Kind{journal.ProbeLogged, journal.ToolChecked, journal.DefectFound, journal.RecordSealed, journal.ContactMade, journal.ClockCompared} {
		if kinds[k] == 0 {
			t.Errorf("no %s in %d entries", k, n)
		}
	}
	t.Logf("%d jobs; %v", len(jobs), kinds)
}

// standings keeps what is worked out, and knows the roots of the logs.
type standings struct {
	kept  map[journal.Position]order.Standing
	trees map[journal.DeviceID]*proof.Tree
	roots map[journal.DeviceID][]tlog.Hash
}

func (s standings) Standing(_ context.Context, at journal.Position) (order.Standing, error) {
	return s.kept[at], nil
}

func (s standings) Keep(_ context.Context, at journal.Position, st order.Standing) error {
	s.kept[at] = st
	return nil
}

func (s standings) RootAt(_ context.Context, device journal.DeviceID, size int64) ([32]byte, error) {
	return s.roots[device][size-1], nil
}

// All that entries cite is here when they come: every entry counts at once,
// and no place is shared inside what somebody saw.
func TestNothingWaits(t *testing.T) {
	s := standings{map[journal.Position]order.Standing{}, map[journal.DeviceID]*proof.Tree{}, map[journal.DeviceID][]tlog.Hash{}}
	keeper := order.New(s, s)
	saw := 0
	for _, l := range some(t, "order", 6000, worktest.Options{}) {
		e, err := journal.Decode(l.Bytes)
		if err != nil {
			t.Fatal(err)
		}
		if s.trees[l.Device] == nil {
			s.trees[l.Device] = new(proof.Tree)
		}
		s.trees[l.Device].Append(l.Bytes)
		s.roots[l.Device] = append(s.roots[l.Device], s.trees[l.Device].Root())
		if err := keeper.Add(order.Of(l.Position, e)); err != nil {
			t.Fatal(err)
		}
		if err := keeper.Grow(t.Context(), l.Device); err != nil {
			t.Fatal(err)
		}
		if _, counts := s.kept[l.Position]; !counts {
			t.Fatalf("entry %d of %s waits", l.Index, l.Device)
		}
		for _, p := range e.After {
			if before := s.kept[journal.Position{Device: p.Device, Index: p.Size - 1}]; before.Place >= s.kept[l.Position].Place {
				t.Fatalf("entry %d of %s stands before what its writer saw", l.Index, l.Device)
			}
			saw++
		}
	}
	if saw < 6000 {
		t.Errorf("entries cite %d logs", saw)
	}
	for _, l := range some(t, "old", 500, worktest.Options{Old: true}) {
		if e, err := journal.Decode(l.Bytes); err != nil || !e.After.IsZero() {
			t.Fatalf("an old program's entry cites %v (%v)", e.After, err)
		}
	}
}

// A fold of the history reads all of it.
func TestFolds(t *testing.T) {
	shop, err := record.Fold(journal.Authority{Shop: worktest.Shop, Hub: worktest.Office}, func(yield func(journal.Logged, error) bool) {
		for _, l := range some(t, "fold", 6000, worktest.Options{}) {
			if !yield(l, nil) {
				return
			}
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	sealed := 0
	for _, j := range shop.Jobs {
		if j.Sealed != nil {
			sealed++
		}
	}
	if len(shop.Jobs) < 80 || sealed < 60 {
		t.Errorf("%d jobs, %d sealed", len(shop.Jobs), sealed)
	}
}

// The parts table of the history is that of a shop that writes everything down:
// whatever grows with it is measured on what a study has to work on.
func TestFactors(t *testing.T) {
	shop, err := record.Fold(journal.Authority{Shop: worktest.Shop, Hub: worktest.Office}, func(yield func(journal.Logged, error) bool) {
		for _, l := range some(t, "factors", 6000, worktest.Options{}) {
			if !yield(l, nil) {
				return
			}
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	table, stock := parts.New(), facts.StockOf(shop)
	rows := make(map[journal.JobID][]parts.Row)
	for _, j := range shop.Jobs {
		rows[j.ID] = stock.Coats(j)
	}
	table = table.With(rows)
	for _, c := range table.Columns() {
		if c.Role != parts.Factor {
			continue
		}
		known, values := 0, make(map[string]bool)
		for i := range table.Len() {
			if v := table.At(i, c.Name); v.Known() {
				known++
				values[v.String()] = true
			}
		}
		// No casting comes back within weeks, and the card stays.
		if few := len(values) < 2 && c.Name != parts.CoatsBefore && c.Name != parts.CardEdition; few || known*4 < table.Len() {
			t.Errorf("%s is known of %d of %d coats and has %d values", c.Name, known, table.Len(), len(values))
		}
	}
	codes, _ := table.Words(parts.Defect(string(journal.Pinhole)))
	if !slices.Contains(codes, 2) { // a yes
		t.Error("no coat has a pinhole")
	}
}

func TestStored(t *testing.T) {
	path := worktest.Copy(t, worktest.Folder(t, "stored", 3000))
	db, err := worktest.Open(t.Context(), path, "stored", journaltest.NewWatch(journaltest.Morning().AddDate(1, 0, 0)))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	n := 0
	for _, err := range db.All(t.Context()) {
		if err != nil {
			t.Fatal(err)
		}
		n++
	}
	if n != 3000 {
		t.Errorf("%d entries are stored", n)
	}
}

func BenchmarkNew(b *testing.B) {
	n := 0
	for _, err := range worktest.New("rate", worktest.Options{}) {
		if err != nil {
			b.Fatal(err)
		}
		if n++; !b.Loop() {
			break
		}
	}
	b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "entries/s")
}
