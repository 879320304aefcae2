// Package shop is the one folded shop of a process. Whoever reads, supposes,
// seals or releases asks it; nobody folds for himself.
//
// Nothing of it grows with the shop but the register. A job, a run or any
// other home is folded when somebody looks, from the entries that it rests on
// ([index.DB] knows where they lie), and is kept while there is room. Each
// such [Case] remembers the questions that were asked of the index to gather
// its entries. An entry that arrives answers some questions anew: the cases
// that asked them are dropped, all others stay as they are.
//
//	s, err := shop.Open(ctx, log, idx, logger)
//	...
//	done := make(chan error, 1)
//	go func() { done <- s.Run(ctx) }()
//	v := s.View(ctx)
//	standing := v.Standing(job)
//	if err := v.Err(); err != nil {
//
// What a case holds is never changed, so a reader keeps what it has.
package shop
