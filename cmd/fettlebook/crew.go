package main

import (
	"context"
	"errors"
	"sync"
)

// crew is what a process does at once. When one of them fails all end. What
// went wrong is kept of each, also of one that fails while it ends.
type crew struct {
	end context.CancelFunc
	at  sync.WaitGroup

	mu   sync.Mutex
	errs []error // guarded by mu
}

// newCrew returns a crew with the context that ends when it does.
func newCrew(ctx context.Context) (*crew, context.Context) {
	ctx, end := context.WithCancel(ctx)
	return &crew{end: end}, ctx
}

// begin runs something beside the others.
func (c *crew) begin(ctx context.Context, run func(context.Context) error) {
	c.at.Go(func() {
		err := run(ctx)
		if err == nil || ctx.Err() != nil && errors.Is(err, context.Canceled) {
			return
		}
		c.mu.Lock()
		c.errs = append(c.errs, err)
		c.mu.Unlock()
		c.end()
	})
}

// wait ends all and returns what went wrong.
func (c *crew) wait() error {
	c.end()
	c.at.Wait()
	return errors.Join(c.errs...)
}
