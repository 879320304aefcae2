package broker

import (
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"github.com/nats-io/nats-server/v2/server"
)

// ErrStopped: a write of the message store failed, mostly because the disk is
// full, and nothing is stored until there is room again.
var ErrStopped = errors.New("the message store stands still because the disk took no more; make room, and it goes on by itself")

// Watching: how often the store is looked at, and how much must fit on the disk
// before it is started again: a segment, and what the store writes beside it.
const (
	watchEvery = time.Second
	restart    = 4 * MaxPayload
)

// Stopped returns what wraps [ErrStopped] while the store takes no messages, else
// nil. The server does not answer whoever publishes meanwhile.
func (b *Broker) Stopped() error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.closing {
		return nil
	}
	health := b.server.Healthz(&server.HealthzOptions{})
	if health.Error == "" {
		return nil
	}
	return fmt.Errorf("%w (%s)", ErrStopped, health.Error)
}

// Watch keeps the store going until ctx ends. The server never writes again into
// a stream of which a write failed; once the disk takes writes, what is on it is
// read anew, and messages that were not acknowledged are sent again.
func (b *Broker) Watch(ctx context.Context) {
	tick := time.NewTicker(watchEvery)
	defer tick.Stop()
	var told error
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		stopped := b.Stopped()
		switch {
		case stopped == nil:
			told = nil
			continue
		case told == nil:
			b.log.out.ErrorContext(ctx, "message store", "error", stopped)
			told = stopped
		}
		if fits(b.store.StoreDir, restart) != nil {
			continue
		}
		if err := b.reopen(); err != nil {
			b.log.out.WarnContext(ctx, "start the message store again", "error", err)
			continue
		}
		b.log.out.WarnContext(ctx, "the message store goes on, there is room again")
	}
}

// reopen has the server let go of the store and read it anew.
func (b *Broker) reopen() error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.closing {
		return ErrClosed
	}
	if err := b.server.ShutdownJetStream(); err != nil {
		return fmt.Errorf("stop the message store: %w", err)
	}
	anew := b.store
	if err := b.server.EnableJetStream(&anew); err != nil {
		return fmt.Errorf("read the message store: %w", err)
	}
	return nil
}

// fits tries whether so many bytes can be written into a folder.
func fits(dir string, n int) error {
	probe, err := os.CreateTemp(dir, probePattern)
	if err != nil {
		return err
	}
	_, err = probe.Write(make([]byte, n))
	if err == nil {
		err = probe.Sync()
	}
	return errors.Join(err, probe.Close(), os.Remove(probe.Name()))
}
