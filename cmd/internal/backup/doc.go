// Package backup copies a data folder to another disk while programs write it, and
// puts a copy back.
//
//	photos/                        originals by hash, of all sets
//	sets/20261130T084500Z/         one set, readable by its owner only
//	  set.json                     what it holds, with the hash of each file
//	  journal.db                   the logs as they were at one moment
//	  shop.json, keys/, …          all else that a folder holds and that cannot be made anew
//	bench/                         the same of the bench that a hub keeps
//
// A set is written under another name and gets its own last, so that one which
// has a name is whole. Originals never change: what is there is not copied again.
// Left out is what is made of the rest (the index, the broker's store) and what
// nobody stamped (drafts). Whoever holds a copy holds the machine's keys and its
// customers' cards, so it belongs where the folder itself may lie.
package backup
