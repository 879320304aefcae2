package record

import (
	"cmp"
	"fmt"
	"slices"
	"sync"

	"fettlebook/journal"
	"fettlebook/journal/order"
	"fettlebook/journal/proof"
)

// Taken says how an entry came into the record that is only quoted here: it
// lay in a log that counts no more, and was taken over.
type Taken struct {
	At     journal.EntryID  `json:"at"`     // the entry.takenover entry
	Device journal.DeviceID `json:"device"` // in whose log that lies
	Index  int64            `json:"index"`  // and where
	Time   journal.Stamp    `json:"time"`   // when it was taken over
	Branch journal.Branch   `json:"branch"`
}

// quote is what an entry quotes. It is shared by all books that hold the entry.
type quote struct {
	*journal.TakenOver
	by  *journal.Entry // that quotes
	sum [32]byte       // of the quoted bytes

	mu     sync.Mutex
	proven map[string]bool // by the keys that were asked
}

// isProven reports whether the quoted log's device signed the entry, by one of
// the keys that the register knows of it.
func (q *quote) isProven(keys []string) bool {
	all := fmt.Sprint(keys)
	q.mu.Lock()
	defer q.mu.Unlock()
	is, known := q.proven[all]
	if !known {
		is = proof.CheckQuote(q.TakenOver, q.by.Source.Shop, keys) == nil
		q.proven = map[string]bool{all: is}
	}
	return is
}

// wrote is the entry as it lies in the log; what counts of it is h.entry.
func (h *held) wrote() *journal.Entry {
	if h.quote != nil {
		return h.quote.by
	}
	return h.entry
}

// voidWith is why the entry counts for nothing, by the keys of devices.
func (h *held) voidWith(by journal.Authority, keys map[journal.DeviceID][]string) journal.Void {
	if v := h.void(by); v != "" || h.quote == nil || h.quote.isProven(keys[h.quote.Device]) {
		return v
	}
	return journal.NotProven
}

// keys gathers the keys with which the register enrolled devices, and the
// hub's own.
func (b *Book) keys() map[journal.DeviceID][]string {
	by := b.authority()
	keys := make(map[journal.DeviceID][]string)
	for _, h := range b.register {
		if h.void(by) != "" {
			continue
		}
		switch p := h.payload.(type) {
		case *journal.Shop:
			keys[h.at.Device] = append(keys[h.at.Device], p.LogKey)
		case *journal.KeyChange:
			keys[h.at.Device] = append(keys[h.at.Device], p.LogKey)
		case *journal.Device:
			keys[p.Device] = append(keys[p.Device], p.LogKey)
		}
	}
	for device, list := range keys {
		slices.Sort(list)
		keys[device] = slices.Compact(list)
	}
	return keys
}

// take makes the line of what an entry quotes, or, if that does not count, of
// the quote itself.
func (h *held) take(l *Line) {
	by := h.quote.by
	l.says = h.quote.sum
	if l.void {
		l.Kind, l.Version, l.About = by.Type.Kind, by.Type.Version, by.Type.Kind.About()
		l.Device, l.Index, l.Data, l.Payload = by.Source.Device, h.at.Index, by.Data, h.quote.TakenOver
		l.Clocks.Device, l.Clocks.Boot, l.Clocks.Uptime, l.Clocks.Seen = by.Time, by.Boot, by.Uptime, by.Seen.Size
		return
	}
	l.Index = h.quote.Index
	l.Taken = &Taken{At: by.ID, Device: by.Source.Device, Index: h.at.Index, Time: by.Time, Branch: h.quote.Branch}
	l.flag(TakenOver)
}

// once has each entry count once: in its own log if it does there, else where
// it was taken over first. An entry is known by its log and its id, which rises
// there; so nobody counts twice with one id either.
func (f *folding) once() {
	type entry struct {
		device journal.DeviceID
		id     journal.EntryID
	}
	counts := make(map[entry]bool)
	var quotes []*Line
	for i := range f.lines {
		switch l := &f.lines[i]; {
		case !l.Counts():
		case l.Taken != nil:
			quotes = append(quotes, l)
		default:
			counts[entry{l.Device, l.ID}] = true
		}
	}
	if len(quotes) == 0 {
		return
	}
	slices.SortFunc(quotes, func(a, b *Line) int { return a.stands.Compare(b.stands) })
	for _, l := range quotes {
		if e := (entry{l.Device, l.ID}); counts[e] {
			l.annul(journal.CountsAlready)
		} else {
			counts[e] = true
		}
	}
}

// Came says where an entry was taken over from, whom it is by and when; "" of
// one that was written where it lies.
func (s *Shop) Came(l *Line) string {
	if l.Taken == nil {
		return ""
	}
	return fmt.Sprintf("taken over from %s, written %s, by %s", s.DeviceName(l.Device), l.Clocks.Device.Said(s.Writing()), s.Initials(l.By))
}

// lane is what comes late in an order that is as true as that of replay: a
// device's own entries, or what was taken over in its log.
type lane struct {
	of     journal.DeviceID
	quotes bool
}

func (a lane) compare(b lane) int {
	return cmp.Or(cmp.Compare(a.of, b.of), compareBool(a.quotes, b.quotes))
}

func laneOf(p *order.Placed) lane { return lane{p.Device, p.Quoted} }
