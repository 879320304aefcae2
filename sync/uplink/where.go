package uplink

import (
	"context"
	"errors"
	"net"
	"strconv"
	"time"

	"fettlebook/sync/segment"
)

// sought is when the hub was last asked where it is to be found, and in which of its runs.
type sought struct {
	began int64
	at    time.Time
}

// askWhere is how often a hub that goes on is asked where it is to be found: its machine may
// come into another network while it runs.
const askWhere = 10 * time.Minute

// where asks the hub at which addresses it is to be found, in each of its runs and now and
// then. That nobody could tell holds up nothing.
func (u *Uplink) where(ctx context.Context, w segment.Welcome, _ int64) (bool, error) {
	now := u.cfg.Now()
	if u.cfg.Found == nil || u.sought.began == w.Began && now.Sub(u.sought.at).Abs() < askWhere {
		return true, nil
	}
	var reply segment.WhereReply
	err := u.ask(ctx, segment.Where, segment.WhereAsk{}, &reply)
	var no *Refused
	switch {
	case errors.As(err, &no): // a hub from before this question
	case err != nil:
		return false, err
	}
	u.sought = sought{began: w.Began, at: now}
	var list []string
	for _, b := range reply.Brokers {
		if len(list) < segment.MostBrokers && isAddress(b) {
			list = append(list, b)
		}
	}
	if len(list) > 0 {
		u.cfg.Found(ctx, list)
	}
	return true, nil
}

// isAddress reports whether a text is a host with a port, and short enough to be one.
func isAddress(text string) bool {
	host, port, err := net.SplitHostPort(text)
	n, number := strconv.Atoi(port)
	return err == nil && number == nil && n > 0 && n < 1<<16 && host != "" && len(host) <= 253 // RFC 1035, section 2.3.4
}
