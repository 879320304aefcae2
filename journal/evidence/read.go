package evidence

import (
	"bytes"
	"context"
	"crypto/x509"
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/bag"
	"fettlebook/journal/proof"
	"fettlebook/journal/words"

	tlogproof "github.com/transparency-dev/formats/proof"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// reading is a dossier as far as it could be read and proven.
type reading struct {
	bag     *bag.Bag
	files   bag.Checked
	d       *Dossier
	receipt *Receipt
	// authorities are the roots that are trusted to issue a timestamp
	// authority's certificate; without any, nothing is asked of it.
	authorities []*x509.Certificate

	logs    map[journal.DeviceID]*log
	entries map[At]*entry
	list    []*entry // in the order of the dossier
	reg     register
}

// kind returns what kind of entry it is; "" if that cannot be read.
func (e *entry) kind() journal.Kind {
	if e.e == nil {
		return ""
	}
	return e.e.Type.Kind
}

// payload reads the data of an entry again; nil if it is not what the kind has.
func (r *reading) payload(e *entry) (journal.Payload, error) {
	raw, err := r.load(EntryPath(e.At), journal.MaxQuotingBytes)
	if err != nil || raw == nil || proof.Leaf(raw) != e.leaf {
		return nil, err
	}
	got, err := journal.Decode(raw)
	if err != nil {
		return nil, nil
	}
	p, err := got.Payload()
	if err != nil {
		return nil, nil
	}
	return p, nil
}

// log is a log whose states were opened.
type log struct {
	*Log
	key    note.Verifier // by which its states are signed; nil if none is admitted
	states map[int64]*state
	notes  map[string]*state // by the note, of those that are signed
}

// state is a state of a log whose file was read.
type state struct {
	proof.Checkpoint
	signed bool      // by the device, and grown from the one before
	held   time.Time // by the hub's countersignature; zero without one
	bent   bool      // there is a countersignature, and it is wrong
	// replaced says that the countersignature is by keys that were not the hub's any more.
	replaced *proof.Replaced
}

// entry is an entry as far as anything is asked of it; its payload is not
// kept.
type entry struct {
	Item
	here  bool // its bytes are in the file
	leaf  tlog.Hash
	e     *journal.Entry // without data; nil if it cannot be read
	in    *state         // in which it is proven; nil if it is not
	shows []journal.Photo
	void  journal.Void
}

// called says in words which entry it is.
func (e *entry) called() string {
	if e.e == nil {
		return e.At.String()
	}
	what := e.kind().About()
	if what == "" {
		what = string(e.kind()) // of a newer program
	}
	about := strings.TrimSpace(fmt.Sprintf("%s %s", e.e.Subject.Corner(), e.e.Subject.Part()))
	return fmt.Sprintf("%s (%s)", e.At, words.Commas(what, about))
}

// load reads a file that is not larger than it may be. What is wrong with the
// bag's files is found by the bag; here it is only not here.
func (r *reading) load(path string, most int) ([]byte, error) {
	raw, err := r.bag.Bytes(path, most)
	if errors.Is(err, fs.ErrNotExist) || errors.Is(err, bag.ErrBroken) {
		return nil, nil
	}
	return raw, err
}

// readEntries reads the bytes of all entries.
func (r *reading) readEntries(ctx context.Context) error {
	for _, item := range r.d.Entries {
		if err := ctx.Err(); err != nil {
			return err
		}
		e := &entry{Item: item}
		r.list, r.entries[item.At] = append(r.list, e), e
		raw, err := r.load(EntryPath(item.At), journal.MaxQuotingBytes)
		if err != nil {
			return err
		}
		if raw == nil {
			continue
		}
		e.here, e.leaf = true, proof.Leaf(raw)
		got, err := journal.Decode(raw)
		if err != nil {
			continue
		}
		if e.shows, err = got.Photos(); err != nil {
			continue
		}
		got.Data = nil
		e.e = got
	}
	return nil
}

// readLog opens the states of a log by one of its device's keys, of the hub's
// log by the keys of the time, and of each the hub's countersignature.
func (r *reading) readLog(l *Log, keys []string) error {
	got := &log{Log: l, states: make(map[int64]*state), notes: make(map[string]*state)}
	r.logs[l.Device] = got
	defer func() {
		for _, s := range got.states {
			if s.signed {
				got.notes[string(s.Note)] = s
			}
		}
	}()
	for i := len(keys) - 1; i >= 0; i-- {
		key, err := proof.Verifier(keys[i])
		if err != nil || key.Name() != proof.Origin(r.d.Shop, l.Device) {
			continue
		}
		got.key = key
		states := make(map[int64]*state)
		signed := 0
		var last *state
		for _, s := range l.States {
			raw, err := r.load(CheckpointPath(l.Device, s.Size), MaxCheckpointBytes)
			if err != nil {
				return err
			}
			if raw == nil {
				continue
			}
			next := r.open(raw, s, last, l.Device, keys[i])
			states[s.Size] = next
			if next.signed {
				signed, last = signed+1, next
			}
		}
		if len(got.states) == 0 || signed > 0 {
			got.states = states
		}
		if signed > 0 {
			return nil
		}
	}
	return nil
}

// open opens one state. It counts as signed if it has grown from the last one
// that does.
func (r *reading) open(raw []byte, s State, last *state, device journal.DeviceID, key string) *state {
	c, err := r.opened(raw, device, key)
	if err != nil || c.Size != s.Size {
		return &state{Checkpoint: proof.Checkpoint{Size: s.Size, Note: raw}}
	}
	got := &state{Checkpoint: c, signed: last == nil || grown(s.Grown, c.Size, c.Root, last.Size, last.Root)}
	r.countersigned(got, raw, device, key)
	return got
}

func (r *reading) opened(raw []byte, device journal.DeviceID, key string) (proof.Checkpoint, error) {
	if device == r.d.Hub {
		return r.reg.hub.OpenState(raw)
	}
	v, err := proof.Verifier(key)
	if err != nil {
		return proof.Checkpoint{}, err
	}
	return proof.Open(raw, v)
}

// hasLineOf reports whether somebody of the name signed a note, well or not.
func hasLineOf(raw []byte, name string) bool {
	return bytes.Contains(raw, []byte("\n— "+name+" "))
}

// grown checks a proof that a log of the root from grew to the root to.
func grown(hashes []journal.Digest, size int64, to tlog.Hash, old int64, from tlog.Hash) bool {
	p := make(tlog.TreeProof, len(hashes))
	for i, h := range hashes {
		p[i] = tlog.Hash(h)
	}
	return tlog.CheckTree(p, size, to, old, from) == nil
}

// prove holds an entry's proof against the states of its log.
func (r *reading) prove(e *entry) error {
	l := r.logs[e.At.Device]
	if l == nil || !e.here {
		return nil
	}
	raw, err := r.load(ProofPath(e.At), MaxProofBytes)
	if err != nil || raw == nil {
		return err
	}
	var p tlogproof.TLogProof
	if p.Unmarshal(raw) != nil || !bytes.Equal(p.Marshal(), raw) || p.Index != uint64(e.At.Index) {
		return nil
	}
	hashes := make(tlog.RecordProof, len(p.Hashes))
	for i, h := range p.Hashes {
		hashes[i] = h
	}
	if s := l.notes[string(p.Checkpoint)]; s != nil && tlog.CheckRecord(hashes, s.Size, s.Root, e.At.Index, e.leaf) == nil {
		e.in = s
	}
	return nil
}
