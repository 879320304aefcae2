package demo

import (
	"bytes"
	"crypto/rand"
	"errors"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/sync/broker"
	"fettlebook/sync/segment"

	"github.com/nats-io/nats.go"
)

const earlier = "../../../testdata/folders"

// TestEarlierSync starts hub and tablet on the folders that earlier programs
// wrote: what is written now at the one comes to the other.
func TestEarlierSync(t *testing.T) {
	days, err := filepath.Glob(filepath.Join(earlier, "*", "day.json"))
	if err != nil || len(days) == 0 {
		t.Fatalf("no earlier folders are kept in %s (%v)", earlier, err)
	}
	program := buildProgram(t)
	for _, day := range days {
		t.Run(filepath.Base(filepath.Dir(day)), func(t *testing.T) {
			d := takeUp(t, filepath.Dir(day), program)
			hub, bench := d.hub, d.benchs["bench 1"]
			for _, m := range []*machine{hub, bench} {
				if err := m.start(t.Context()); err != nil {
					t.Fatal(err)
				}
			}
			for _, m := range []*machine{hub, bench} {
				_, err := m.client.Append(t.Context(), journal.Draft{Subject: journal.About("4f7kk2m9", "", ""), By: "io",
					Data: &journal.Remark{Evidence: journal.Evidence{Note: "written later, at " + m.name}}})
				if err != nil {
					t.Errorf("%s writes nothing more: %v", m.name, err)
				}
			}
			if err := d.meet(t.Context(), bench.name); err != nil {
				t.Fatal(err)
			}
			keptFromTheStream(t, bench.dir, hub.dir)
			for _, m := range []*machine{hub, bench} {
				if out, err := exec.CommandContext(t.Context(), program, "audit", "--data", m.dir).CombinedOutput(); err != nil {
					t.Errorf("audit of %s: %v\n%s", m.name, err, out)
				}
			}
		})
	}
}

// keptFromTheStream fails unless a tablet that an earlier hub let publish to the stream
// may do so no more.
func keptFromTheStream(t *testing.T, bench, hub string) {
	t.Helper()
	key, err := folder.ReadLineKey(bench)
	if err != nil {
		t.Fatal(err)
	}
	public, err := key.PublicKey()
	if err != nil {
		t.Fatal(err)
	}
	id, err := folder.ReadIdentity(bench)
	if err != nil {
		t.Fatal(err)
	}
	at, err := folder.ReadIdentity(hub)
	if err != nil {
		t.Fatal(err)
	}
	refused := make(chan error, 1)
	conn, err := nats.Connect("tls://"+net.JoinHostPort("127.0.0.1", strconv.Itoa(at.BrokerPort)), nats.Nkey(public, key.Sign), nats.Secure(broker.ClientTLS(id.Fingerprint)),
		nats.ErrorHandler(func(_ *nats.Conn, _ *nats.Subscription, err error) { refused <- err }))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	if err := conn.Publish(segment.LogSubject(id.Shop, id.Device), []byte("nothing")); err != nil {
		t.Fatal(err)
	}
	select {
	case err := <-refused:
		if !errors.Is(err, nats.ErrPermissionViolation) {
			t.Errorf("publishing to the stream gives %v, want a permissions violation", err)
		}
	case <-t.Context().Done():
		t.Error("a tablet may publish to the stream")
	}
}

// takeUp lays copies of an earlier day's folders out, on ports that are free.
func takeUp(t *testing.T, day, program string) *Day {
	t.Helper()
	dir := t.TempDir()
	for _, name := range []string{"hub", "bench-1"} {
		if err := os.CopyFS(filepath.Join(dir, name), os.DirFS(filepath.Join(day, name))); err != nil {
			t.Fatal(err)
		}
	}
	d := &Day{cfg: Config{Dir: dir, Program: program, Out: new(bytes.Buffer), Now: time.Now}, benchs: map[string]*machine{}, begun: time.Now()}
	t.Cleanup(func() {
		if err := d.Close(); err != nil {
			t.Error(err)
		}
	})
	ports, err := freePorts(t.Context(), rand.Reader, 2)
	if err != nil {
		t.Fatal(err)
	}
	d.hub = d.hubIn(filepath.Join(dir, "hub"))
	id, err := folder.ReadIdentity(d.hub.dir)
	if err != nil {
		t.Fatal(err)
	}
	id.DeskPort, id.BrokerPort = ports[0], ports[1]
	if err := folder.WriteIdentity(d.hub.dir, id); err != nil {
		t.Fatal(err)
	}
	d.benchs["bench 1"] = d.tabletIn(filepath.Join(dir, "bench-1"), "bench 1", net.JoinHostPort("127.0.0.1", strconv.Itoa(ports[1])))
	return d
}
