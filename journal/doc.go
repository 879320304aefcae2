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
// logical clock ([Clock]). It says about when, and breaks ties.
//
// # Order
//
// What comes first rests on what was seen, not on clocks. Every entry names,
// in the extension after ([After]), every other log of the shop: how many of
// its entries the writer held, and the first 16 bytes of that log's root
// there. A writer cites of each log the longest beginning whose own past it
// holds, so its own entry never waits for anything; and since a root commits
// to all entries before it, nobody can cite what does not exist yet.
//
// The past of an entry is the earlier entries of its own log, what it cites,
// and their pasts. Its place is the larger of its id's 60 bits of time and
// counter, and 1 + the largest place in its past: a 64-bit number that is
// worked out and never written down. Replay goes by place, then id, then the
// hash of the bytes. So everything comes after all that its writer had seen,
// and the place of an entry depends on nothing but the entry and its past:
// every machine works out the same, in whatever order entries arrive.
//
// An entry that cites what is not here, or another root than the one here,
// counts for nothing yet. It waits, and with it only its own log, since nobody
// can cite it. Of a log that the register closed only the entries up to the
// named one count, whatever is cited beyond.
//
// Two entries of which neither is in the past of the other do not know each
// other. Their places say in which order they are shown, and nothing about
// what came first: where that matters it is in doubt. Only between entries of
// logs that do not carry after yet do ids decide. Package journal/order works
// all this out.
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
