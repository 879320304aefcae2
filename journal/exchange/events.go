package exchange

import (
	"bytes"
	"context"
	"fmt"
	"io"
)

// Events writes the entries as CloudEvents, one a line, byte for byte as they
// lie in the logs, in the order of replay. Left out are those that may tell of
// other vehicles, and what is not an event on one line: bytes that are not an
// entry, and entries with a line end in them, which no program of ours writes.
func (s *Source) Events(ctx context.Context, w io.Writer) (Left, error) {
	var left Left
	lines, err := s.gather(ctx)
	if err != nil {
		return left, err
	}
	var out bytes.Buffer
	for i := range lines {
		switch l := &lines[i]; {
		case l.Kind == "" || bytes.ContainsAny(l.raw, "\r\n"):
			left.Unreadable++
		case s.shared(l):
			left.Shared++
		default:
			out.Write(l.raw)
			out.WriteByte('\n')
		}
	}
	return left, write(ctx, w, "CloudEvents", out.Bytes())
}

// write hands what was made whole to the writer, unless nobody waits for it.
func write(ctx context.Context, w io.Writer, what string, raw []byte) error {
	err := ctx.Err()
	if err == nil {
		_, err = w.Write(raw)
	}
	if err != nil {
		return fmt.Errorf("write %s: %w", what, err)
	}
	return nil
}
