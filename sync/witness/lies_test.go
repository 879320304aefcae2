package witness_test

import (
	"errors"
	"fmt"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	"fettlebook/journal/proof"
	"fettlebook/journal/witnessed"
	"fettlebook/journal/witnessed/witnessedtest"
	"fettlebook/sync/witness"

	"golang.org/x/mod/sumdb/note"
)

// Whoever answers once that a longer state was signed, as anybody on the way
// to the witness can, does not keep the hub from asking it again.
func TestALieIsNotBelievedForever(t *testing.T) {
	l := newLog(t, "k7m2q4xw", time.Now())
	l.grow(5, "entry")
	key := newKey(t, proof.CosignerName("other234"))
	v, err := witnessed.Verifier(key.Verifier())
	must(t, err)
	w := witnessOf(t, t.TempDir(), key, l.verifier())
	lies := true
	url, client := serve(t, http.HandlerFunc(func(out http.ResponseWriter, r *http.Request) {
		if lies {
			http.Error(out, "400000", http.StatusConflict)
			return
		}
		w.ServeHTTP(out, r)
	}))
	p := &witness.Peer{URL: url, Key: v, HTTP: client}
	if _, err := p.Sign(t.Context(), l.state(), l.grown); !errors.Is(err, witness.ErrAhead) {
		t.Errorf("it is said to be longer: %v", err)
	}
	lies = false
	if _, err := p.Sign(t.Context(), l.state(), l.grown); err != nil {
		t.Errorf("asked again: %v", err)
	}
}

// A witness that signs something else than the state, of which the state is a
// part, has no line kept; and others are kept all the same.
func TestWitnessOfMoreThanTheState(t *testing.T) {
	b := newBench(t)
	key := newKey(t, proof.CosignerName("other234"))
	v, err := witnessed.Verifier(key.Verifier())
	must(t, err)
	url, client := serve(t, http.HandlerFunc(func(out http.ResponseWriter, r *http.Request) {
		raw, _ := io.ReadAll(r.Body)
		_, state, _ := strings.Cut(string(raw), "\n\n")
		signed, err := note.Sign(&note.Note{Text: state}, key.Cosigner(time.Now))
		must(t, err)
		fmt.Fprint(out, strings.TrimPrefix(string(signed), state))
	}))
	b.make(t, authority(t, witnessedtest.New(t, witnessedtest.Options{})), &witness.Peer{URL: url, Key: v, HTTP: client})
	b.Look(t.Context())
	b.Look(t.Context())
	st := b.status(t)
	if len(st.Troubles) != 1 || !errors.Is(st.Troubles[0].Err, witnessed.ErrNoCosignature) {
		t.Errorf("%+v", st.Troubles)
	}
	if k := b.newest(t); k.Stamp == nil {
		t.Error("the timestamp is not kept")
	}
}

// A hub that runs on an old copy of its data is told, although nobody is asked
// who could say so.
func TestOldCopyWithoutAWitness(t *testing.T) {
	b := newBench(t)
	stamps := authority(t, witnessedtest.New(t, witnessedtest.Options{}))
	old := b.log.fork()
	b.log.grow(3, "more")
	b.make(t, stamps)
	b.Look(t.Context())
	if st := b.status(t); len(st.Troubles) != 0 || st.Last.IsZero() {
		t.Fatalf("%+v", st)
	}
	b.log = old
	b.now = b.now.Add(2 * witness.Every)
	b.make(t, stamps)
	b.Look(t.Context())
	if st := b.status(t); len(st.Troubles) != 1 || !errors.Is(st.Troubles[0].Err, witness.ErrAhead) {
		t.Errorf("nobody is told: %+v", st)
	}
}
