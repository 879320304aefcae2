// Package record folds the entries of a shop into one traceable record per
// vehicle.
//
// The fold is pure: the same entries give the same record, in whatever order
// they arrived and however often. Replay goes by what writers had seen, as
// package journal states: by place, then id, then hash ([Line.Compare]).
// Whether one entry came before another is another question, and may have no
// answer ([Line.Relation]). Nothing that was written is ever left out:
//
//   - an entry of a kind that this version does not know stays where its
//     subject says, with its data as written;
//   - bytes that are not an entry stay as a line of their own in [Shop.Loose];
//   - a corrected entry stays, struck through, with who did it and why;
//   - two entries with one id both stay, and both say so;
//   - an entry whose past is not here stays, says what it waits for
//     ([Line.Waits]), and counts for nothing yet;
//   - an entry that may not be said where it lies stays, says so, and counts
//     for nothing ([Line.Counts]). A correction takes the authority that is
//     needed for what it corrects.
//
// What looks odd is said in a [Flag], never put right.
//
//	book := record.NewBook(journal.Authority{Shop: shop, Hub: hub})
//	for logged, err := range entries {
//		if err != nil {
//			return err
//		}
//		book.Add(logged)
//	}
//	shop := book.Shop()
//	for _, v := range shop.Vehicles {
//		err = v.WriteText(os.Stdout, record.Options{})
//	}
//
// # Corrections
//
// An entry.corrected strikes the entry that it names, also when that entry
// arrives later. The last correction that acts holds; its replacement counts
// in the place of what was written, and without a replacement that can be
// read nothing counts. A correction may be corrected too: without a
// replacement it acts no more, and a replacement may change its reason and
// its data but must name the same entry. Corrections that go round in a
// circle act on nothing.
//
// # JSON
//
// [Vehicle.JSON] and [Job.JSON] give one object, a [View]. Members without a
// value are left out; members are never renamed, new ones may be added.
//
//	{"format": "fettlebook record 1",
//	 "vehicle": {"key": "vin/…", "vin": "…", "vin_note": "…", "plates": ["…"], "looks": ["…"], "notes": ["…"]},
//	 "jobs": [{"job": "4f7kk2m9", "state": "sealed", "opened": "<entry id>", "released": "<entry id>", "sealed": "<entry id>",
//	           "customer": {"card": "…", "commitment": "sha256:…", "erased": true},
//	           "odometer": "84210 km", "wish": "…", "route": "…", "edition": 2,
//	           "lines": [LINE, …],
//	           "corners": [{"corner": "LF", "lines": [LINE, …],
//	                        "parts": [{"part": "caliper", "tag": "…", "mark": "…", "metal": "iron",
//	                                   "runs": ["bake-17"], "unhung": ["bake-16"], "lines": [LINE, …]}]}]}],
//	 "runs": [{"run": "bake-17", "what": ["bake"], "lots": ["…"], "parts": ["job/…"],
//	           "other_parts": 3, "other_jobs": 1, "lines": [LINE, …]}],
//	 "castings": [{"mark": "…", "parts": ["job/…"], "other_parts": 1, "notes": ["…"]}],
//	 "people": [{"person": "io", "initials": "IO"}],
//	 "caution": "…"}
//
// and a LINE is one entry:
//
//	{"id": "…", "kind": "torque.applied", "version": 1, "about": "a joint was tightened",
//	 "subject": "job/4f7kk2m9/corner/LF", "device": "t3fz8c1n", "index": 17, "by": "io",
//	 "clocks": {"device": "2026-03-02T14:18:09.120+01:00", "boot": "5c0e1d7a", "uptime": "8123.456",
//	            "offset": {"clock": "+3.120 s", "round_trip": "0.045 s", "compared": "<entry id>"},
//	            "received": "2026-03-02T13:18:22.000Z", "seen": 412},
//	 "data": {…}, "withheld": 2,
//	 "photos": [{"ref": "sha256:…", "thumb": "sha256:…", "role": "…", "taken": "…", "withdrawn": "<entry id>"}],
//	 "struck": {"at": "<entry id>", "by": "io", "time": "…", "reason": "…", "replacement": {…}},
//	 "corrects": "<entry id>", "flags": ["after handover"],
//	 "waits": {"why": "not here", "device": "t3fz8c1n", "entries": 12}}
//
// The data is the entry's own, with one exception: a run is shared, and the
// names of parts of other vehicles' jobs are nobody's business here. They are
// left out of subject, data and replacement, and withheld counts them.
//
// Times of receipt are known at the hub before the tablets know them. Without
// [Options.Receipts] they and what follows from them are left out, and the
// same entries give the same bytes on every machine.
package record
