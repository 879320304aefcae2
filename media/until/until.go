// Package until has a reader that ends with its context, so that a long file is not
// read on for somebody who has gone.
package until

import (
	"context"
	"io"
)

// Done returns a reader of r that ends when ctx is done.
func Done(ctx context.Context, r io.Reader) io.Reader { return &reader{ctx, r} }

type reader struct {
	ctx context.Context
	r   io.Reader
}

func (u *reader) Read(p []byte) (int, error) {
	if err := context.Cause(u.ctx); err != nil {
		return 0, err
	}
	return u.r.Read(p)
}
