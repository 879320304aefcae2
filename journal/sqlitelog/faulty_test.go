package sqlitelog_test

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"testing"
)

var errFault = errors.New("the disk refused")

// faults is a driver that hands all to SQLite's own and lets one operation
// fail: prepare, execute, query, begin or commit.
type faults struct {
	real driver.Driver

	mu    sync.Mutex
	left  int  // operations before the one that fails; negative lets all pass
	kept  bool // the operation is done all the same
	only  string
	fired bool
}

var registered atomic.Int64

// newFaults registers the driver and returns its name.
func newFaults(t testing.TB) (*faults, string) {
	t.Helper()
	pool, err := sql.Open("sqlite", ":memory:")
	if err != nil {
		t.Fatal(err)
	}
	defer pool.Close()
	f := &faults{real: pool.Driver(), left: -1}
	name := fmt.Sprintf("faulty %d", registered.Add(1))
	sql.Register(name, f)
	return f, name
}

// fail lets the nth operation from now fail, only one of that name if a name
// is given.
func (f *faults) fail(nth int, kept bool, only string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.left, f.kept, f.only, f.fired = nth, kept, only, false
}

// rest ends it and reports whether an operation failed.
func (f *faults) rest() bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.left = -1
	return f.fired
}

// due counts an operation. It reports whether it is to fail, and whether it
// is to be done all the same.
func (f *faults) due(operation string) (fails, kept bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.left < 0 || f.only != "" && f.only != operation {
		return false, false
	}
	f.left--
	if f.left >= 0 {
		return false, false
	}
	f.fired = true
	return true, f.kept
}

func (f *faults) Open(name string) (driver.Conn, error) {
	c, err := f.real.Open(name)
	if err != nil {
		return nil, err
	}
	return &faultyConn{realConn: c.(realConn), faults: f}, nil
}

// realConn is what SQLite's connections are.
type realConn interface {
	driver.Conn
	driver.ConnPrepareContext
	driver.ConnBeginTx
	driver.ExecerContext
	driver.QueryerContext
	driver.SessionResetter
	driver.Validator
}

type faultyConn struct {
	realConn
	faults *faults
}

func (c *faultyConn) PrepareContext(ctx context.Context, query string) (driver.Stmt, error) {
	if fails, _ := c.faults.due("prepare"); fails {
		return nil, errFault
	}
	s, err := c.realConn.PrepareContext(ctx, query)
	if err != nil {
		return nil, err
	}
	return &faultyStmt{realStmt: s.(realStmt), faults: c.faults}, nil
}

func (c *faultyConn) BeginTx(ctx context.Context, opts driver.TxOptions) (driver.Tx, error) {
	if fails, _ := c.faults.due("begin"); fails {
		return nil, errFault
	}
	tx, err := c.realConn.BeginTx(ctx, opts)
	if err != nil {
		return nil, err
	}
	return &faultyTx{Tx: tx, faults: c.faults}, nil
}

func (c *faultyConn) ExecContext(ctx context.Context, query string, args []driver.NamedValue) (driver.Result, error) {
	return faultyExec(c.faults, func() (driver.Result, error) { return c.realConn.ExecContext(ctx, query, args) })
}

func (c *faultyConn) QueryContext(ctx context.Context, query string, args []driver.NamedValue) (driver.Rows, error) {
	return faultyQuery(c.faults, func() (driver.Rows, error) { return c.realConn.QueryContext(ctx, query, args) })
}

type realStmt interface {
	driver.Stmt
	driver.StmtExecContext
	driver.StmtQueryContext
}

type faultyStmt struct {
	realStmt
	faults *faults
}

func (s *faultyStmt) ExecContext(ctx context.Context, args []driver.NamedValue) (driver.Result, error) {
	return faultyExec(s.faults, func() (driver.Result, error) { return s.realStmt.ExecContext(ctx, args) })
}

func (s *faultyStmt) QueryContext(ctx context.Context, args []driver.NamedValue) (driver.Rows, error) {
	return faultyQuery(s.faults, func() (driver.Rows, error) { return s.realStmt.QueryContext(ctx, args) })
}

func faultyExec(f *faults, do func() (driver.Result, error)) (driver.Result, error) {
	fails, kept := f.due("exec")
	if !fails {
		return do()
	}
	if kept {
		if _, err := do(); err != nil {
			return nil, err
		}
	}
	return nil, errFault
}

func faultyQuery(f *faults, do func() (driver.Rows, error)) (driver.Rows, error) {
	fails, kept := f.due("query")
	if !fails {
		return do()
	}
	if kept {
		rows, err := do()
		if err != nil {
			return nil, err
		}
		rows.Close()
	}
	return nil, errFault
}

type faultyTx struct {
	driver.Tx
	faults *faults
}

// Commit fails as SQLite's does: what it does not store it rolls back.
func (t *faultyTx) Commit() error {
	fails, kept := t.faults.due("commit")
	switch {
	case !fails:
		return t.Tx.Commit()
	case kept:
		return errors.Join(t.Tx.Commit(), errFault)
	default:
		return errors.Join(t.Tx.Rollback(), errFault)
	}
}
