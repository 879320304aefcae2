package worktest

import (
	"container/heap"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"io"
	"iter"
	"math/rand/v2"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
)

// The shop and its devices.
const (
	Shop   journal.ShopID   = "w0rkt3st"
	Office journal.DeviceID = "office"
)

// Tablets are the devices at the benches and at the counter.
func Tablets() []journal.DeviceID { return []journal.DeviceID{"bench-1", "bench-2", "counter"} }

// Devices are the hub and the tablets.
func Devices() []journal.DeviceID { return append([]journal.DeviceID{Office}, Tablets()...) }

// Key returns the key that signs a device's log in a history of the seed.
func Key(seed string, device journal.DeviceID) (proof.Key, error) {
	return proof.NewKey(journaltest.Rand(seed+" key of "+string(device)), proof.Origin(Shop, device))
}

// Options bend a history. The zero value is a plain one.
type Options struct {
	// Old leaves out what entries say of other logs, as programs did that did
	// not know how.
	Old bool
	// Card is shown the customer cards, which lie beside the logs.
	Card func(journal.CardState)
	// Cosign is the hub's key for countersignatures; left out, it is one whose
	// private half nobody has.
	Cosign string
	// Photo gives a photograph of which the bytes are somewhere; left out,
	// photographs are names without bytes.
	Photo func(n int) journal.Photo
	// Large has the shop do one job that is as large as jobs get, and one beside
	// it: its four corners are done so many times over before it is handed back,
	// and there is a complaint, which is decided last. Left out, jobs are like all
	// others.
	Large int
	// Opened is told the large job.
	Opened func(journal.JobID)
	// Covers has seals say what they cover, which is what the hub held.
	Covers bool
}

// New yields the entries of a history as they reach the hub, until it was
// asked for no more: it has no end. Of each log they come in order.
func New(seed string, o Options) iter.Seq2[journal.Logged, error] {
	return func(yield func(journal.Logged, error) bool) {
		w, err := newWork(seed, o)
		if err != nil {
			yield(journal.Logged{}, err)
			return
		}
		for {
			l, err := w.next()
			if !yield(l, err) || err != nil {
				return
			}
		}
	}
}

// First yields the first n of a sequence.
func First[T any](n int, all iter.Seq2[T, error]) iter.Seq2[T, error] {
	return func(yield func(T, error) bool) {
		left := n
		for x, err := range all {
			if left--; left < 0 || !yield(x, err) {
				return
			}
		}
	}
}

// work is a history in the making.
type work struct {
	opts Options
	dice *rand.Rand
	rand io.Reader // of names and cards

	devices map[journal.DeviceID]*device
	lies    map[string]journal.Position // of entries, by their bytes, if seals are to say what they cover
	ahead   plan
	planned time.Time // the first day that is not planned yet
	sent    []journal.Logged
	newest  journal.EntryID // the greatest that reached the hub
	shop    shop
}

// opening is the first day of every shop: a Monday.
var opening = journaltest.Morning

func newWork(seed string, o Options) (*work, error) {
	sum := sha256.Sum256([]byte(seed))
	w := &work{
		opts:    o,
		dice:    rand.New(rand.NewPCG(binary.BigEndian.Uint64(sum[:]), binary.BigEndian.Uint64(sum[8:]))),
		rand:    journaltest.Rand(seed + " names"),
		devices: map[journal.DeviceID]*device{},
		lies:    map[string]journal.Position{},
		planned: opening(),
	}
	for _, name := range Devices() {
		w.devices[name] = newDevice(seed, name)
	}
	if err := w.found(seed); err != nil {
		return nil, err
	}
	return w, nil
}

// next returns the next entry that reaches the hub.
func (w *work) next() (journal.Logged, error) {
	for len(w.sent) == 0 {
		if len(w.ahead) == 0 || !w.ahead[0].at.Before(w.planned) {
			if err := w.planDay(); err != nil {
				return journal.Logged{}, err
			}
			continue
		}
		if err := w.do(heap.Pop(&w.ahead).(*step)); err != nil {
			return journal.Logged{}, err
		}
	}
	l := w.sent[0]
	w.sent = w.sent[1:]
	return l, nil
}

// step is one entry that somebody is going to write, or something else that
// happens.
type step struct {
	at   time.Time
	turn int // of steps at the same instant

	on    journal.DeviceID
	by    journal.PersonID
	about journal.Subject
	data  func() (journal.Payload, error)
	wrote func(e *journal.Entry, raw []byte)
	then  func() error // instead of an entry
}

// plan is what lies ahead, the next first.
type plan []*step

func (p plan) Len() int { return len(p) }
func (p plan) Less(i, j int) bool {
	return p[i].at.Before(p[j].at) || p[i].at.Equal(p[j].at) && p[i].turn < p[j].turn
}
func (p plan) Swap(i, j int) { p[i], p[j] = p[j], p[i] }
func (p *plan) Push(s any)   { *p = append(*p, s.(*step)) }
func (p *plan) Pop() any {
	last := (*p)[len(*p)-1]
	*p = (*p)[:len(*p)-1]
	return last
}

func (w *work) add(s *step) {
	w.shop.turns++
	s.turn = w.shop.turns
	heap.Push(&w.ahead, s)
}

// do writes the entry of a step. It reaches the hub at once, or when its
// tablet is online again.
func (w *work) do(s *step) error {
	if s.then != nil {
		return s.then()
	}
	data, err := s.data()
	if err != nil {
		return err
	}
	d := w.devices[s.on]
	if !d.offline {
		w.catchUp(d)
	}
	l, e, err := d.write(s.at, journal.Draft{Subject: s.about, By: s.by, Data: data})
	if err != nil {
		return fmt.Errorf("%s at %v: %w", s.on, s.at, err)
	}
	if w.opts.Covers {
		w.lies[string(l.Bytes)] = l.Position
	}
	if s.wrote != nil {
		s.wrote(e, l.Bytes)
	}
	d.unsent = append(d.unsent, l)
	if !d.offline {
		w.send(d)
	}
	return nil
}

// catchUp lets a device hold all that reached the hub.
func (w *work) catchUp(d *device) {
	for _, name := range Devices() {
		if other := w.devices[name]; other != d {
			d.hold(other, w.opts.Old)
		}
	}
	d.author.Clock.Follow(w.newest)
}

// send brings a device's entries to the hub.
func (w *work) send(d *device) {
	w.sent = append(w.sent, d.unsent...)
	d.unsent = d.unsent[:0:0]
	d.sent, d.root = d.tree.Size(), d.tree.Root()
	if string(w.newest[:]) < string(d.last[:]) {
		w.newest = d.last
	}
}
