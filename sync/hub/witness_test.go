package hub_test

import (
	"context"
	"log/slog"
	"net/http/httptest"
	"path/filepath"
	"testing"

	"fettlebook/journal/proof"
	"fettlebook/journal/witnessed"
	"fettlebook/sync/witness"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// Two shops' hubs witness each other, and go on after both were restarted.
func TestHubsWitnessEachOther(t *testing.T) {
	t.Parallel()
	a, b := openShop(t, "k7m2q4xw"), openShop(t, "b3tterq2")
	byA, byB := a.witness(b), b.witness(a)
	tab := a.joined("t3fz8c1n")
	for round := range 2 {
		a.send(tab.device, a.encode(tab.write(2)))
		a.countersigned(tab, len(tab.log))
		ofA, ofB := a.keep(b, byB), b.keep(a, byA)
		if ofA.Size == 0 || ofB.Size == 0 {
			t.Fatalf("round %d: states of %d and %d entries", round, ofA.Size, ofB.Size)
		}
		if p := a.last().After.Of(tab.device); p.Size != int64(len(tab.log)) {
			t.Errorf("round %d: %d entries of the tablet are witnessed, of %d", round, p.Size, len(tab.log))
		}
		b.invite("bench", 1) // so that its log grows too
		a.restart()
		b.restart()
		a.ready()
		b.ready()
	}
}

func (r *rig) logKey() note.Verifier {
	r.t.Helper()
	v, err := proof.Verifier(r.key.Verifier())
	must(r.t, err)
	return v
}

func (r *rig) cosignKey() note.Verifier {
	r.t.Helper()
	v, err := witnessed.Verifier(r.cosigner.Verifier())
	must(r.t, err)
	return v
}

// witness serves the hub as a witness of another, and returns its address.
func (r *rig) witness(of *rig) *httptest.Server {
	s := httptest.NewServer(witness.New(witness.Config{Logs: []note.Verifier{of.logKey()}, Signer: r.cosigner, Path: filepath.Join(r.dir, "signed"), Now: r.now, Logger: slog.New(slog.DiscardHandler)}))
	r.t.Cleanup(s.Close)
	return s
}

// keep has the other hub witness this one's newest state, whether or not a day
// went by, and returns it with the other's line.
func (r *rig) keep(by *rig, at *httptest.Server) witnessed.Kept {
	r.t.Helper()
	dir := witness.OpenDir(filepath.Join(r.dir, "witnessed"))
	before, err := dir.Newest(r.t.Context())
	must(r.t, err)
	k := witness.NewKeeper(witness.KeeperConfig{Hub: r.hub, Key: r.logKey(), Cosigner: r.cosignKey(), Grown: r.grown, Kept: dir,
		Peers: []*witness.Peer{{URL: at.URL, Key: by.cosignKey(), HTTP: at.Client()}},
		Now:   r.now, Logger: slog.New(slog.DiscardHandler)})
	r.ahead.Add(int64(witness.Every))
	k.Look(r.t.Context())
	got, err := dir.Newest(r.t.Context())
	must(r.t, err)
	if list, err := witnessed.Cosigned(got.Note, by.cosignKey()); err != nil || len(list) != 1 || got.Size <= before.Size {
		st, bad := k.Status(r.t.Context())
		r.t.Fatalf("of %d entries after %d: %v, %v, %+v, %v", got.Size, before.Size, list, err, st, bad)
	}
	return got
}

func (r *rig) grown(ctx context.Context, size, old int64) (tlog.TreeProof, error) {
	stored, err := r.db.Hashes(ctx, r.device)
	if err != nil {
		return nil, err
	}
	return tlog.ProveTree(size, old, stored)
}
