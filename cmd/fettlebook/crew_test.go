package main

import (
	"context"
	"errors"
	"fmt"
	"testing"
)

// When one fails all end, and nothing of what went wrong is lost: neither what
// failed first nor what failed while it ended. That it was told to end is
// nothing wrong.
func TestCrew(t *testing.T) {
	first, second := errors.New("the disk is full"), errors.New("the database cannot be closed")
	c, ctx := newCrew(t.Context())
	c.begin(ctx, func(context.Context) error { return first })
	c.begin(ctx, func(ctx context.Context) error { <-ctx.Done(); return second })
	c.begin(ctx, func(ctx context.Context) error { <-ctx.Done(); return fmt.Errorf("ask: %w", ctx.Err()) })
	<-ctx.Done()
	if err := c.wait(); !errors.Is(err, first) || !errors.Is(err, second) || errors.Is(err, context.Canceled) {
		t.Errorf("ended with %v", err)
	}
	c, ctx = newCrew(t.Context())
	c.begin(ctx, func(ctx context.Context) error { <-ctx.Done(); return second })
	if err := c.wait(); !errors.Is(err, second) {
		t.Errorf("told to end, it ended with %v", err)
	}
}
