package exchange_test

import (
	"context"
	"errors"
	"iter"
	"log/slog"
	"path/filepath"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/exchange"
	"fettlebook/journal/index"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/shop"
	"fettlebook/journal/trade/unit"
)

// hub is a shop of one machine whose log is in memory.
type hub struct {
	*testing.T
	log    []journal.Logged
	author *journaltest.Author
	watch  *journaltest.Watch
}

const desk journal.DeviceID = "hub"

func newHub(t *testing.T) *hub {
	watch := journaltest.NewWatch(journaltest.Morning())
	h := &hub{T: t, watch: watch, author: journaltest.NewAuthor(desk, watch, "exchange")}
	text, err := card.Supplied(card.Usual)
	if err != nil {
		t.Fatal(err)
	}
	h.write("person/io", &journal.Person{Person: "io", Initials: "IO"})
	h.write("person/jr", &journal.Person{Person: "jr", Initials: "JR"})
	h.write("route/caliper", &journal.RouteCard{Route: card.Usual, Edition: 1, Text: text})
	return h
}

// write writes an entry by JR and returns it.
func (h *hub) write(about journal.Subject, data journal.Payload) *journal.Entry {
	h.Helper()
	e, err := h.try(about, data)
	if err != nil {
		h.Fatalf("%s: %v", about, err)
	}
	return e
}

// try writes an entry by JR if it may be written.
func (h *hub) try(about journal.Subject, data journal.Payload) (*journal.Entry, error) {
	h.watch.Advance(time.Minute)
	e, err := h.author.Write(journal.Draft{Subject: about, By: "jr", Data: data})
	if err != nil {
		return nil, err
	}
	raw, err := e.Encode()
	if err != nil {
		return nil, err
	}
	h.log = append(h.log, journal.Logged{Position: journal.Position{Device: desk, Index: int64(len(h.log))}, Bytes: raw})
	return e, nil
}

// open opens a job of its own vehicle.
func (h *hub) open(id journal.JobID, plate string) journal.Subject {
	about := journal.About(id, "", "")
	h.write(about, &journal.Job{Vehicle: journal.Vehicle{Plate: plate}, Corners: []journal.Corner{journal.LeftFront}, Route: card.Usual, Edition: 1})
	return about
}

// view looks at the shop as it is now.
func (h *hub) view() *shop.View {
	h.Helper()
	idx, _, err := index.Open(h.Context(), filepath.Join(h.TempDir(), "index.db"), slog.New(slog.DiscardHandler))
	if err != nil {
		h.Fatal(err)
	}
	h.Cleanup(func() { _ = idx.Close() })
	in := shop.Open(journal.Authority{Shop: journaltest.Shop, Hub: desk}, h, idx, slog.New(slog.DiscardHandler))
	if err := in.CatchUp(h.Context()); err != nil {
		h.Fatal(err)
	}
	return in.View(h.Context())
}

// source is a job as it is now.
func (h *hub) source(id journal.JobID) *exchange.Source {
	h.Helper()
	view := h.view()
	st := view.Standing(id)
	if st == nil || view.Err() != nil {
		h.Fatalf("job %s: %v", id, view.Err())
	}
	return &exchange.Source{Shop: journaltest.Shop, Jobs: []*shop.Standing{st}, Log: h}
}

func (h *hub) Entries(_ context.Context, _ journal.DeviceID, from int64) iter.Seq2[journal.Logged, error] {
	return func(yield func(journal.Logged, error) bool) {
		for _, e := range h.log[min(from, int64(len(h.log))):] {
			if !yield(e, nil) {
				return
			}
		}
	}
}

func (h *hub) Heads(context.Context) ([]journal.Head, error) {
	return []journal.Head{{Device: desk, Size: int64(len(h.log))}}, nil
}

func (h *hub) Pick(_ context.Context, at []journal.Position) (list []journal.Logged, _ error) {
	for _, p := range at {
		if p.Index < int64(len(h.log)) {
			list = append(list, h.log[p.Index])
		}
	}
	return list, nil
}

func (h *hub) LastCountersigned(context.Context, journal.DeviceID) (journal.Countersigned, error) {
	return journal.Countersigned{}, nil
}

func (h *hub) Suppose(context.Context, journal.Draft) (journal.Logged, error) {
	return journal.Logged{}, errors.New("nothing is supposed")
}

func (h *hub) RootAt(_ context.Context, _ journal.DeviceID, size int64) ([32]byte, error) {
	var tree proof.Tree
	for _, e := range h.log[:size] {
		tree.Append(e.Bytes)
	}
	return tree.Root(), nil
}

// q reads a quantity.
func q[Q interface{ unit.Of[D] }, D unit.Dimension](t *testing.T, text string) Q {
	t.Helper()
	quantity, err := unit.Parse[Q](text)
	if err != nil {
		t.Fatal(err)
	}
	return quantity
}
