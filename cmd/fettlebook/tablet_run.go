package main

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"fettlebook/cmd/internal/control"
	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/pages/bench"
	"fettlebook/sync/segment"
	"fettlebook/sync/uplink"
)

type tabletRun struct {
	benchAt
	Watch watched  `embed:"" group:"For programs that watch over the machine:"`
	Hub   []string `help:"Where the hub’s broker is, host:port, instead of where it was when the tablet joined; can be given again." placeholder:"ADDRESS"`
}

// Run keeps a tablet in step until it is told to stop.
func (c *tabletRun) Run(ctx context.Context, t *terminal) error {
	t.stays()
	t.Brokers, c.benchAt.watch = c.Hub, c.Watch
	f, err := folder.Open(ctx, t.Data, t.folder())
	if err != nil {
		return stopped(ctx, err)
	}
	modest(tabletMemory)
	if f.Role != folder.Tablet {
		return errors.Join(notA(folder.Tablet, f.Identity), f.Close())
	}
	sayTaken(t.Out, f.Took)
	fmt.Fprintf(t.Out, "%q is up and keeps in step with %q. Stop it with Ctrl-C.\n", f.Name, f.ShopName)
	return errors.Join(stopped(ctx, serveTablet(ctx, t, f, c.benchAt)), f.Close())
}

// serveTablet runs a tablet's sync, its pages and its door.
func serveTablet(ctx context.Context, t *terminal, f *folder.Folder, at benchAt) error {
	codec, err := segment.NewCodec()
	if err != nil {
		return err
	}
	defer codec.Close()
	wire, up, err := t.line(f, codec, 0)
	if err != nil {
		return err
	}
	defer wire.Close()
	site, err := openBench(ctx, t, f, at, hubLine{standing: func() bench.Standing { return benchStanding(up.Status()) }, changed: up.Changed, up: up.Status, keys: benchKeys{t, f, wire}})
	if err != nil {
		return err
	}
	defer site.close(ctx)
	d, err := control.Open(ctx, f.Dir, f, func() any { return tabletStanding(f, up.Status(), site.address) })
	if err != nil {
		return err
	}
	site.say(t)
	defer d.Close(context.WithoutCancel(ctx))
	var beside sync.WaitGroup
	defer beside.Wait()
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	beside.Go(func() { f.KeepCarryingOut(ctx, t.Logger) })
	beside.Go(func() { copiesOf(t, f).Run(ctx) })
	return up.Run(ctx)
}

// tabletStatus is what GET /status at a tablet's door says.
type tabletStatus struct {
	Role          string `json:"role"`
	Name          string `json:"name"`
	Here          int64  `json:"here"`
	AtHub         int64  `json:"at_hub"`
	Countersigned int64  `json:"countersigned"`
	PhotosWaiting int    `json:"photos_waiting"`
	CaughtUp      bool   `json:"caught_up"`
	Connected     string `json:"connected,omitempty"`
	ClockOffset   string `json:"clock_offset,omitempty"`
	Problem       string `json:"problem,omitempty"`
	Pages         string `json:"pages,omitempty"` // where this machine's browser finds the bench
}

func benchStanding(s uplink.Status) bench.Standing {
	return bench.Standing{AtHub: s.AtHub, Connected: s.Connected, Away: s.Away, Refused: s.Refused, Waits: s.Waits, Skew: s.Skew, Problem: s.Problem,
		Done: s.Lane.Done, Of: s.Lane.Of, Sent: s.Lane.Sent, Total: s.Lane.Total}
}

func tabletStanding(f *folder.Folder, s uplink.Status, pages string) tabletStatus {
	st := tabletStatus{Role: string(f.Role), Name: f.Name, Pages: pages, Here: s.Here, AtHub: s.AtHub, Countersigned: s.Countersigned,
		PhotosWaiting: s.PhotosWaiting, CaughtUp: s.CaughtUp, Problem: s.Problem}
	if !s.Connected.IsZero() {
		st.Connected, st.ClockOffset = s.Connected.Format(time.RFC3339), s.Skew.Round(time.Millisecond).String()
	}
	return st
}
