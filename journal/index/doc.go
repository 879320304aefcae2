// Package index keeps, in a file beside the logs, what is needed to find
// entries without reading all of them: which entries a home has, who cites a
// thing, what stands on vehicles and castings, words, how often a tool was
// used, and of every home a summary.
//
// It is never a source of truth. It follows the logs by a mark per log, which
// moves in the transaction that adds the rows, so it is never ahead of them.
// It may be deleted while no program holds the folder and is then filled
// again from the logs with [DB.Load]. What an entry means is not worked out
// here: references are a superset of what counts, and whoever folds decides.
//
// Each entry has one home, the first pair of its subject ([Home]): the job,
// run, or thing of the register that is folded anew when the entry arrives.
package index
