// Package invented makes up a shop's work over months: what came in, how each
// part was prepared, sprayed and baked, and how it came out. All of it is
// invented and follows from a seed; a cause of defects can be planted in it.
//
// A [Plan] is a list of coats with everything that will be written about them.
// It becomes rows of the parts table at once ([Plan.Table]), or entries of a
// journal, which give the same rows.
package invented
