package order

import (
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal"
)

// Past is how many entries of each other log are in the past of an entry,
// sorted by device. Of its own log all earlier entries are; they are not
// listed, so that entries which saw the same share one Past. It is shared: do
// not change it.
type Past []Count

// Count is a number of entries of a log, from its beginning.
type Count struct {
	Device journal.DeviceID
	Size   int64
}

// Of returns how many entries of a log are in the past.
func (p Past) Of(device journal.DeviceID) int64 {
	i, ok := slices.BinarySearchFunc(p, device, byDevice)
	if !ok {
		return 0
	}
	return p[i].Size
}

// join returns the past of an entry in the log own, which saw all of p, all
// of q and c.
func join(own journal.DeviceID, p, q Past, c Count) Past {
	all := make(Past, 0, max(len(p), len(q))+1)
	add := func(c Count) {
		n := len(all)
		switch {
		case c.Device == own:
		case n > 0 && all[n-1].Device == c.Device:
			all[n-1].Size = max(all[n-1].Size, c.Size)
		default:
			all = append(all, c)
		}
	}
	one := Past{c}
	for len(p)+len(q)+len(one) > 0 {
		first := &one
		for _, list := range []*Past{&p, &q} {
			if len(*first) == 0 || len(*list) > 0 && strings.Compare(string((*list)[0].Device), string((*first)[0].Device)) < 0 {
				first = list
			}
		}
		add((*first)[0])
		*first = (*first)[1:]
	}
	return all
}

// The written form of a standing: a byte of what follows, the place, the
// number of logs, and of each the length of its name, the name and the size;
// then what it waits for, if it waits.
const (
	isOld = 1 << iota
	waits
)

// AppendBinary appends the written form, which is as short as can be, for a
// store to keep.
func (s Standing) AppendBinary(b []byte) ([]byte, error) {
	var marks byte
	if s.Old {
		marks |= isOld
	}
	if s.Wait != nil {
		marks |= waits
	}
	b = append(b, marks)
	b = binary.AppendUvarint(b, s.Place)
	b = binary.AppendUvarint(b, uint64(len(s.Past)))
	for _, c := range s.Past {
		b = appendCount(b, c)
	}
	if s.Wait != nil {
		b = append(binary.AppendUvarint(b, uint64(len(s.Wait.Why))), s.Wait.Why...)
		b = appendCount(b, Count{s.Wait.Device, s.Wait.Size})
	}
	return b, nil
}

// MarshalBinary returns the written form.
func (s Standing) MarshalBinary() ([]byte, error) { return s.AppendBinary(nil) }

func appendCount(b []byte, c Count) []byte {
	b = append(binary.AppendUvarint(b, uint64(len(c.Device))), c.Device...)
	return binary.AppendUvarint(b, uint64(c.Size))
}

// ErrWritten is wrapped when bytes are not the written form of a standing.
var ErrWritten = errors.New("these bytes are not the standing of an entry")

// UnmarshalBinary reads the written form.
func (s *Standing) UnmarshalBinary(b []byte) error {
	if len(b) == 0 || b[0]&^(isOld|waits) != 0 {
		return fmt.Errorf("%w: it begins with %x", ErrWritten, b[:min(1, len(b))])
	}
	r := reader{rest: b[1:]}
	got := Standing{Old: b[0]&isOld != 0, Place: r.number()}
	logs := r.number()
	if logs > uint64(len(r.rest)) {
		return fmt.Errorf("%w: %d logs in %d bytes", ErrWritten, logs, len(b))
	}
	if logs > 0 {
		got.Past = make(Past, logs)
	}
	for i := range got.Past {
		got.Past[i] = r.count()
		if i > 0 && got.Past[i-1].Device >= got.Past[i].Device {
			r.bad = true
		}
	}
	if b[0]&waits != 0 {
		why := Why(r.text())
		c := r.count()
		got.Wait = &Wait{Why: why, Device: c.Device, Size: c.Size}
	}
	if r.bad || len(r.rest) > 0 {
		return fmt.Errorf("%w: %d bytes", ErrWritten, len(b))
	}
	*s = got
	return nil
}

// reader reads what was appended; bad says that something did not fit.
type reader struct {
	rest []byte
	bad  bool
}

func (r *reader) number() uint64 {
	v, n := binary.Uvarint(r.rest)
	if n <= 0 {
		r.bad, r.rest = true, nil
		return 0
	}
	r.rest = r.rest[n:]
	return v
}

func (r *reader) text() string {
	n := r.number()
	if n > uint64(len(r.rest)) {
		r.bad, r.rest = true, nil
		return ""
	}
	text := string(r.rest[:n])
	r.rest = r.rest[n:]
	return text
}

func (r *reader) count() Count {
	device, size := journal.DeviceID(r.text()), r.number()
	if size > journal.MaxLog {
		r.bad = true
	}
	return Count{Device: device, Size: int64(size)}
}
