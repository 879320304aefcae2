package until_test

import (
	"context"
	"errors"
	"io"
	"strings"
	"testing"

	"fettlebook/media/until"
)

// What was asked for is read to its end, and not a byte further than the context.
func TestDone(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	r := until.Done(ctx, strings.NewReader("before after"))
	var first [6]byte
	if _, err := io.ReadFull(r, first[:]); err != nil || string(first[:]) != "before" {
		t.Errorf("read %q, %v", first, err)
	}
	cancel()
	if rest, err := io.ReadAll(r); len(rest) != 0 || !errors.Is(err, context.Canceled) {
		t.Errorf("read on for %q, %v", rest, err)
	}
}
