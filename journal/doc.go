// Package journal says what one entry of the shop's journal is, how it is
// written down, and what a log of entries promises.
//
// An entry is one [CloudEvents 1.0] JSON object. The bytes that were first
// written are the entry: they are hashed, signed, stored and passed on as
// they are and are never encoded again.
//
//	{"specversion":"1.0",
//	 "id":"0195a3c1-7e40-7001-9c3a-5d1f0a6b7c8d",
//	 "source":"urn:fettlebook:k7m2q4xw:t3fz8c1n",
//	 "type":"torque.applied/1",
//	 "subject":"job/4f7kk2m9/corner/LF",
//	 "time":"2026-03-02T14:18:09.120+01:00",
//	 "datacontenttype":"application/json",
//	 "by":"io","boot":"5c0e1d7a","uptime":"8123.456",
//	 "data":{"joint":"banjo bolt","torque":"27 N.m","tool":"tw-1"}}
//
// The id is a UUIDv7 whose time and counter come from the device's hybrid
// logical clock ([Clock]), so the byte order of ids is the order of replay
// over all devices of a shop and no other ordering field exists.
//
// There is no edit and no delete. A slip is struck through by an
// entry.corrected that names it; both stay. What a customer may ask to have
// forgotten is never in an entry: it lies on a [Card] beside the log, and the
// entry cites the card's [Commitment].
//
// Numbers that a person typed are kept as typed, with their unit; see package
// journal/trade/unit.
//
// [CloudEvents 1.0]: https://cloudevents.io
package journal
