package evidencetest

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"

	"golang.org/x/mod/sumdb/tlog"
)

// The devices.
const (
	Hub   journal.DeviceID = "office"
	Bench journal.DeviceID = "t3fz8c1n"
	Rack  journal.DeviceID = "t9aa0b2c"
)

// shop is a hub and its tablets, all online.
type shop struct {
	t      testing.TB
	dice   *rand.Rand
	watch  *journaltest.Watch
	cosign proof.Key
	logs   map[journal.DeviceID]*log
}

// log is one device's log with its states that were countersigned.
type log struct {
	device journal.DeviceID
	author *journaltest.Author
	key    proof.Key
	before []reign // the hub's keys from before, the first ones first
	tree   proof.Tree
	stored nodes
	raw    [][]byte
	roots  []tlog.Hash // by size
	noted  map[int64][]byte
	held   map[int64]time.Time
	sizes  []int64 // countersigned, rising
}

// reign is the keys with which the hub signed its states up to a size.
type reign struct {
	until       int64
	log, cosign proof.Key
}

// keyAt is the key that signs the state of a log of a size.
func (l *log) keyAt(size int64) proof.Key {
	for _, r := range l.before {
		if size <= r.until {
			return r.log
		}
	}
	return l.key
}

// keys lists the keys of a log, the first one first.
func (l *log) keys() (list []string) {
	for _, r := range l.before {
		list = append(list, r.log.Verifier())
	}
	return append(list, l.key.Verifier())
}

// nodes are the hashes of a log, as tlog numbers them.
type nodes []tlog.Hash

// ReadHashes implements tlog.HashReader.
func (n nodes) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	list := make([]tlog.Hash, len(indexes))
	for i, at := range indexes {
		list[i] = n[at]
	}
	return list, nil
}

func newShop(t testing.TB, seed string) *shop {
	t.Helper()
	s := &shop{t: t, watch: journaltest.NewWatch(journaltest.Morning()), logs: make(map[journal.DeviceID]*log)}
	var b [16]byte
	if _, err := journaltest.Rand(seed + " dice").Read(b[:]); err != nil {
		t.Fatal(err)
	}
	s.dice = rand.New(rand.NewPCG(uint64(b[0])<<8|uint64(b[1]), uint64(b[2])<<8|uint64(b[3])))
	s.cosign = s.newKey(seed+" cosign", proof.CosignerName(journaltest.Shop))
	for _, d := range []journal.DeviceID{Hub, Bench, Rack} {
		s.logs[d] = &log{device: d, author: journaltest.NewAuthor(d, s.watch, seed+string(d)), key: s.newKey(seed+" key "+string(d), proof.Origin(journaltest.Shop, d)),
			roots: []tlog.Hash{{}}, noted: make(map[int64][]byte), held: make(map[int64]time.Time)}
	}
	return s
}

func (s *shop) newKey(seed, name string) proof.Key {
	k, err := proof.NewKey(journaltest.Rand(seed), name)
	if err != nil {
		s.t.Fatal(err)
	}
	return k
}

// write appends an entry that cites all that the hub holds.
func (s *shop) write(device journal.DeviceID, about journal.Subject, data journal.Payload) evidence.At {
	s.t.Helper()
	s.watch.Advance(time.Duration(20+s.dice.IntN(200)) * time.Second)
	l := s.logs[device]
	l.author.After = nil
	for _, other := range []journal.DeviceID{Hub, Bench, Rack} {
		if o := s.logs[other]; other != device && len(o.sizes) > 0 {
			size := o.sizes[len(o.sizes)-1]
			root := o.roots[size]
			l.author.After = append(l.author.After, journal.Prefix{Device: other, Size: size, Root: [16]byte(root[:16])})
			if other == Hub {
				l.author.Seen = journal.Seen{Size: size, Root: root}
			}
		}
	}
	slices.SortFunc(l.author.After, func(a, b journal.Prefix) int { return strings.Compare(string(a.Device), string(b.Device)) })
	raw, err := l.author.Encoded(journal.Draft{Subject: about, By: journaltest.Io, Data: data})
	if err != nil {
		s.t.Fatal(err)
	}
	at := l.append(raw)
	if s.dice.IntN(3) == 0 {
		s.countersign(device)
	}
	return at
}

func (l *log) append(raw []byte) evidence.At {
	at := evidence.At{Device: l.device, Index: int64(len(l.raw))}
	l.raw = append(l.raw, raw)
	l.stored = append(l.stored, l.tree.Append(raw)...)
	l.roots = append(l.roots, l.tree.Root())
	return at
}

// countersign has the hub take in what a device wrote.
func (s *shop) countersign(device journal.DeviceID) {
	s.t.Helper()
	l := s.logs[device]
	size := int64(len(l.raw))
	if slices.Contains(l.sizes, size) || size == 0 {
		return
	}
	s.watch.Advance(time.Second)
	l.noted[size], l.held[size] = s.sign(l, size, s.watch.Now()), s.watch.Now().UTC().Truncate(time.Second)
	l.sizes = append(l.sizes, size)
}

// sign signs and countersigns a state of a log.
func (s *shop) sign(l *log, size int64, at time.Time) []byte {
	s.t.Helper()
	signs := l.keyAt(size)
	key, err := proof.Verifier(signs.Verifier())
	if err != nil {
		s.t.Fatal(err)
	}
	signed, err := proof.Sign(signs.Signer(), size, l.roots[size])
	if err != nil {
		s.t.Fatal(err)
	}
	c, err := proof.Open(signed, key)
	if err != nil {
		s.t.Fatal(err)
	}
	both, err := proof.Countersign(c, key, s.cosign.Cosigner(func() time.Time { return at }))
	if err != nil {
		s.t.Fatal(err)
	}
	return both
}

// covering returns the first countersigned state that covers an entry.
func (l *log) covering(index int64) int64 {
	i, _ := slices.BinarySearch(l.sizes, index+1)
	return l.sizes[i]
}

func (s *shop) entry(at evidence.At) *journal.Entry {
	s.t.Helper()
	e, err := journal.Decode(s.logs[at.Device].raw[at.Index])
	if err != nil {
		s.t.Fatal(fmt.Errorf("entry %s: %w", at, err))
	}
	return e
}
