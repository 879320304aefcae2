package uplink

import (
	"context"
	"errors"
	"fmt"

	"fettlebook/journal"
	"fettlebook/sync/segment"
)

// agreed is what is known of whether hub and tablet hold the same histories.
// Their logs only grow, so it holds for one run of the hub; another one may be
// that of an older copy.
type agreed struct {
	began int64
	upTo  map[journal.DeviceID]int64 // the same up to there
	apart map[journal.DeviceID]bool  // not the same, and the hub was shown what is here
}

func (a *agreed) in(began int64) {
	if a.upTo == nil || a.began != began {
		*a = agreed{began: began, upTo: map[journal.DeviceID]int64{}, apart: map[journal.DeviceID]bool{}}
	}
}

// errHubApart is the reason for which the register here stands still, as a person
// reads it.
var errHubApart = errors.New("the hub was restored from an older copy and wrote on, so this tablet holds another history of its register; what is written here still reaches the hub, join the shop again with a new invitation")

// compare finds the logs of which the hub holds another history, and gives it
// the one that is here: it may be the only copy of what the hub once
// countersigned. What lies here stays; nothing more of such a log is fetched.
func (u *Uplink) compare(ctx context.Context, w segment.Welcome, _ int64) (bool, error) {
	u.agreed.in(w.Began)
	heads, err := u.cfg.Log.Heads(ctx)
	if err != nil {
		return false, err
	}
	var q segment.CompareAsk
	for _, h := range heads {
		n := min(h.Size, reach(w.Holds, h.Device).Size)
		if h.Device == u.cfg.Device || n <= u.agreed.upTo[h.Device] || u.agreed.apart[h.Device] {
			continue
		}
		root, err := u.cfg.History.RootAt(ctx, h.Device, n)
		if err != nil {
			return false, err
		}
		q.Logs = append(q.Logs, segment.Root{Device: h.Device, Size: n, Root: root})
	}
	if len(q.Logs) > 0 {
		if err := u.compareLogs(ctx, q); err != nil {
			return false, fmt.Errorf("compare histories: %w", err)
		}
	}
	if u.agreed.apart[w.Hub] {
		return false, errHubApart
	}
	return true, nil
}

func (u *Uplink) compareLogs(ctx context.Context, q segment.CompareAsk) error {
	var reply segment.CompareReply
	if err := u.ask(ctx, segment.Compare, q, &reply); err != nil {
		return err
	}
	for _, device := range reply.Apart {
		if err := u.handOver(ctx, segment.Give, segment.Reach{Device: device}); err != nil {
			return err // it is compared again
		}
		u.agreed.apart[device] = true
	}
	for _, l := range q.Logs {
		if !u.agreed.apart[l.Device] {
			u.agreed.upTo[l.Device] = l.Size
		}
	}
	return nil
}
