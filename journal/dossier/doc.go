// Package dossier builds what leaves the shop: of one job, one vehicle or one
// complaint all that a stranger needs to check the record, and nothing of
// anybody else's. What lies in it says package evidence, which also checks it.
//
//	b := dossier.Builder{Log: db, Thumbs: db, Originals: photos, Cards: db}
//	err := b.Build(ctx, view, of, asked, w)
//
// It holds:
//
//   - the entries of the jobs, and those of the runs that their parts took part
//     in, with what corrects them;
//   - of the register what says who may have written them, what was used, and
//     the route cards that the jobs are pinned to;
//   - of a complaint, what was looked into because of it, and the route cards
//     that came out of that;
//   - of every entry its proof, in the first state of its log that the hub
//     countersigned after it; the state of the hub's log that the customer's
//     receipt names is the one of the seal, and the newest follows from it;
//   - what the entries had seen of each other's logs, with proofs.
//
// Nothing of the moment of building is in it: the same logs give the same
// bytes.
//
// # What is of others
//
// An investigation may have looked at thirty cars. Its entry is here with its
// words and its counts, and without its photographs; papers count the same again
// and name nobody's parts. One that stands in the record of another car, or that
// names a single part of one, is not here.
//
// A run is shared. Its entries are here as they are, with the names of all
// parts that hung there, which are numbers of jobs and nothing more; its
// photographs may show another customer's car and are left out as soon as
// parts of other jobs took part. Of the register's things only what states and
// checks them is here, not what was remarked about them. A vehicle's dossier
// leaves out the jobs of other customers.
//
// Wherever people write freely they may write whose car another one is: in a
// remark, the reason of a correction, a tool's check, a lot's data sheet, the
// text of a route card. So every text of every chosen entry is held against all
// plates, VINs and customers' cards that the shop knows, by one rule: an entry
// that names another vehicle or another customer is withheld. Under a seal only
// its hash is here.
package dossier
