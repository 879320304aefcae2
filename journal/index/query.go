package index

import (
	"context"
	"database/sql"
	"errors"
	"sync"
)

// reader reads with statements that are prepared once for each connection:
// for a small one that is most of its work. There are as many as there are
// texts in this package.
type reader struct {
	*sql.DB // many connections, read-only

	mu       sync.Mutex
	prepared map[string]*sql.Stmt
}

func openReader(path string) (*reader, error) {
	db, err := pool(path, readOnly, readers)
	if err != nil {
		return nil, err
	}
	return &reader{DB: db, prepared: make(map[string]*sql.Stmt)}, nil
}

func (r *reader) prepare(ctx context.Context, query string) (*sql.Stmt, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if s, ok := r.prepared[query]; ok {
		return s, nil
	}
	s, err := r.PrepareContext(ctx, query)
	if err == nil {
		r.prepared[query] = s
	}
	return s, err
}

func (r *reader) rows(ctx context.Context, query string, args ...any) (*sql.Rows, error) {
	s, err := r.prepare(ctx, query)
	if err != nil {
		return nil, err
	}
	return s.QueryContext(ctx, args...)
}

// row reads one row into what follows its arguments, or returns
// [sql.ErrNoRows].
func (r *reader) row(ctx context.Context, query string, args []any, to ...any) error {
	s, err := r.prepare(ctx, query)
	if err != nil {
		return err
	}
	return s.QueryRowContext(ctx, args...).Scan(to...)
}

func (r *reader) close() error {
	var errs []error
	for _, s := range r.prepared {
		errs = append(errs, s.Close())
	}
	return errors.Join(append(errs, r.DB.Close())...)
}
