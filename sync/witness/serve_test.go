package witness_test

import (
	"bytes"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fettlebook/journal/proof"
	"fettlebook/journal/witnessed"
	"fettlebook/sync/witness"

	cosign "github.com/transparency-dev/formats/note"
	"golang.org/x/mod/sumdb/note"
)

// Every answer of the standard, in the order in which a log meets them.
func TestAnswers(t *testing.T) {
	l := newLog(t, "k7m2q4xw", time.Now())
	key := newKey(t, proof.CosignerName("other234"))
	dir := t.TempDir()
	w := witnessOf(t, dir, key, l.verifier())
	l.grow(5, "entry")

	step := func(name string, body []byte, want int, text string) {
		t.Helper()
		code, got, kind := ask(w, body)
		if code != want || text != "" && got != text {
			t.Errorf("%s: %d %q", name, code, got)
		}
		if code == http.StatusConflict && kind != "text/x.tlog.size" {
			t.Errorf("%s: a conflict of type %q", name, kind)
		}
	}
	stranger := newLog(t, "strange2", time.Now())
	stranger.grow(3, "entry")
	step("of a log that is not witnessed", stranger.body(0), 404, "")
	liar := newLog(t, "k7m2q4xw", time.Now())
	liar.grow(5, "entry")
	step("signed by another key", liar.body(0), 403, "")
	step("garbage", []byte("old\n\n"), 400, "")
	step("an old size of another spelling", bytes.Replace(l.body(0), []byte("old 0"), []byte("old 00"), 1), 400, "")
	step("older than old", bytes.Replace(l.body(0), []byte("old 0"), []byte("old 6"), 1), 400, "")
	step("too long", make([]byte, 1<<20), 400, "")
	step("not from the start", l.body(3), 409, "0\n")
	step("with a proof where none is due", bytes.Replace(l.body(0), []byte("old 0\n"), []byte("old 0\n"+l.tree.Root().String()+"\n"), 1), 422, "")

	code, line, _ := ask(w, l.body(0))
	if code != 200 || strings.Count(line, "\n") != 1 || !strings.HasPrefix(line, "— "+key.Name()+" ") {
		t.Fatalf("%d %q", code, line)
	}
	// With the packages that others verify by.
	v, err := cosign.NewVerifierForCosignatureV1(key.Verifier())
	must(t, err)
	n, err := note.Open(append(l.signed(), line...), note.VerifierList(v))
	must(t, err)
	if at, err := cosign.CoSigV1Timestamp(n.Sigs[0]); err != nil || time.Since(at) > time.Minute {
		t.Errorf("signed at %v, %v", at, err)
	}
	step("the same again, from the start", l.body(0), 409, "5\n")
	step("the same again", l.body(5), 200, "")

	forked := l.fork()
	forked.grow(2, "another")
	l.grow(4, "more")
	step("grown", l.body(5), 200, "")
	step("grown otherwise, from what both have", forked.body(5), 409, "9\n")
	step("shorter than what was signed", forked.body(0), 409, "9\n")
	forked.grow(2, "another") // of the same size
	code, text, _ := ask(w, bytes.Replace(forked.body(0), []byte("old 0"), []byte("old 9"), 1))
	if code != 409 || text != "9\n" {
		t.Errorf("of another root: %d %q", code, text)
	}
	forked.grow(1, "another")
	step("a proof from another history", forked.body(9), 422, "")

	// Another process finds what this one signed.
	again := witnessOf(t, dir, key, l.verifier())
	if code, text, _ := ask(again, l.body(0)); code != 409 || text != "9\n" {
		t.Errorf("after a restart: %d %q", code, text)
	}
}

// A witness that cannot keep what it signs signs nothing; and one whose memory
// is damaged does not begin anew.
func TestSignsNothingThatItCannotKeep(t *testing.T) {
	l := newLog(t, "k7m2q4xw", time.Now())
	l.grow(5, "entry")
	key := newKey(t, proof.CosignerName("other234"))
	blocked := filepath.Join(t.TempDir(), "file")
	must(t, os.WriteFile(blocked, nil, 0o600))
	if code, text, _ := ask(witnessOf(t, filepath.Join(blocked, "below"), key, l.verifier()), l.body(0)); code != 500 || strings.Contains(text, "—") {
		t.Errorf("it answers %d %q", code, text)
	}

	dir := t.TempDir()
	w := witnessOf(t, dir, key, l.verifier())
	if code, _, _ := ask(w, l.body(0)); code != 200 {
		t.Fatal(code)
	}
	files, err := filepath.Glob(filepath.Join(dir, "*"))
	must(t, err)
	if len(files) != 1 {
		t.Fatalf("files: %v", files)
	}
	must(t, os.WriteFile(files[0], []byte("damaged"), 0o600))
	if code, text, _ := ask(w, l.body(0)); code != 500 || strings.Contains(text, "—") {
		t.Errorf("with a damaged memory it answers %d %q", code, text)
	}
}

// A process that was killed after it wrote and before it answered has signed:
// the log is told so, and gets its line for the same state.
func TestKilledBeforeTheAnswer(t *testing.T) {
	l := newLog(t, "k7m2q4xw", time.Now())
	l.grow(5, "entry")
	key := newKey(t, proof.CosignerName("other234"))
	dir := t.TempDir()
	url, client := serve(t, http.HandlerFunc(func(out http.ResponseWriter, r *http.Request) {
		ask(witnessOf(t, dir, key, l.verifier()), l.body(0)) // it is on the disk
		panic(http.ErrAbortHandler)
	}))
	v, err := witnessed.Verifier(key.Verifier())
	must(t, err)
	if _, err := (&witness.Peer{URL: url, Key: v, HTTP: client}).Sign(t.Context(), l.state(), l.grown); err == nil {
		t.Fatal("an answer of a killed process")
	}
	forked := newLog(t, "k7m2q4xw", time.Now())
	forked.key = l.key
	forked.grow(5, "another")
	next := witnessOf(t, dir, key, l.verifier())
	if code, text, _ := ask(next, forked.body(0)); code != 409 || text != "5\n" {
		t.Errorf("another history after the kill: %d %q", code, text)
	}
	url, client = serve(t, next)
	signed, err := (&witness.Peer{URL: url, Key: v, HTTP: client}).Sign(t.Context(), l.state(), l.grown)
	must(t, err)
	if list, err := witnessed.Cosigned(signed, v); err != nil || len(list) != 1 {
		t.Errorf("%v, %v", list, err)
	}
}

// Of two requests at once that begin at the same state one is signed.
func TestAtOnce(t *testing.T) {
	l := newLog(t, "k7m2q4xw", time.Now())
	l.grow(3, "entry")
	w := witnessOf(t, t.TempDir(), newKey(t, proof.CosignerName("other234")), l.verifier())
	ask(w, l.body(0))
	a, b := l.fork(), l.fork()
	a.grow(2, "one")
	b.grow(3, "other")
	codes := make(chan int, 2)
	for _, body := range [][]byte{a.body(3), b.body(3)} {
		go func() {
			code, _, _ := ask(w, body)
			codes <- code
		}()
	}
	if got := <-codes + <-codes; got != 200+409 {
		t.Errorf("the two answers add up to %d", got)
	}
}
