package hub_test

import (
	"strings"
	"testing"

	"fettlebook/journal"
)

// Witnessing the hub's log witnesses the tablets' logs: the anchor says how
// much of each is here, with its root. Where nothing has grown nothing is
// written.
func TestAnchor(t *testing.T) {
	r := open(t)
	first, err := r.hub.Anchor(t.Context())
	must(t, err)
	if n := count[*journal.LogNote](r.register()); n != 0 {
		t.Fatalf("%d notes in a shop without a tablet", n)
	}
	tab := r.joined("t3fz8c1n")
	r.send(tab.device, r.encode(tab.write(3)))
	r.countersigned(tab, 3)
	c, err := r.hub.Anchor(t.Context())
	must(t, err)
	e := r.last()
	if p := e.After.Of(tab.device); p.Size != 3 || p.Root == ([16]byte{}) {
		t.Errorf("the anchor says %v of the tablet's log", e.After)
	}
	if list := r.register(); c.Size != int64(len(list)) || c.Size <= first.Size || !strings.Contains(string(c.Note), r.cosigner.Name()) {
		t.Errorf("the state has %d entries of %d:\n%s", c.Size, len(list), c.Note)
	}
	again, err := r.hub.Anchor(t.Context())
	must(t, err)
	if again.Size != c.Size {
		t.Errorf("anchored again at %d, although nothing has grown since %d", again.Size, c.Size)
	}
	r.restart()
	r.ready()
	if again, err = r.hub.Anchor(t.Context()); err != nil || again.Size != c.Size {
		t.Errorf("after a restart: %d, %v", again.Size, err)
	}
	r.send(tab.device, r.encode(tab.write(1)))
	r.countersigned(tab, 4)
	if again, err = r.hub.Anchor(t.Context()); err != nil || again.Size != c.Size+1 {
		t.Errorf("after one more entry: %d, %v", again.Size, err)
	}
}

// last decodes the newest entry of the hub's own log.
func (r *rig) last() (e *journal.Entry) {
	r.t.Helper()
	for l, err := range r.db.Entries(r.t.Context(), r.device, 0) {
		must(r.t, err)
		e, err = journal.Decode(l.Bytes)
		must(r.t, err)
	}
	return e
}
