// Package facts works out what entries amount to: what a job's parts, corners
// and vehicle have seen, how the tools, powder lots and fluids of the shop
// stand, and what one entry comes to by itself.
//
//	stock := facts.StockOf(shop)
//	job := stock.Job(pinned, folded)
//	for _, part := range job.Parts {
//		part.Scope.Part.Mask.Covered           // a fact, for rules
//		part.Group("part.mask").Statements     // what is stated of it
//	}
//	stock.ToolNow("tw-2", now).Doubt
//	stock.Entry(line).Statements
//
// A [Statement] says of something a quantity, its value, the limit and where
// that comes from, whether it is kept, how sure that is, and the entries it
// rests on. [Statement.Say] puts it in words, last. This is the only place
// where the meaning of entries is worked out: hold points, pages, papers and
// commands show statements, work nothing out and read nothing in words.
package facts
