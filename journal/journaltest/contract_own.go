package journaltest

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/proof"
)

func appendAndRead(t *testing.T, p Pair) {
	var device journal.DeviceID
	var want [][]byte
	for _, d := range Samples() {
		e, err := p.Mine.Append(t.Context(), d)
		if err != nil {
			t.Fatalf("append %s: %v", d.Data.Kind(), err)
		}
		raw, err := e.Encode()
		if err != nil {
			t.Fatal(err)
		}
		device, want = e.Source.Device, append(want, raw)
	}
	same(t, read(t, p.Mine, device, 0), want)
}

func idsRise(t *testing.T, p Pair) {
	device := write(t, p.Mine, Minimal()...)
	all := read(t, p.Mine, device, 0)
	var last journal.EntryID
	for i, raw := range all {
		e, err := journal.Decode(raw)
		if err != nil {
			t.Fatalf("entry %d: %v", i, err)
		}
		if bytes.Compare(e.ID[:], last[:]) <= 0 {
			t.Fatalf("entry %d has id %s after %s", i, e.ID, last)
		}
		last = e.ID
	}
	same(t, read(t, p.Mine, device, 3), all[3:])
	same(t, read(t, p.Mine, device, int64(len(all))), nil)
}

// bulky is a valid draft that is larger than an entry may be.
func bulky() journal.Draft {
	d := Sample(journal.ProbeLogged)
	numbers := journal.Readings(strings.TrimSpace(strings.Repeat("100.000000 ", journal.MaxReadings)))
	d.Data = &journal.ProbeTrace{
		Unit: "°C", Seconds: journal.Series(numbers),
		Channels: []journal.Channel{{Channel: "1", Readings: numbers}},
	}
	d.Thumbs = nil
	return d
}

func refusedDrafts(t *testing.T, p Pair) {
	device := write(t, p.Mine, Sample(journal.JobOpened), Sample(journal.NoteMade))
	before := read(t, p.Mine, device, 0)

	noThumb := Sample(journal.PhotoTaken)
	noThumb.Thumbs = nil
	for name, d := range map[string]journal.Draft{
		"empty":                        {},
		"no person":                    {Subject: onJob(), Data: &journal.Remark{Evidence: journal.Evidence{Note: "x"}}},
		"a field is missing":           {Subject: onJob(), By: Io, Data: &journal.RoadTest{}},
		"the thumbnail is missing":     noThumb,
		"larger than an entry":         bulky(),
		"the subject is not a subject": {Subject: "job", By: Io, Data: &journal.Remark{Evidence: journal.Evidence{Note: "x"}}},
	} {
		if e, err := p.Mine.Append(t.Context(), d); err == nil {
			t.Errorf("%s: was taken as %s", name, e.ID)
		}
	}
	same(t, read(t, p.Mine, device, 0), before)
	write(t, p.Mine, Sample(journal.RoadTested))
	if h := head(t, p.Mine, device); h.Size != 3 {
		t.Errorf("after the refusals the log has %d entries, want 3", h.Size)
	}
}

const writers, each = 8, 12

// numbered is a remark that can be told from all others.
func numbered(writer, n int) journal.Draft {
	return journal.Draft{Subject: onJob(), By: Io, Data: &journal.Remark{Evidence: journal.Evidence{Note: fmt.Sprintf("remark %d of writer %d", n, writer)}}}
}

// together runs all writers at once.
func together(t *testing.T, write func(writer int) error) {
	t.Helper()
	errs := make([]error, writers)
	var wg sync.WaitGroup
	for w := range writers {
		wg.Go(func() { errs[w] = write(w) })
	}
	wg.Wait()
	if err := errors.Join(errs...); err != nil {
		t.Fatal(err)
	}
}

// landed fails unless every writer's remarks are in the log once and in its
// order.
func landed(t *testing.T, j Journal, device journal.DeviceID) {
	t.Helper()
	next := make(map[int]int)
	for i, raw := range read(t, j, device, 0) {
		e, err := journal.Decode(raw)
		if err != nil {
			t.Fatalf("entry %d: %v", i, err)
		}
		data, err := e.Payload()
		if err != nil {
			t.Fatalf("entry %d: %v", i, err)
		}
		var writer, n int
		if _, err := fmt.Sscanf(data.(*journal.Remark).Note, "remark %d of writer %d", &n, &writer); err != nil {
			t.Fatalf("entry %d: %v", i, err)
		}
		if n != next[writer] {
			t.Fatalf("entry %d is remark %d of writer %d, want %d", i, n, writer, next[writer])
		}
		next[writer]++
	}
	for w := range writers {
		if next[w] != each {
			t.Errorf("writer %d has %d entries, want %d", w, next[w], each)
		}
	}
}

func concurrentAppends(t *testing.T, p Pair) {
	var device journal.DeviceID
	var once sync.Once
	together(t, func(w int) error {
		for n := range each {
			e, err := p.Mine.Append(t.Context(), numbered(w, n))
			if err != nil {
				return err
			}
			once.Do(func() { device = e.Source.Device })
		}
		return nil
	})
	landed(t, p.Mine, device)
	headsAgree(t, p.Mine, device)
}

func badNeighbour(t *testing.T, p Pair) {
	var device journal.DeviceID
	var once sync.Once
	tooLarge := bulky()
	together(t, func(w int) error {
		for n := range each {
			if n%3 == w%3 {
				if _, err := p.Mine.Append(t.Context(), tooLarge); err == nil {
					return errors.New("an entry that is too large was taken")
				}
			}
			e, err := p.Mine.Append(t.Context(), numbered(w, n))
			if err != nil {
				return fmt.Errorf("a good draft beside a bad one: %w", err)
			}
			once.Do(func() { device = e.Source.Device })
		}
		return nil
	})
	landed(t, p.Mine, device)
	headsAgree(t, p.Mine, device)
}

// headsAgree checks a head against the entries it is over.
func headsAgree(t *testing.T, j Journal, device journal.DeviceID) {
	t.Helper()
	all := read(t, j, device, 0)
	h := head(t, j, device)
	if h.Size != int64(len(all)) {
		t.Fatalf("the head says %d entries and %d were read", h.Size, len(all))
	}
	if s := segment(t, j, device, 0); s.End() == h.Size && !bytes.Equal(s.Checkpoint, h.Checkpoint) {
		t.Fatalf("the head's checkpoint is\n%s\nand the segment's\n%s", h.Checkpoint, s.Checkpoint)
	}
}

func headsSigned(t *testing.T, p Pair) {
	verifier, err := proof.Verifier(p.OtherKey.Verifier())
	if err != nil {
		t.Fatal(err)
	}
	for i, d := range Minimal()[:9] {
		device := write(t, p.Other, d)
		h := head(t, p.Other, device)
		c, err := proof.Open(h.Checkpoint, verifier)
		if err != nil {
			t.Fatalf("after %d entries: %v", i+1, err)
		}
		if all := read(t, p.Other, device, 0); h.Size != int64(i+1) || c.Size != h.Size || c.Root != root(all) {
			t.Fatalf("after %d entries the head says %d, its checkpoint %d and %s, the entries have root %s", i+1, h.Size, c.Size, c.Root, root(all))
		}
	}
}
