package shoptest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/sqlitelog"
	"fettlebook/sync/segment"
)

// Shop is a shop in a test.
type Shop struct {
	Hub     *Machine // nil while it is stopped
	Tablets []*Tablet

	t        testing.TB
	dir      string
	settings Settings
}

// Open founds a shop and starts its hub.
func Open(t testing.TB) *Shop { return OpenWith(t, Settings{}) }

// OpenWith founds a shop whose hub has its own settings.
func OpenWith(t testing.TB, set Settings) *Shop {
	t.Helper()
	s := &Shop{t: t, dir: t.TempDir(), settings: set}
	if err := Found(t.Context(), s.dir); err != nil {
		t.Fatal(err)
	}
	s.HubStart()
	t.Cleanup(func() {
		for _, tablet := range s.Tablets {
			tablet.close()
		}
		if s.Hub != nil {
			s.HubStop()
		}
	})
	return s
}

// HubStart starts the hub on its folder, whatever is left of that.
func (s *Shop) HubStart() {
	s.t.Helper()
	var err error
	if s.Hub, err = Start(s.t.Context(), s.dir, s.settings); err != nil {
		s.t.Fatal(err)
	}
}

// HubStop stops the hub.
func (s *Shop) HubStop() {
	s.t.Helper()
	hub := s.Hub
	s.Hub = nil
	if err := hub.Close(); err != nil {
		s.t.Error(err)
	}
}

// DropBrokerStore loses the hub's stream. The hub is restarted.
func (s *Shop) DropBrokerStore() { s.t.Helper(); s.without("broker") }

// DropHubDatabase loses the hub's database; its keys stay. The hub is restarted.
func (s *Shop) DropHubDatabase() {
	s.t.Helper()
	s.without("log.db", "log.db-wal", "log.db-shm")
}

// DropBoth loses stream and database at once. The hub is restarted.
func (s *Shop) DropBoth() {
	s.t.Helper()
	s.without("broker", "log.db", "log.db-wal", "log.db-shm")
}

// without destroys one copy of what the hub holds. It waits until the hub is
// whole: a copy that goes while the other is still being made from it takes
// entries along that no third machine has.
func (s *Shop) without(names ...string) {
	s.t.Helper()
	select {
	case <-s.Hub.Hub.Ready():
	case <-s.t.Context().Done():
		s.t.Fatal("the hub was not whole in time")
	}
	s.HubStop()
	s.lose(names)
	s.HubStart()
}

func (s *Shop) lose(names []string) {
	s.t.Helper()
	for _, name := range names {
		if err := os.RemoveAll(filepath.Join(s.dir, name)); err != nil {
			s.t.Fatal(err)
		}
	}
}

// CopyHubDatabase keeps a copy of the hub's database and returns what brings
// it back, with a restart, and at once destroys what else in the hub's folder
// is to be lost.
func (s *Shop) CopyHubDatabase() (restore func(lost ...string)) {
	s.t.Helper()
	s.HubStop()
	files := keep(s.t, s.dir)
	s.HubStart()
	return func(lost ...string) {
		s.t.Helper()
		s.HubStop()
		putBack(s.t, s.dir, files)
		s.lose(lost)
		s.HubStart()
	}
}

// CopyHub keeps a copy of all that the hub keeps, as a backup of its folder
// does, and returns what brings it back, with a restart.
func (s *Shop) CopyHub() (restore func()) {
	s.t.Helper()
	kept := s.t.TempDir()
	s.HubStop()
	if err := os.CopyFS(kept, os.DirFS(s.dir)); err != nil {
		s.t.Fatal(err)
	}
	s.HubStart()
	return func() {
		s.t.Helper()
		s.HubStop()
		if err := errors.Join(os.RemoveAll(s.dir), os.CopyFS(s.dir, os.DirFS(kept))); err != nil {
			s.t.Fatal(err)
		}
		s.HubStart()
	}
}

// CopyBrokerStore keeps a copy of the hub's stream and returns what brings it
// back, with a restart.
func (s *Shop) CopyBrokerStore() (restore func()) {
	s.t.Helper()
	store, kept := filepath.Join(s.dir, "broker"), s.t.TempDir()
	s.HubStop()
	if err := os.CopyFS(kept, os.DirFS(store)); err != nil {
		s.t.Fatal(err)
	}
	s.HubStart()
	return func() {
		s.t.Helper()
		s.HubStop()
		if err := errors.Join(os.RemoveAll(store), os.CopyFS(store, os.DirFS(kept))); err != nil {
			s.t.Fatal(err)
		}
		s.HubStart()
	}
}

// keep reads the database files of a folder that nobody uses.
func keep(t testing.TB, dir string) map[string][]byte {
	t.Helper()
	files := map[string][]byte{}
	for _, name := range []string{"log.db", "log.db-wal"} {
		raw, err := os.ReadFile(filepath.Join(dir, name))
		if err == nil {
			files[name] = raw
		}
	}
	return files
}

func putBack(t testing.TB, dir string, files map[string][]byte) {
	t.Helper()
	for _, name := range []string{"log.db", "log.db-wal", "log.db-shm"} {
		if err := os.RemoveAll(filepath.Join(dir, name)); err != nil {
			t.Fatal(err)
		}
	}
	for name, raw := range files {
		if err := os.WriteFile(filepath.Join(dir, name), raw, 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// Invite writes an invitation that lasts an hour.
func (s *Shop) Invite(name string) segment.Invitation {
	s.t.Helper()
	select {
	case <-s.Hub.Hub.Ready():
	case <-time.After(patience):
		s.t.Fatal("the hub is not ready")
	}
	i, err := s.Hub.Invite(s.t.Context(), name, time.Now().Add(time.Hour))
	if err != nil {
		s.t.Fatal(err)
	}
	return i
}

// Revoke throws a tablet out.
func (s *Shop) Revoke(tablet *Tablet) {
	s.t.Helper()
	if _, err := s.Hub.Hub.Append(s.t.Context(), journal.Draft{Subject: journal.Of("device", string(tablet.Device())), By: hubBy,
		Data: &journal.Revocation{Device: tablet.Device(), Reason: "left on a car roof"}}); err != nil {
		s.t.Fatal(err)
	}
}

// Tablet lets a new tablet in and connects it.
func (s *Shop) Tablet(name string) *Tablet {
	s.t.Helper()
	tablet := s.Joined(name)
	tablet.Connect()
	return tablet
}

// ID returns the shop's name.
func (s *Shop) ID() journal.ShopID { return s.Hub.id.Shop }

// Dir is the hub's folder.
func (s *Shop) Dir() string { return s.dir }

// HubDevice returns the name of the hub's own log.
func (s *Shop) HubDevice() journal.DeviceID { return s.Hub.id.Device }

// Joined lets a new tablet in and leaves it without a connection.
func (s *Shop) Joined(name string) *Tablet { s.t.Helper(); return s.JoinedAt(name, nil) }

// JoinedAt is [Shop.Joined] for a tablet with a clock of its own.
func (s *Shop) JoinedAt(name string, now func() time.Time) *Tablet {
	s.t.Helper()
	a, err := Applicant(s.Hub.id.Shop, name)
	if err != nil {
		s.t.Fatal(err)
	}
	tablet := &Tablet{t: s.t, dir: s.t.TempDir(), Connection: quick()}
	tablet.Connection.Now = now
	if err := Join(s.t.Context(), tablet.dir, s.Invite(name), a); err != nil {
		s.t.Fatal(err)
	}
	tablet.open()
	s.Tablets = append(s.Tablets, tablet)
	return tablet
}

// JoinAnew lets a tablet whose log is closed in again, with the folder that it
// has, and returns how much of the earlier log counts. It is left without a
// connection.
func (s *Shop) JoinAnew(tablet *Tablet, name string) (earlier journal.DeviceID, counts segment.Replaced) {
	s.t.Helper()
	a, err := Applicant(s.Hub.id.Shop, name)
	if err != nil {
		s.t.Fatal(err)
	}
	earlier = tablet.Device()
	a.Replaces = earlier
	i := s.Invite(name)
	tablet.close()
	joined, err := join(s.t.Context(), tablet.dir, i, a)
	if err != nil {
		s.t.Fatal(err)
	}
	tablet.open()
	if joined.Replaced == nil {
		s.t.Fatalf("the hub does not say how much counts of the log of %s", earlier)
	}
	return earlier, *joined.Replaced
}

// Settle waits until every tablet's log is countersigned at the hub and lies at
// every other tablet, and fails unless all copies are the same byte for byte.
func (s *Shop) Settle() {
	s.t.Helper()
	for _, from := range s.Tablets {
		s.SettleLog(from)
	}
	s.register()
}

// SettleLog is [Shop.Settle] for one tablet's log.
func (s *Shop) SettleLog(from *Tablet) {
	s.t.Helper()
	want := Log(s.t, from.Bench.DB, from.Device())
	WaitUntil(s.t, fmt.Sprintf("the countersignature over %d entries of %s", len(want), from.Device()), func() bool {
		c, err := from.Bench.DB.LastCountersigned(s.t.Context(), from.Device())
		return err == nil && c.Size == int64(len(want))
	})
	WaitUntil(s.t, fmt.Sprintf("%d entries of %s at the hub", len(want), from.Device()), func() bool {
		return size(s.t, s.Hub.DB, from.Device()) >= int64(len(want))
	})
	same(s.t, "hub", from.Device(), Log(s.t, s.Hub.DB, from.Device()), want)
	for _, to := range s.Tablets {
		if to.cut() {
			continue
		}
		WaitUntil(s.t, fmt.Sprintf("%d entries of %s at %s", len(want), from.Device(), to.Device()), func() bool {
			return size(s.t, to.Bench.DB, from.Device()) >= int64(len(want))
		})
		same(s.t, string(to.Device()), from.Device(), Log(s.t, to.Bench.DB, from.Device()), want)
	}
}

// register waits until every tablet has the hub's own log, the same everywhere.
func (s *Shop) register() {
	s.t.Helper()
	for _, to := range s.Tablets {
		if to.cut() {
			continue
		}
		var want [][]byte
		WaitUntil(s.t, "the register at "+string(to.Device()), func() bool {
			want = Log(s.t, s.Hub.DB, s.Hub.id.Device)
			return size(s.t, to.Bench.DB, s.Hub.id.Device) >= int64(len(want))
		})
		same(s.t, string(to.Device()), s.Hub.id.Device, Log(s.t, to.Bench.DB, s.Hub.id.Device)[:len(want)], want)
	}
}

// Register decodes the hub's own log.
func (s *Shop) Register() []journal.Payload {
	s.t.Helper()
	var list []journal.Payload
	for _, raw := range Log(s.t, s.Hub.DB, s.Hub.id.Device) {
		e, err := journal.Decode(raw)
		if err != nil {
			s.t.Fatal(err)
		}
		p, err := e.Payload()
		if err != nil {
			s.t.Fatal(err)
		}
		list = append(list, p)
	}
	return list
}

// Log reads a log's entries as they lie in a database.
func Log(t testing.TB, db *sqlitelog.DB, device journal.DeviceID) [][]byte {
	t.Helper()
	var list [][]byte
	for e, err := range db.Entries(context.WithoutCancel(t.Context()), device, 0) {
		if errors.Is(err, journal.ErrNoLog) {
			return nil
		}
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, e.Bytes)
	}
	return list
}

func size(t testing.TB, db *sqlitelog.DB, device journal.DeviceID) int64 {
	t.Helper()
	head, err := db.Head(t.Context(), device)
	if err != nil {
		t.Fatal(err)
	}
	return head.Size
}

func same(t testing.TB, at string, device journal.DeviceID, got, want [][]byte) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%s has %d entries of %s, want %d", at, len(got), device, len(want))
	}
	for i := range got {
		if !bytes.Equal(got[i], want[i]) {
			t.Fatalf("entry %d of %s differs at %s:\n got %s\nwant %s", i, device, at, got[i], want[i])
		}
	}
}
