// Package facts works out what the entries of a job amount to: the facts that
// rules on route cards ask for, and what each group of facts rests on.
//
//	job := facts.StockOf(shop).Job(pinned, folded)
//	for _, part := range job.Parts {
//		part.Scope.Part.Mask.Covered
//		part.Group("part.mask").Lines
//	}
//
// This is the only place where the meaning of entries is worked out; pages,
// papers and commands show what stands here.
package facts
