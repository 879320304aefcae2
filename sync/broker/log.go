package broker

import (
	"context"
	"fmt"
	"log/slog"
	"sync"
	"sync/atomic"

	"github.com/nats-io/nats-server/v2/server"
)

// logText is the key under which the server's own words are logged.
const logText = "text"

// serverLog takes what the server says. Its Fatalf records and returns, where
// the server's own would end the process.
type serverLog struct {
	out *slog.Logger

	errors atomic.Int64 // that were logged

	mu    sync.Mutex
	first error // guarded by mu
}

var _ server.Logger = (*serverLog)(nil)

func newServerLog(out *slog.Logger) *serverLog {
	if out == nil {
		out = slog.New(slog.DiscardHandler)
	}
	return &serverLog{out: out}
}

// fatal returns the first fatal error so far, or nil. Later ones tend to be
// its consequences.
func (l *serverLog) fatal() error {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.first
}

func (l *serverLog) Fatalf(format string, v ...any) {
	err := &fatalError{text: fmt.Sprintf(format, v...)}
	for _, arg := range v {
		if cause, ok := arg.(error); ok {
			err.cause = cause
			break
		}
	}
	l.mu.Lock()
	if l.first == nil {
		l.first = err
	}
	l.mu.Unlock()
	l.log(slog.LevelError, "%s", err.text)
}

// The server's notices are a dozen lines of banner at each start, news only to
// whoever looks for a fault.
func (l *serverLog) Noticef(format string, v ...any) { l.log(slog.LevelDebug, format, v...) }
func (l *serverLog) Warnf(format string, v ...any)   { l.log(slog.LevelWarn, format, v...) }
func (l *serverLog) Debugf(format string, v ...any)  { l.log(slog.LevelDebug, format, v...) }
func (l *serverLog) Tracef(format string, v ...any)  { l.log(slog.LevelDebug, format, v...) }

// The server's errors are counted before they are logged: whoever read the line finds it
// in the count.
func (l *serverLog) Errorf(format string, v ...any) {
	l.errors.Add(1)
	l.log(slog.LevelError, format, v...)
}

func (l *serverLog) log(level slog.Level, format string, v ...any) {
	ctx := context.Background() // the server's calls carry none
	if !l.out.Enabled(ctx, level) {
		return
	}
	l.out.LogAttrs(ctx, level, "message server", slog.String(logText, fmt.Sprintf(format, v...)))
}

// fatalError is one Fatalf call. The server flattens its errors into text; the
// one among the arguments is kept, so that errors.As still finds it.
type fatalError struct {
	text  string
	cause error
}

func (e *fatalError) Error() string { return e.text }
func (e *fatalError) Unwrap() error { return e.cause }
