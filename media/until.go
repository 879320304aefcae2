package media

import (
	"context"
	"io"
)

// Until returns a reader of r that ends with ctx, so that a long file is not read
// on for somebody who has gone.
func Until(ctx context.Context, r io.Reader) io.Reader { return &until{ctx, r} }

type until struct {
	ctx context.Context
	r   io.Reader
}

func (u *until) Read(p []byte) (int, error) {
	if err := context.Cause(u.ctx); err != nil {
		return 0, err
	}
	return u.r.Read(p)
}
