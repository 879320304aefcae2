package record

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"errors"
	"fmt"
	"iter"
	"slices"
	"strings"
	"sync"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/order"
	"fettlebook/journal/proof"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"golang.org/x/mod/sumdb/tlog"
)

// Book gathers entries, decodes each once, and folds them as often as asked.
// It is not safe for concurrent use; the shops that it folds are, and stay as
// they are when the book grows.
type Book struct {
	held   []*held
	known  map[[32]byte]*held // by the hash of the entry's bytes
	sorted bool               // held is in the order of replay
	by     journal.Authority

	placing  *placing // nil: to be worked out from the first entry on
	register []*held  // entries on which the order may rest

	late map[*held]late // of a book in another order; see Late
}

// held is an entry in the book.
type held struct {
	sum      [32]byte // of the bytes as they lie in the log
	at       journal.Position
	received time.Time
	raw      []byte         // of bytes that are not an entry
	entry    *journal.Entry // nil for such bytes; what is quoted, of a quote
	quote    *quote         // nil of an entry that was written here
	payload  journal.Payload
	photos   []journal.Photo
	falls    bool // its id does not rise at its position
	flag     Flag // what reading it found, or ""

	leaf   tlog.Hash     // in the tree of its log
	stands *order.Placed // in the order; never changed, but replaced
	given  bool          // stands was said by whoever added it
}

// NewBook returns an empty book of a shop in which the word of by counts.
// Where that names no hub, the device counts as the hub whose log begins with
// the shop's founding; whoever knows better should say so.
func NewBook(by journal.Authority) *Book {
	return &Book{known: make(map[[32]byte]*held), by: by}
}

// Fold folds a stream of entries; see [NewBook]. A broken read is returned and
// nothing is folded, because half a record looks like a whole one.
func Fold(by journal.Authority, entries iter.Seq2[journal.Logged, error]) (*Shop, error) {
	b := NewBook(by)
	for l, err := range entries {
		if err != nil {
			return nil, fmt.Errorf("fold entries: %w", err)
		}
		b.Add(l)
	}
	return b.Shop(), nil
}

// Add takes an entry in. It refuses nothing: bytes that are not an entry are kept
// as such. An entry that is here already is not taken twice, but of several
// times of receipt the first holds. The bytes may be reused afterwards.
func (b *Book) Add(l journal.Logged) {
	h, known := b.take(l)
	switch {
	case h.given:
	case !known && b.placing != nil && b.placing.add(h):
		b.placing = nil
	case known && h.nearer(l.Position):
		h.at, h.falls, b.placing, b.sorted = l.Position, l.Falls, nil, false
	}
}

// Take takes an entry in that was decoded before and whose standing was worked
// out elsewhere, so that a book of a few entries has them in the order of all.
// It is never worked out again.
func (b *Book) Take(d *Decoded, s order.Standing) {
	h := b.known[d.held.sum]
	known := h != nil
	if !known {
		h = b.begin(d.held)
	}
	b.receive(h, d.held.received)
	b.put(h, known, d.held.at, d.held.falls, s)
}

// put has an entry lie and stand where somebody said. Of several places of the
// same bytes the nearest holds.
func (b *Book) put(h *held, known bool, at journal.Position, falls bool, s order.Standing) {
	if known && h.given && h.at != at && !h.nearer(at) {
		return
	}
	h.at, h.falls, h.given, b.sorted = at, falls, true, false
	h.stand(s)
}

// take finds the entry in the book or begins it there.
func (b *Book) take(l journal.Logged) (h *held, known bool) {
	sum := sha256.Sum256(l.Bytes)
	if h := b.known[sum]; h != nil {
		b.receive(h, l.Received)
		return h, true
	}
	return b.begin(Decode(l).held), false
}

// begin begins an entry in the book.
func (b *Book) begin(mine held) *held {
	h := &mine
	b.known[h.sum] = h
	b.held = append(b.held, h)
	b.sorted = false
	switch h.payload.(type) {
	case *journal.Shop, *journal.LogClosing, *journal.LogParting, *journal.LogNote, *journal.Device: // which nobody can quote
		b.register = append(b.register, h)
	}
	return h
}

// receive notes a time of receipt; of several the first holds.
func (b *Book) receive(h *held, at time.Time) {
	if !at.IsZero() && (h.received.IsZero() || at.Before(h.received)) {
		h.received = at.UTC()
	}
}

// Decoded is an entry that was decoded for being taken into books. It is
// never changed.
type Decoded struct {
	held held

	once  sync.Once
	cites []journal.Subject
}

// Decode decodes an entry once for many books. It refuses nothing: bytes that
// are not an entry are kept as such.
func Decode(l journal.Logged) *Decoded {
	h := read(l)
	h.sum = sha256.Sum256(l.Bytes)
	if !l.Received.IsZero() {
		h.received = l.Received.UTC()
	}
	return &Decoded{held: *h}
}

// Void is why the entry counts for nothing where it lies, or "". Of a quote
// that is not all: whether it counts hangs on the register's keys and on what
// else is here.
func (d *Decoded) Void(by journal.Authority) journal.Void { return d.held.void(by) }

// Uncounted is why the entry counts for nothing where it lies, whatever it
// waits for, as a flag of its line has it; "" if it may count.
func (d *Decoded) Uncounted(by journal.Authority) Flag {
	if v := d.Void(by); v != "" {
		return Flag(v)
	}
	return d.held.flag
}

// Received is when the hub had the entry, by its clock; zero if it has not
// signed over it.
func (d *Decoded) Received() time.Time { return d.held.received }

// Position is where the entry lies.
func (d *Decoded) Position() journal.Position { return d.held.at }

// Place is where the entry stands in the order of replay; see [Line.Place].
func (d *Decoded) Place() uint64 {
	if d.held.entry == nil {
		return 0
	}
	return d.held.wrote().ID.Bits()
}

// Entry is the entry that counts, nil for bytes that are none: of a quote what
// is quoted. It is shared: do not change it.
func (d *Decoded) Entry() *journal.Entry { return d.held.entry }

// Quotes reports whether the entry is one that is only quoted here.
func (d *Decoded) Quotes() bool { return d.held.quote != nil }

// Wrote is the entry as it lies in its log, and is [Decoded.Entry] but for a
// quote. It is shared: do not change it.
func (d *Decoded) Wrote() *journal.Entry { return d.held.wrote() }

// Payload is the data as written, nil for a newer kind and for what cannot be
// read. It is shared: do not change it.
func (d *Decoded) Payload() journal.Payload { return d.held.payload }

// Cites is [journal.Cites] of the data, worked out once: whoever gathers what
// belongs together asks again and again. It is shared: do not change it.
func (d *Decoded) Cites() []journal.Subject {
	d.once.Do(func() { d.cites = slices.Clip(journal.Cites(d.held.payload)) })
	return d.cites
}

// Len returns how many different entries the book holds.
func (b *Book) Len() int { return len(b.held) }

func read(l journal.Logged) *held {
	h := &held{at: l.Position, falls: l.Falls, leaf: proof.Leaf(l.Bytes)}
	e, err := journal.Decode(l.Bytes)
	if err != nil {
		h.raw, h.flag = bytes.Clone(l.Bytes), Unreadable
		return h
	}
	if t, quoted := e.Quotes(); t != nil {
		h.quote = &quote{TakenOver: t, by: e, sum: sha256.Sum256([]byte(t.Entry))}
		e = quoted
	}
	h.entry = e
	h.payload, err = e.Payload()
	switch {
	case errors.Is(err, journal.ErrUnknownKind):
		h.flag = NewerKind
	case err != nil:
		h.flag = Unreadable
	}
	h.photos, _ = e.Photos() // only a newer kind can fail here, and is flagged
	return h
}

// nearer reports whether a place of these bytes beats the one that is known:
// the log of the device that the entry names first, then the smallest.
func (h *held) nearer(p journal.Position) bool {
	return cmp.Or(
		compareBool(h.strays(p), h.strays(h.at)),
		cmp.Compare(p.Device, h.at.Device),
		cmp.Compare(p.Index, h.at.Index),
	) < 0
}

// strays reports whether a place is in another log than the entry names.
func (h *held) strays(p journal.Position) bool {
	return h.entry != nil && h.wrote().Source.Device != p.Device
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	default:
		return 1
	}
}

// sort brings the book into the order of replay. Bytes that are not an entry come
// last, log by log.
func (b *Book) sort() {
	if b.known != nil {
		b.place()
	}
	if b.sorted {
		return
	}
	slices.SortFunc(b.held, func(x, y *held) int {
		switch {
		case x.entry != nil && y.entry != nil:
			return x.stands.Compare(y.stands)
		case x.entry == nil && y.entry == nil:
			return cmp.Or(cmp.Compare(x.at.Device, y.at.Device), cmp.Compare(x.at.Index, y.at.Index), bytes.Compare(x.sum[:], y.sum[:]))
		default:
			return compareBool(x.entry == nil, y.entry == nil)
		}
	})
	b.sorted = true
}

// line makes the line of an entry, before anything is known of the others.
func (h *held) line(l *Line) {
	l.Device, l.Index = h.at.Device, h.at.Index
	if !h.received.IsZero() {
		l.Clocks.Received = journal.Stamp(h.received)
	}
	if h.flag != "" {
		l.flag(h.flag)
	}
	l.Raw, l.stands = h.raw, h.stands
	if w := h.stands.Wait; w != nil {
		l.Waits = &Wait{Why: w.Why, Device: w.Device, Entries: w.Size}
		if w.Why != order.Closed {
			l.flag(Waiting)
		}
	}
	e := h.entry
	if e == nil {
		return
	}
	l.ID, l.Kind, l.Version, l.About = e.ID, e.Type.Kind, e.Type.Version, e.Type.Kind.About()
	l.Subject, l.Device, l.By, l.Data, l.Payload = e.Subject, e.Source.Device, e.By, e.Data, h.payload
	l.Clocks.Device, l.Clocks.Boot, l.Clocks.Uptime, l.Clocks.Seen = e.Time, e.Boot, e.Uptime, e.Seen.Size
	for _, p := range h.photos {
		l.Photos = append(l.Photos, Photo{Ref: p.Ref, Thumb: p.Thumb, Role: p.Role, Taken: p.Taken})
	}
	if !h.received.IsZero() && e.ID.Ahead(h.received) {
		l.flag(ClockAhead)
	}
	if l.says = h.sum; h.quote != nil {
		h.take(l)
	}
}

// noteOf returns the remark of an entry's data, whatever its kind.
func noteOf(data jsontext.Value) string {
	if !strings.Contains(string(data), `"note"`) {
		return ""
	}
	var d struct {
		Note string `json:"note"`
	}
	if err := json.Unmarshal(data, &d); err != nil {
		return "" // a newer kind may use the word for something else
	}
	return d.Note
}
