package witness

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"fettlebook/journal/proof"
	"fettlebook/media/durable"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// Config says for whom a hub is a witness.
type Config struct {
	Logs   []note.Verifier // the logs, each by its key, whose name is the log's
	Signer proof.Key       // the key that countersigns
	Path   string          // folder of what was signed last of each log
	Now    func() time.Time
	Logger *slog.Logger
}

// Witness signs states of other shops' logs.
type Witness struct {
	cfg  Config
	logs map[string]note.Verifier // by origin

	mu sync.Mutex // one signature at a time: held from the check to the disk

	refused atomic.Int64
}

// New makes a witness. It implements [http.Handler].
func New(cfg Config) *Witness {
	w := &Witness{cfg: cfg, logs: make(map[string]note.Verifier)}
	for _, v := range cfg.Logs {
		w.logs[v.Name()] = v
	}
	return w
}

// refusal is an answer other than a signature.
type refusal struct {
	status int
	size   int64 // told with a conflict
	says   string
}

func (r *refusal) Error() string { return r.says }

// ServeHTTP answers a request to sign a state.
func (w *Witness) ServeHTTP(out http.ResponseWriter, r *http.Request) {
	raw, err := io.ReadAll(http.MaxBytesReader(out, r.Body, maxRequest))
	lines := ""
	if err != nil {
		err = &refusal{http.StatusBadRequest, 0, errRequest.Error()}
	} else {
		lines, err = w.Add(r.Context(), raw)
	}
	var no *refusal
	if errors.As(err, &no) && no.status != http.StatusConflict { // that says from where to ask again
		w.refused.Add(1)
		w.cfg.Logger.InfoContext(r.Context(), "witness refused", "from", r.RemoteAddr, "status", no.status, "error", err)
	}
	switch {
	case errors.As(err, &no) && no.status == http.StatusConflict:
		out.Header().Set("Content-Type", sizeType)
		out.WriteHeader(no.status)
		fmt.Fprintf(out, "%d\n", no.size)
	case errors.As(err, &no):
		http.Error(out, no.says, no.status)
	case err != nil:
		w.cfg.Logger.WarnContext(r.Context(), "witness a log", "error", err)
		http.Error(out, "the witness has a problem of its own", http.StatusInternalServerError)
	default:
		out.Header().Set("Content-Type", "text/plain; charset=utf-8")
		io.WriteString(out, lines)
	}
}

// Refused is how often nothing was signed, in this run; zero of no witness.
func (w *Witness) Refused() int64 {
	if w == nil {
		return 0
	}
	return w.refused.Load()
}

// Add signs the state in a request, and returns its line once the state is on
// the disk.
func (w *Witness) Add(ctx context.Context, raw []byte) (string, error) {
	q, err := parse(raw)
	if err != nil {
		return "", &refusal{http.StatusBadRequest, 0, err.Error()}
	}
	origin, _, _ := bytes.Cut(q.note, []byte("\n"))
	key, ok := w.logs[string(origin)]
	if !ok {
		return "", &refusal{http.StatusNotFound, 0, "this log is not witnessed here"}
	}
	c, err := proof.Open(q.note, key)
	if err != nil {
		return "", &refusal{http.StatusForbidden, 0, "the checkpoint is not signed by the key of this log"}
	}
	if q.old > c.Size {
		return "", &refusal{http.StatusBadRequest, 0, "the old size is larger than the checkpoint’s"}
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	last, err := w.last(key)
	if err != nil {
		return "", err
	}
	if err := follows(q, c, last); err != nil {
		if last.Size > 0 && q.old == last.Size {
			w.cfg.Logger.WarnContext(ctx, "a log shows another history than the one that was witnessed", "log", key.Name(), "held", string(last.Note), "shown", string(q.note))
		}
		return "", err
	}
	signed, line, err := w.sign(c, key)
	if err != nil {
		return "", err
	}
	if err := w.save(key, signed); err != nil {
		return "", err
	}
	return line, nil
}

// follows checks that a state has grown out of the last one that was signed.
func follows(q request, c, last proof.Checkpoint) error {
	switch {
	case q.old != last.Size:
		return &refusal{http.StatusConflict, last.Size, "the old size is not the one that was signed last"}
	case q.old == 0 && len(q.proof) > 0, q.old == c.Size && len(q.proof) > 0:
		return &refusal{http.StatusUnprocessableEntity, 0, "a proof where none is due"}
	case q.old == 0 && c.Size == 0 && c.Root != tlog.Hash(sha256.Sum256(nil)):
		return &refusal{http.StatusUnprocessableEntity, 0, "an empty log has another root"}
	case q.old == 0:
		return nil
	case q.old == c.Size && c.Root != last.Root:
		return &refusal{http.StatusConflict, last.Size, "another state of this size was signed"}
	case q.old == c.Size:
		return nil
	case tlog.CheckTree(q.proof, c.Size, c.Root, q.old, last.Root) != nil:
		return &refusal{http.StatusUnprocessableEntity, 0, "the proof does not show that the log has grown out of what was signed last"}
	}
	return nil
}

// sign returns the state with this witness's line, and the line alone. Other
// signatures on it than the log's own are left out.
func (w *Witness) sign(c proof.Checkpoint, key note.Verifier) (signed []byte, line string, err error) {
	n, err := note.Open(c.Note, note.VerifierList(key))
	if err != nil {
		return nil, "", fmt.Errorf("witness a log: %w", err)
	}
	n.UnverifiedSigs = nil
	alone, err := note.Sign(n)
	if err != nil {
		return nil, "", fmt.Errorf("witness a log: %w", err)
	}
	at := w.cfg.Now()
	if signed, err = proof.Countersign(proof.Checkpoint{Note: alone}, key, w.cfg.Signer.Cosigner(func() time.Time { return at })); err != nil {
		return nil, "", err
	}
	line, ok := strings.CutPrefix(string(signed), string(alone))
	if !ok {
		return nil, "", fmt.Errorf("witness a log: %w", errRequest)
	}
	return signed, line, nil
}

// file is where the state of a log lies that was signed last.
func (w *Witness) file(key note.Verifier) string {
	hash := sha256.Sum256([]byte(key.Name()))
	return filepath.Join(w.cfg.Path, hex.EncodeToString(hash[:16])+".checkpoint")
}

// last returns the state of a log that was signed last. One that cannot be read
// is an error, and never the same as none: a witness that forgets would sign a
// second history.
func (w *Witness) last(key note.Verifier) (proof.Checkpoint, error) {
	raw, err := os.ReadFile(w.file(key))
	if errors.Is(err, fs.ErrNotExist) {
		return proof.Checkpoint{}, nil
	}
	if err != nil {
		return proof.Checkpoint{}, fmt.Errorf("read what was witnessed last: %w", err)
	}
	c, err := proof.Open(raw, key)
	if err != nil {
		return proof.Checkpoint{}, fmt.Errorf("read what was witnessed last of %s: %w", key.Name(), err)
	}
	return c, nil
}

func (w *Witness) save(key note.Verifier, signed []byte) error {
	if err := durable.MkdirAll(w.cfg.Path, 0o700); err != nil {
		return fmt.Errorf("keep what was witnessed: %w", err)
	}
	if err := durable.WriteFile(w.file(key), signed, 0o600); err != nil {
		return fmt.Errorf("keep what was witnessed: %w", err)
	}
	return nil
}
