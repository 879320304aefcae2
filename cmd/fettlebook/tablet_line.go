package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/sync/broker"
	"fettlebook/sync/segment"
	"fettlebook/sync/uplink"
)

// line joins a tablet's folder to its hub. once is how long each address is tried if it is
// tried only once; zero goes on trying.
func (t *terminal) line(f *folder.Folder, codec *segment.Codec, once time.Duration) (*uplink.Wire, *uplink.Uplink, error) {
	line, err := folder.ReadLineKey(f.Dir)
	if err != nil {
		return nil, nil, err
	}
	seed, err := line.Seed()
	if err != nil {
		return nil, nil, fmt.Errorf("read line key: %w", err)
	}
	brokers := t.brokers(f.Brokers)
	wire, err := uplink.Connect(uplink.LineConfig{Shop: f.Shop, Device: f.Device, Brokers: brokers,
		TLS: broker.PinnedTLS(func() string { return f.Pin(context.Background()) }), Seed: seed, Logger: t.Logger, Once: once})
	if err != nil {
		return nil, nil, err
	}
	return wire, uplink.New(uplink.Config{
		Shop: f.Shop, Device: f.Device, Line: wire, Log: f.Log, History: f.Log, Receipts: f.Log, Cards: f.Log,
		Photos: f.Log, Originals: f.Photos, Agreed: f.SaysAgreed, Codec: codec, Now: t.Now, Compared: f.Log.Compared, Alive: wire.Alive, Logger: t.Logger,
		Found: func(ctx context.Context, list []string) { t.found(ctx, f, wire, list) },
	}), nil
}

// brokers are the addresses at which a tablet looks for its hub: those that were named when
// it was started and no others, else those that it remembers.
func (t *terminal) brokers(remembered []string) []string {
	if len(t.Brokers) > 0 {
		return t.Brokers
	}
	return remembered
}

// found remembers where a hub was met and where it says that it is to be found.
func (t *terminal) found(ctx context.Context, f *folder.Folder, wire *uplink.Wire, list []string) {
	if at := wire.At(); at != "" {
		list = append([]string{at}, list...)
	}
	kept, err := f.Remember(list)
	if err == nil {
		err = wire.Learn(t.brokers(kept))
	}
	if err != nil {
		t.Logger.WarnContext(ctx, "keep where the hub is", "error", err)
	}
}

// meeting is how long a program waits for its hub before it writes without. On a shop's
// network a hub answers within milliseconds, and who is elsewhere must not wait long.
const meeting = 2 * time.Second

// meet has a tablet that was put back from an older copy find that out before it writes,
// whenever its hub is in reach.
func (t *terminal) meet(ctx context.Context, f *folder.Folder) (err error) {
	ctx, cancel := context.WithTimeout(ctx, meeting)
	defer cancel()
	codec, err := segment.NewCodec()
	if err != nil {
		return err
	}
	defer codec.Close()
	wire, up, err := t.line(f, codec, meeting)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, wire.Close()) }()
	return up.Meet(ctx)
}
