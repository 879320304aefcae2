package folder

import (
	"context"
	"log/slog"
	"time"
)

// ordersAgain is how long an order that could not be carried out waits.
const ordersAgain = 10 * time.Second

// KeepCarryingOut carries out what entries of other machines order: originals of
// withdrawn photos go, the bytes of erased cards are shredded, and of an earlier
// log is taken over what the register no longer counts. It looks
// whenever something was written, until the context ends.
func (f *Folder) KeepCarryingOut(ctx context.Context, logger *slog.Logger) {
	woken := f.Log.Woken()
	again := time.NewTimer(0)
	defer again.Stop()
	shredded := 0
	for {
		select {
		case <-ctx.Done():
			return
		case <-woken:
		case <-again.C:
		}
		if f.Role == Tablet {
			if err := f.settle(ctx); err != nil && ctx.Err() == nil {
				logger.WarnContext(ctx, "take over the work of an earlier log", "error", err)
				again.Reset(ordersAgain)
			}
		}
		n, err := f.carryOutAll(ctx, shredded)
		if err != nil && ctx.Err() == nil {
			logger.WarnContext(ctx, "remove what was withdrawn", "error", err)
			again.Reset(ordersAgain)
			continue
		}
		shredded = n
	}
}

// carryOutAll removes what is still here and reports how many orders there are.
// The write-ahead log is emptied when there are more than before.
func (f *Folder) carryOutAll(ctx context.Context, before int) (int, error) {
	refs, err := f.Log.Withdrawals(ctx)
	if err != nil {
		return before, err
	}
	for _, ref := range refs {
		here, err := f.Photos.Has(ctx, ref)
		if err != nil {
			return before, err
		}
		if here {
			f.smalls.forget(ref)
			if err := f.Photos.Remove(ctx, ref); err != nil {
				return before, err
			}
		}
	}
	cards, err := f.Log.Erasures(ctx)
	if err != nil {
		return before, err
	}
	if n := cards + len(refs); n > before {
		return n, f.Log.Shred(ctx)
	}
	return before, nil
}
