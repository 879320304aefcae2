package witness_test

import (
	"bytes"
	"context"
	"crypto/rand"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"strings"
	"testing"
	"time"

	"fettlebook/journal/proof"
	"fettlebook/journal/witnessed"
	"fettlebook/journal/witnessed/witnessedtest"
	"fettlebook/sync/witness"
)

// authority serves OpenSSL's tokens.
func authority(t *testing.T, a *witnessedtest.Authority) *witness.Authority {
	url, client := serve(t, http.HandlerFunc(func(out http.ResponseWriter, r *http.Request) {
		if r.Header.Get("Content-Type") != "application/timestamp-query" {
			t.Errorf("asked with %v", r.Header)
		}
		q, _ := io.ReadAll(r.Body)
		out.Header().Set("Content-Type", "application/timestamp-reply")
		out.Write(a.Answer(q))
	}))
	return &witness.Authority{URL: url, HTTP: client, Rand: rand.Reader}
}

// bench is a keeper with a clock that is set by hand.
type bench struct {
	*witness.Keeper
	log  *log
	dir  *witness.Dir
	now  time.Time
	said bytes.Buffer
}

func (b *bench) make(t *testing.T, a *witness.Authority, peers ...*witness.Peer) {
	b.Keeper = witness.NewKeeper(witness.KeeperConfig{Hub: b.log, Key: b.log.verifier(), Cosigner: b.log.cosigner(), Grown: b.log.grown,
		Authority: a, Peers: peers, Kept: b.dir, Now: func() time.Time { return b.now }, Logger: slog.New(slog.NewTextHandler(&b.said, nil))})
}

func newBench(t *testing.T) *bench {
	b := &bench{log: newLog(t, "k7m2q4xw", time.Now()), dir: witness.OpenDir(t.TempDir()), now: time.Now()}
	b.log.grow(5, "entry")
	return b
}

func (b *bench) status(t *testing.T) witness.Status {
	t.Helper()
	st, err := b.Status(t.Context())
	must(t, err)
	return st
}

func (b *bench) newest(t *testing.T) witnessed.Kept {
	t.Helper()
	k, err := b.dir.Newest(t.Context())
	must(t, err)
	return k
}

// A day in the life: witnessed and stamped, nothing asked while nothing is due,
// and OpenSSL takes what is kept.
func TestKeeps(t *testing.T) {
	tsa := witnessedtest.New(t, witnessedtest.Options{})
	b := newBench(t)
	key := newKey(t, proof.CosignerName("other234"))
	url, client := serve(t, witnessOf(t, t.TempDir(), key, b.log.verifier()))
	must(t, b.dir.Know(key.Verifier()))
	v, err := witnessed.Verifier(key.Verifier())
	must(t, err)
	peer := func() *witness.Peer { return &witness.Peer{URL: url + "/", Key: v, HTTP: client} }
	b.make(t, authority(t, tsa), peer())
	if next := b.Look(t.Context()); next != witness.Every {
		t.Errorf("again after %v", next)
	}
	k := b.newest(t)
	if err := tsa.Verifies(k.Stamp, k.Note); err != nil || k.Size != 5 {
		t.Errorf("%d: %v", k.Size, err)
	}
	if st := b.status(t); strings.Join(st.By, ", ") != key.Name()+", "+witnessedtest.Name || time.Since(st.Last) > time.Minute || len(st.Troubles) > 0 {
		t.Errorf("%+v", st)
	}
	b.now = b.now.Add(time.Hour)
	if next := b.Look(t.Context()); next < 22*time.Hour || next > 23*time.Hour || b.log.asked != 1 {
		t.Errorf("after an hour: again after %v, anchored %d times", next, b.log.asked)
	}
	b.now = b.now.Add(24 * time.Hour)
	if b.Look(t.Context()); b.newest(t).Size != 5 || b.log.asked != 2 {
		t.Errorf("although nothing has grown: %d", b.newest(t).Size)
	}
	b.log.grow(4, "more")
	b.log.at = b.now
	b.make(t, authority(t, tsa), peer()) // a restart
	b.Look(t.Context())
	if k := b.newest(t); k.Size != 9 || k.Stamp == nil || b.said.Len() > 0 {
		t.Errorf("of %d entries, stamp of %d bytes\n%s", k.Size, len(k.Stamp), &b.said)
	}
}

// After a restart it is known who said something last, also while a newer state waits
// for an answer, and also if nobody is asked any more who did.
func TestARestartForgetsNothing(t *testing.T) {
	tsa := witnessedtest.New(t, witnessedtest.Options{})
	b := newBench(t)
	key := newKey(t, proof.CosignerName("other234"))
	must(t, b.dir.Know(key.Verifier()))
	url, client := serve(t, witnessOf(t, t.TempDir(), key, b.log.verifier()))
	v, err := witnessed.Verifier(key.Verifier())
	must(t, err)
	b.make(t, authority(t, tsa), &witness.Peer{URL: url, Key: v, HTTP: client})
	b.Look(t.Context())
	before := b.status(t)
	same := func(when string) {
		t.Helper()
		if st := b.status(t); !st.Last.Equal(before.Last) || strings.Join(st.By, ", ") != key.Name()+", "+witnessedtest.Name {
			t.Errorf("%s: last witnessed %v by %v", when, st.Last, st.By)
		}
	}
	stamps := authority(t, tsa)
	stamps.URL = "http://127.0.0.1:1/"
	b.make(t, stamps)
	same("before anybody is asked")
	b.now = b.now.Add(25 * time.Hour)
	b.log.grow(3, "more")
	b.log.fails = errors.New("it is just starting")
	b.Look(t.Context())
	same("while the hub starts")
	b.log.fails = nil
	b.Look(t.Context())
	if same("while nobody answers"); b.newest(t).Size != 8 || len(b.status(t).Troubles) != 1 {
		t.Errorf("of %d entries, %+v", b.newest(t).Size, b.status(t))
	}
}

// Whatever an authority answers, the log goes on, and what is wrong is logged
// once and asked for again.
func TestWrongAuthority(t *testing.T) {
	tsa := witnessedtest.New(t, witnessedtest.Options{})
	other, err := witnessed.AskStamp([]byte("something else"), nil)
	must(t, err)
	for _, c := range []struct {
		name   string
		answer http.HandlerFunc
		want   error
	}{
		{"refused", func(out http.ResponseWriter, _ *http.Request) { http.Error(out, "no", http.StatusServiceUnavailable) }, witness.ErrAnswer},
		{"garbage", func(out http.ResponseWriter, _ *http.Request) { io.WriteString(out, "<html>welcome</html>") }, witnessed.ErrStamp},
		{"of another hash", func(out http.ResponseWriter, _ *http.Request) { out.Write(tsa.Answer(other)) }, witnessed.ErrOtherState},
		{"without end", func(out http.ResponseWriter, _ *http.Request) { io.CopyN(out, rand.Reader, 1<<20) }, witness.ErrAnswer},
		{"slow", func(_ http.ResponseWriter, r *http.Request) {
			io.Copy(io.Discard, r.Body)
			<-r.Context().Done()
		}, context.DeadlineExceeded},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBench(t)
			url, client := serve(t, c.answer)
			b.make(t, &witness.Authority{URL: url, HTTP: client, Rand: rand.Reader})
			ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
			if c.name == "slow" {
				client.Timeout = 50 * time.Millisecond
			}
			defer cancel()
			first, second := b.Look(ctx), b.Look(ctx)
			if first != time.Minute || second != 2*time.Minute {
				t.Errorf("again after %v, then %v", first, second)
			}
			st := b.status(t)
			if len(st.Troubles) != 1 || !errors.Is(st.Troubles[0].Err, c.want) || !st.Last.IsZero() {
				t.Errorf("%+v", st)
			}
			if n := strings.Count(b.said.String(), "\n"); n != 1 {
				t.Errorf("logged %d times:\n%s", n, &b.said)
			}
			if b.log.asked != 1 {
				t.Errorf("anchored %d times", b.log.asked)
			}
			b.make(t, authority(t, tsa)) // it is well again, after a restart
			if b.Look(ctx); b.newest(t).Stamp == nil || b.log.asked != 1 {
				t.Errorf("%d bytes, anchored %d times", len(b.newest(t).Stamp), b.log.asked)
			}
		})
	}
}

// A token that answered an earlier question, of the same state, is not taken.
func TestOldAnswer(t *testing.T) {
	tsa := witnessedtest.New(t, witnessedtest.Options{})
	b := newBench(t)
	old, err := witnessed.AskStamp(b.log.signed(), nil)
	must(t, err)
	url, client := serve(t, http.HandlerFunc(func(out http.ResponseWriter, _ *http.Request) { out.Write(tsa.Answer(old)) }))
	b.make(t, &witness.Authority{URL: url, HTTP: client, Rand: rand.Reader})
	b.Look(t.Context())
	if st := b.status(t); len(st.Troubles) != 1 || !errors.Is(st.Troubles[0].Err, witnessed.ErrNonce) {
		t.Errorf("%+v", st)
	}
}

// A witness that comes late does not cost the timestamp that is there.
func TestLateWitness(t *testing.T) {
	tsa := witnessedtest.New(t, witnessedtest.Options{})
	b := newBench(t)
	key := newKey(t, proof.CosignerName("other234"))
	must(t, b.dir.Know(key.Verifier()))
	v, err := witnessed.Verifier(key.Verifier())
	must(t, err)
	w := witnessOf(t, t.TempDir(), key, b.log.verifier())
	up := false
	url, client := serve(t, http.HandlerFunc(func(out http.ResponseWriter, r *http.Request) {
		if !up {
			http.Error(out, "closed", http.StatusBadGateway)
			return
		}
		w.ServeHTTP(out, r)
	}))
	stamps := authority(t, tsa)
	b.make(t, stamps, &witness.Peer{URL: url, Key: v, HTTP: client})
	b.Look(t.Context())
	early := b.newest(t)
	if early.Stamp == nil || len(b.status(t).Troubles) != 1 {
		t.Fatalf("stamp of %d bytes, %+v", len(early.Stamp), b.status(t))
	}
	up, stamps.URL = true, "http://127.0.0.1:1/"
	b.Look(t.Context())
	if k := b.newest(t); !bytes.Equal(k.Stamp, early.Stamp) || !bytes.Equal(k.Note, early.Note) {
		t.Error("the timestamp is gone, and there is no other")
	}
	stamps.URL = authority(t, tsa).URL
	b.Look(t.Context())
	k := b.newest(t)
	if list, err := witnessed.Cosigned(k.Note, v); err != nil || len(list) != 1 || tsa.Verifies(k.Stamp, k.Note) != nil {
		t.Errorf("%v, %v, %v", list, err, tsa.Verifies(k.Stamp, k.Note))
	}
}

// What a hub finds out by its witness: that it runs on an old copy, or that its
// history is not the one that was witnessed.
func TestWhatAWitnessFindsOut(t *testing.T) {
	l := newLog(t, "k7m2q4xw", time.Now())
	l.grow(5, "entry")
	key := newKey(t, proof.CosignerName("other234"))
	v, err := witnessed.Verifier(key.Verifier())
	must(t, err)
	url, client := serve(t, witnessOf(t, t.TempDir(), key, l.verifier()))
	sign := func(l *log) error {
		_, err := (&witness.Peer{URL: url, Key: v, HTTP: client}).Sign(t.Context(), l.state(), l.grown)
		return err
	}
	forked := l.fork()
	l.grow(3, "more")
	must(t, sign(l))
	if err := sign(forked); !errors.Is(err, witness.ErrAhead) {
		t.Errorf("an old copy: %v", err)
	}
	forked.grow(3, "another")
	if err := sign(forked); !errors.Is(err, witness.ErrHistory) {
		t.Errorf("as long, another: %v", err)
	}
	forked.grow(3, "another")
	if err := sign(forked); !errors.Is(err, witness.ErrHistory) {
		t.Errorf("longer, another: %v", err)
	}
	wrong := newKey(t, key.Name())
	w, err := witnessed.Verifier(wrong.Verifier())
	must(t, err)
	if _, err := (&witness.Peer{URL: url, Key: w, HTTP: client}).Sign(t.Context(), l.state(), l.grown); !errors.Is(err, witnessed.ErrNoCosignature) {
		t.Errorf("signed by another key than was agreed: %v", err)
	}
	if err := sign(newLog(t, "strange2", time.Now())); !errors.Is(err, witness.ErrUnknown) {
		t.Errorf("of a log that is not witnessed: %v", err)
	}
}
