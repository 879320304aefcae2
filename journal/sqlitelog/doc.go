// Package sqlitelog keeps logs of entries in one SQLite database: the log
// that this device owns and the copies of other devices' logs.
//
// # What it promises
//
// When [DB.Append] returns, the entry, its thumbnails, the tree hashes and a
// signed checkpoint over them are on the disk (WAL with synchronous=FULL,
// one transaction). When it fails, nothing of the entry is there; only a disk
// that keeps a commit and reports it as failed can leave the entry, whole and
// proven, and the log goes on behind it. Entries are never changed or
// deleted: triggers refuse it, and the signed tree proves it. [DB.Receive]
// takes in segments of other logs only if their signed checkpoint holds for
// them and for all that lay here before.
//
// # Layout
//
// An entry's row key is log<<40 | index, so that one table in one order holds
// all logs, an append touches one page at a log's end, and no second index is
// needed. The hashes that a leaf completes in its Merkle tree lie beside it
// in the same row; package proof says which.
//
// Own entries cite how much of every other log is here, as far as all that is
// cited therein is here too (package journal/order); how far that goes is kept
// in marks, which may be lost, and its roots change only when a segment comes.
//
// Appends that come at the same time share one transaction, one signature
// and one disk sync (group commit).
package sqlitelog
