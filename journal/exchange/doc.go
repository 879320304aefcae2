// Package exchange writes what a journal says of one job or one vehicle in
// open formats, so that whoever gets it needs no program of ours to read it.
//
//	epcis    GS1 EPCIS 2.0 as JSON-LD: what happened to which thing, when, where
//	events   CloudEvents 1.0 as JSON lines: the entries themselves, byte for byte
//	csv      RFC 4180: one row per part, a column per statement and hold point
//	columns  RFC 4180: what each column of the former is
//
// Nothing is worked out here. What is said comes from the record
// ([record.View]) and from the statements of package facts. Nothing of another
// customer or vehicle is in any of them: of a run that parts of several
// vehicles took part in, only those of this one are named, and an entry that
// names others is not among the events, whose bytes cannot be cut.
//
// # EPCIS
//
// [Mapping] says how entries become events; `fettlebook export --help` prints
// it. One entry is one event. An event's eventID is the hash of its entry's
// bytes, as RFC 6920 writes it, so that it can be found among the events and
// among the proofs of a dossier. What EPCIS has no field for stands in fields
// under the prefix fettlebook.
//
// A struck entry stays, with an errorDeclaration. If something stands instead,
// the correction is the corrective event: it says what stands, at the time of
// what was struck. The record knows no more than that something was struck, so
// the reason is did_not_occur where nothing stands instead.
//
// An entry that counts for nothing (written without authority, or waiting for
// entries that are not here) is no event; how many those are is said in the
// document.
//
// creationDate is the time of the newest entry: the same entries give the same
// bytes.
package exchange
