// Package draft keeps on the tablet's disk what was typed and photographed and
// is not stamped yet. A browser that opens the camera may be killed meanwhile,
// and a battery may die; the page then comes back as it was. Drafts are not part
// of the record.
//
//	store, err := draft.Open(dir, draft.Options{Now: time.Now})
//	d, err := store.Change(draft.Key{By: "io", Path: "/stage/mask/job/…"}, func(d *draft.Draft) { d.Values["plugs"] = []string{"6"} })
//	entry, err := store.Once(draft.Press{Token: token, Content: sum}, found, write)
//
// A change is durable when it returns (package media/durable). Each draft is
// one JSON file, named by a hash of who types it and where, so that a damaged
// file costs no other draft:
//
//	{"by":"io","path":"/stage/mask/job/…","title":"Masked · LF caliper","when":"2026-03-02T14:18:09.12+01:00",
//	 "values":{"plugs":["6"]},"photos":[{"ref":"sha256:…","thumb":"sha256:…","role":"masked bores","findings":["Blurred …"]}]}
//
// What names the card of a customer goes when that card is erased ([Store.Forget]).
//
// A second file, presses.json, remembers which presses of a button led to which
// entry, so that a press that is sent twice writes once.
package draft
