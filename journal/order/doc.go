// Package order works out what comes first among the entries of a shop's
// logs, from what their writers had seen. Package journal states the rule.
//
// A [Front] finds how much of each log is closed: held here together with all
// that is cited in it. What is closed may be cited. A [Keeper] works out on
// top of that the [Standing] of every entry: its place and its past. Both grow
// with the logs, whatever arrives first, and go on from where a store says
// that they were:
//
//	k := order.New(roots, store)
//	for device, n := range worked {
//		k.Resume(device, n)
//	}
//	for _, e := range arrived { // each log's in their order, from n on
//		if err := k.Add(e); err != nil {
//			return err
//		}
//	}
//	err := k.Grow(ctx, device) // hands the store what is worked out now
//
// An entry that is quoted ([Placed.Quoted], entry.takenover) stands where its
// quote does. It was written before the quote was, so whoever had seen the
// quote came after it. Nothing is ever known to have come before it: what its
// quoter had seen it need not have, and what it cites itself is the claim of a
// log that counts no more. Not even two quotes of one log are known to have
// come one after the other. Whatever must come first is then in doubt, until
// somebody who did the work says so (order.stated) or does it again.
//
// A standing that was worked out never changes, with two exceptions, of which
// [Keeper.Close] and [Keeper.Note] tell: a closing of a log that cuts what was
// counted already, and a word of the register that entries which cite nothing
// should have cited. Then everything is worked out anew by another Keeper.
package order
