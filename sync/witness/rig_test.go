package witness_test

import (
	"bytes"
	"context"
	"crypto/rand"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/witnessed"
	"fettlebook/sync/witness"

	"go.uber.org/goleak"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// log is a hub's log with real keys. It implements [witness.Anchorer].
type log struct {
	t           *testing.T
	key, cosign proof.Key
	tree        proof.Tree
	stored      nodes
	at          time.Time
	asked       int // how often it was anchored
	fails       error
}

type nodes []tlog.Hash

func (n nodes) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	list := make([]tlog.Hash, len(indexes))
	for i, at := range indexes {
		list[i] = n[at]
	}
	return list, nil
}

func newLog(t *testing.T, shop journal.ShopID, at time.Time) *log {
	return &log{t: t, key: newKey(t, proof.Origin(shop, "office")), cosign: newKey(t, proof.CosignerName(shop)), at: at}
}

func newKey(t *testing.T, name string) proof.Key {
	t.Helper()
	key, err := proof.NewKey(rand.Reader, name)
	must(t, err)
	return key
}

// fork returns a log of the same key that goes on otherwise.
func (l *log) fork() *log {
	other := *l
	other.tree, other.stored = *l.tree.Clone(), bytesClone(l.stored)
	return &other
}

func bytesClone(n nodes) nodes { return append(nodes(nil), n...) }

func (l *log) grow(n int, with string) {
	for i := range n {
		l.stored = append(l.stored, l.tree.Append(fmt.Appendf(nil, "%s %d", with, i))...)
	}
}

// signed is the log's newest state, signed and countersigned.
func (l *log) signed() []byte {
	l.t.Helper()
	raw, err := proof.Sign(l.key.Signer(), l.tree.Size(), l.tree.Root())
	must(l.t, err)
	raw, err = proof.Countersign(proof.Checkpoint{Note: raw}, l.verifier(), l.cosign.Cosigner(func() time.Time { return l.at }))
	must(l.t, err)
	return raw
}

func (l *log) state() proof.Checkpoint {
	l.t.Helper()
	c, err := proof.Open(l.signed(), l.verifier())
	must(l.t, err)
	return c
}

func (l *log) verifier() note.Verifier {
	v, err := proof.Verifier(l.key.Verifier())
	must(l.t, err)
	return v
}

func (l *log) cosigner() note.Verifier {
	v, err := witnessed.Verifier(l.cosign.Verifier())
	must(l.t, err)
	return v
}

func (l *log) Anchor(context.Context) (journal.Countersigned, error) {
	if l.asked++; l.fails != nil {
		return journal.Countersigned{}, l.fails
	}
	return journal.Countersigned{Device: "office", Size: l.tree.Size(), At: l.at, Note: l.signed()}, nil
}

func (l *log) grown(_ context.Context, size, old int64) (tlog.TreeProof, error) {
	return tlog.ProveTree(size, old, l.stored)
}

// body is a request as the standard writes it.
func (l *log) body(old int64) []byte {
	l.t.Helper()
	var b bytes.Buffer
	fmt.Fprintf(&b, "old %d\n", old)
	if old > 0 && old < l.tree.Size() {
		p, err := l.grown(context.Background(), l.tree.Size(), old)
		must(l.t, err)
		for _, h := range p {
			fmt.Fprintln(&b, h)
		}
	}
	return append(append(b.Bytes(), '\n'), l.signed()...)
}

// witnessOf is another shop's hub that witnesses the log.
func witnessOf(t *testing.T, dir string, key proof.Key, logs ...note.Verifier) *witness.Witness {
	return witness.New(witness.Config{Logs: logs, Signer: key, Path: dir, Now: time.Now, Logger: slog.New(slog.DiscardHandler)})
}

// ask posts a request, and returns the answer.
func ask(w http.Handler, body []byte) (int, string, string) {
	answer := httptest.NewRecorder()
	w.ServeHTTP(answer, httptest.NewRequest(http.MethodPost, witness.AddCheckpoint, bytes.NewReader(body)))
	text, _ := io.ReadAll(answer.Body)
	return answer.Code, string(text), answer.Header().Get("Content-Type")
}

// serve serves a handler, and returns its address and a client for it.
func serve(t *testing.T, h http.Handler) (string, *http.Client) {
	t.Helper()
	s := httptest.NewServer(h)
	t.Cleanup(s.Close)
	return s.URL, s.Client()
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
