// Package evidence says what lies in a dossier, the file that leaves the shop,
// and checks one without the shop: from the entries' exact bytes, the proofs
// beside them and the receipt that the customer was given at handover.
//
// A dossier is a bag (package bag). Its payload is
//
//	dossier.json                       what the rest is: see [Dossier]
//	entries/DEVICE/INDEX.json          the exact bytes of an entry
//	proofs/DEVICE/INDEX.tlog-proof     that it lies in that log (C2SP tlog-proof)
//	logs/DEVICE/SIZE.checkpoint        states of the logs, signed by the device
//	                                   and countersigned by the hub
//	logs/HUB/SIZE.tsr                  what a timestamp authority says of one
//	                                   (RFC 3161); witnesses sign the state itself
//	photos/original/HASH.jpg           photographs, by the hash that entries cite
//	photos/copy/HASH.jpg               copies without location, by the original's hash
//	photos/thumbnail/HASH.jpg          thumbnails, by the hash that entries cite
//	cards/CARD.json                    customer cards, where they were asked for
//	report.pdf report.html             the record as people read it
//	route/ schemas/ open/              route cards, JSON Schemas, open formats
//
// INDEX counts from 0. Nothing is said in two places but what is checked to be
// the same: a path follows from what lies there.
//
// # What is trusted
//
// Nobody. A device's checkpoint proves that its key signed the entries; the
// register's entries, in the hub's own log, say whose key that is; and who the
// hub is says the receipt, by the fingerprint of the hub's keys
// ([Fingerprint]). Without a receipt a dossier names its own hub, and
// [Verify] says so.
package evidence
