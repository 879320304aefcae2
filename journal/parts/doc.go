// Package parts is the table of everything that was coated: a row for each
// coat of each part, with what may have had a part in how it came out, and how
// it came out.
//
// [Columns] is its data dictionary. A [Row] is made once from what the entries
// of a job amount to (journal/facts); a [Table] keeps rows by columns, so that
// some ten thousand of them lie in a few megabytes, and is never changed:
// [Table.With] returns another. Every number that is said about recurring
// defects is worked out from a table and from nothing else, and can be worked
// out again from its CSV form by anybody.
//
// What nobody wrote down is absent. It is never a nought and never a no.
package parts
