// Package segment says how journals travel between a shop's machines: the
// subjects, the wire form of a segment, and the questions that a tablet asks
// the hub.
//
// Every shop has one stream with one subject a device:
//
//	fb.<shop>.log.<device>          segments of the device's log, as the hub keeps them
//	fb.<shop>.ask.<device>.<what>   questions of the device, answered by the hub
//	fb.<shop>.news                  "the hub holds more": look again
//	_INBOX_<device>.>               answers
//
// The first is the hub's alone. A device brings its entries as a question, so that no
// message of its choosing is ever sent by anybody but itself: a stream answers whoever
// publishes to it on the subject that he names, with or without acknowledgements.
//
// A segment is the CBOR of its fields, compressed with Zstandard. Nothing in
// the wire form is trusted: the receiver checks the device's signature over
// the Merkle tree that the entries give.
package segment
