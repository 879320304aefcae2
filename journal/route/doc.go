// Package route says what should have happened in a job, what is missing,
// what was done in the wrong order, and whether the vehicle may be handed
// back: a route card held against the facts of a job.
//
//	pinned, err := route.Pinned(shelf, job, shop)
//	verdicts := route.Check(pinned, job, shop)
//	verdicts.ReleaseAllowed()
//
// A hold is open, met, broken or waived, and each [Verdict] tells the figures,
// the limit, where the limit comes from, the entries that it rests on and, in
// a sentence, why. The last event counts: a line that is opened again undoes
// the bleeding before it, and a torque tool that a later check finds out of
// tolerance undoes what was tightened with it since the check before.
//
// A hold is judged for each thing by itself. What the card asks for once for
// the parts of a corner, or for the vehicle, [Verdicts] lists as one verdict,
// which stands as the worst of them; the squares of a [Row] have each its own.
//
// Everything follows from the fold, so the same entries give the same
// verdicts in whatever order they arrived. Entries of kinds that this version
// does not know count for nothing here. The verdicts are about a record; they
// approve no brake.
package route
