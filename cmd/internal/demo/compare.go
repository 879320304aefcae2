package demo

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
	"fettlebook/media/photodir"

	"github.com/go-json-experiment/json"
)

// Result is what the day came to.
type Result struct {
	Machines []Standing `json:"machines"`
	// Vehicles are the plates of those that the figures are of.
	Vehicles []string `json:"vehicles"`
	// Same says that the record at the hub is, byte for byte, the record
	// folded from the logs that each machine wrote itself, the hub's times of
	// receipt left out, and that the hold points stand the same.
	Same   bool  `json:"same"`
	Bytes  int   `json:"record_bytes"`
	Photos int   `json:"originals_at_hub"`
	Took   int64 `json:"took_ms"`
	// Began and Ended are by the clock of the day, which was set.
	Began time.Time `json:"clock_began"`
	Ended time.Time `json:"clock_ended"`
}

// Standing is how one machine's own log stands.
type Standing struct {
	Name          string           `json:"name"`
	Device        journal.DeviceID `json:"device"`
	Entries       int64            `json:"entries"`
	AtHub         int64            `json:"at_hub"`
	Countersigned int64            `json:"countersigned"`
	PhotosWaiting int              `json:"photos_waiting"`
	Dir           string           `json:"folder"`
}

// Sum folds what lies in the three folders and compares.
func (d *Day) Sum(ctx context.Context) (*Result, error) {
	r := &Result{Took: d.cfg.Now().Sub(d.begun).Milliseconds(), Began: d.began, Ended: d.now()}
	hub, err := openShelf(ctx, d.hub.dir)
	if err != nil {
		return nil, err
	}
	defer hub.Close()
	atHub, err := record.Fold(hub.Authority(), hub.All(ctx))
	if err != nil {
		return nil, err
	}
	own := record.NewBook(hub.Authority())
	for _, m := range []*machine{d.hub, d.benchs["bench 1"], d.benchs["bench 2"]} {
		if err := d.sumMachine(ctx, r, own, hub, m); err != nil {
			return nil, fmt.Errorf("sum up %s: %w", m.name, err)
		}
	}
	for _, v := range atHub.Vehicles {
		r.Vehicles = append(r.Vehicles, v.Plates[0])
	}
	if err := r.compare(atHub, own.Shop()); err != nil {
		return nil, err
	}
	for _, err := range photodir.OpenToRead(folder.PhotosPath(d.hub.dir)).All(ctx) {
		if err != nil {
			return nil, err
		}
		r.Photos++
	}
	return r, nil
}

// sumMachine adds a machine's own log. The hub's own log is read from the
// copy on bench 1: what the tablets hold is what the hub is measured by.
func (d *Day) sumMachine(ctx context.Context, r *Result, own *record.Book, hub *shelf, m *machine) error {
	s, err := openShelf(ctx, m.dir)
	if err != nil {
		return err
	}
	from := s
	if m == d.hub {
		if from, err = openShelf(ctx, d.benchs["bench 1"].dir); err != nil {
			return err
		}
		defer from.Close()
	}
	for e, err := range from.Entries(ctx, s.Device, 0) {
		if err != nil {
			return err
		}
		own.Add(e)
	}
	return errors.Join(r.stand(ctx, hub, s, m), s.Close())
}

func (r *Result) stand(ctx context.Context, hub, s *shelf, m *machine) error {
	head, err := s.Head(ctx, s.Device)
	if err != nil {
		return err
	}
	there, err := hub.Head(ctx, s.Device)
	if err != nil {
		return err
	}
	c, err := hub.LastCountersigned(ctx, s.Device)
	if err != nil {
		return err
	}
	waiting, err := s.Unconfirmed(ctx)
	if err != nil {
		return err
	}
	if m.name == "hub" {
		waiting = nil // its photos are where they belong
	}
	r.Machines = append(r.Machines, Standing{Name: m.name, Device: s.Device, Entries: head.Size, AtHub: there.Size,
		Countersigned: c.Size, PhotosWaiting: len(waiting), Dir: m.dir})
	return nil
}

// compare holds the two records against each other.
func (r *Result) compare(atHub, own *record.Shop) error {
	r.Same = len(atHub.Vehicles) == len(own.Vehicles) && len(atHub.Vehicles) > 0
	for i, v := range atHub.Vehicles {
		a, err := v.JSON(record.Options{})
		if err != nil {
			return err
		}
		r.Bytes += len(a)
		if !r.Same {
			continue
		}
		b, err := own.Vehicles[i].JSON(record.Options{})
		if err != nil {
			return err
		}
		same, err := sameHolds(v, atHub, own.Vehicles[i], own)
		if err != nil {
			return err
		}
		r.Same = bytes.Equal(a, b) && same
	}
	return nil
}

// sameHolds reports whether the hold points of a vehicle's jobs stand the
// same on two machines.
func sameHolds(a *record.Vehicle, atHub *record.Shop, b *record.Vehicle, own *record.Shop) (bool, error) {
	var verdicts [2][]byte
	for i, side := range []struct {
		v    *record.Vehicle
		shop *record.Shop
	}{{a, atHub}, {b, own}} {
		for _, j := range side.v.Jobs {
			pinned, err := route.Pinned(new(card.Shelf), j, side.shop)
			if err != nil && !errors.Is(err, card.ErrNoCard) {
				return false, err
			}
			raw, err := json.Marshal(route.Check(pinned, j, side.shop), json.Deterministic(true))
			if err != nil {
				return false, fmt.Errorf("encode verdicts: %w", err)
			}
			verdicts[i] = append(verdicts[i], raw...)
		}
	}
	return bytes.Equal(verdicts[0], verdicts[1]), nil
}

// WriteRecords writes the records of the day's vehicles as `fettlebook record`
// shows them at the hub.
func (d *Day) WriteRecords(ctx context.Context, r *Result, w io.Writer) error {
	for _, plate := range r.Vehicles {
		text, err := d.command(ctx, "record", "--data", d.hub.dir, plate)
		if err != nil {
			return err
		}
		if _, err := fmt.Fprintf(w, "\n%s\n%s", strings.Repeat("=", 78), text); err != nil {
			return fmt.Errorf("write the record: %w", err)
		}
	}
	return nil
}

// WriteSummary writes how the machines stand.
func (r *Result) WriteSummary(w io.Writer) {
	fmt.Fprintf(w, "\n%s\nSYNC\n\n  %-10s %-10s %8s %8s %14s %15s\n", strings.Repeat("=", 78), "machine", "log", "entries", "at hub", "countersigned", "photos waiting")
	for _, m := range r.Machines {
		fmt.Fprintf(w, "  %-10s %-10s %8d %8d %14d %15d\n", m.Name, m.Device, m.Entries, m.AtHub, m.Countersigned, m.PhotosWaiting)
	}
	verdict := "equal, byte for byte"
	if !r.Same {
		verdict = "NOT equal"
	}
	fmt.Fprintf(w, "\n  records of %s at the hub, against the tablets’ own logs: %s (%d bytes)\n  originals at the hub: %d\n  the clock was set: it began at %s and ended at %s; playing that took %.1f s\n",
		words.And(r.Vehicles...), verdict, r.Bytes, r.Photos, r.Began.Format(dayAndTime), r.Ended.Format(dayAndTime), float64(r.Took)/1000)
}
