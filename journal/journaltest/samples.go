package journaltest

import (
	"cmp"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
	"fettlebook/media"
)

// The sample shop and its things.
const (
	Shop   journal.ShopID   = "k7m2q4xw"
	Office journal.DeviceID = "office"
	Bench  journal.DeviceID = "t3fz8c1n"
	Io     journal.PersonID = "io"
	JobOne journal.JobID    = "4f7kk2m9"
	Bake   journal.RunID    = "bake-17"
	Wrench journal.ToolID   = "tw-1"
	Lot    journal.LotID    = "pw-0412"
)

// Samples returns one draft of every kind, in the order of [journal.Kinds],
// with every field filled in.
func Samples() []journal.Draft { return inOrder(func(s sample) journal.Payload { return s.full }) }

// Minimal returns one draft of every kind, in the order of [journal.Kinds],
// with nothing but what must be given.
func Minimal() []journal.Draft {
	drafts := inOrder(func(s sample) journal.Payload { return s.least })
	for i, d := range drafts {
		// A lean run names no parts, so it is about one part.
		if d.Subject == onRun() && slices.Contains(d.Data.Kind().Places(), "job/corner/part") {
			drafts[i].Subject = onPart()
		}
	}
	return drafts
}

// Sample returns the draft of one kind that [Samples] has.
func Sample(kind journal.Kind) journal.Draft {
	all := Samples()
	return all[slices.IndexFunc(all, func(d journal.Draft) bool { return d.Data.Kind() == kind })]
}

// sample is one kind's subject with its fullest and its leanest data.
type sample struct {
	about       journal.Subject
	full, least journal.Payload
}

func inOrder(pick func(sample) journal.Payload) []journal.Draft {
	all := slices.Concat(registerSamples(), jobSamples(), coatSamples(), brakeSamples(), afterSamples(), takeoverSamples(), makeUpSamples(), lastSamples(), shopSamples())
	kinds := slices.Collect(journal.Kinds())
	slices.SortStableFunc(all, func(a, b sample) int {
		return cmp.Compare(slices.Index(kinds, a.full.Kind()), slices.Index(kinds, b.full.Kind()))
	})
	drafts := make([]journal.Draft, len(all))
	for i, s := range all {
		drafts[i] = journal.Draft{Subject: s.about, By: Io, Data: pick(s)}
		for _, role := range roles(drafts[i].Data) {
			drafts[i].Thumbs = append(drafts[i].Thumbs, Thumb(role))
		}
	}
	return drafts
}

// Thumb returns the bytes that stand for the thumbnail of a picture.
func Thumb(role string) []byte { return []byte("the thumbnail of " + role) }

// Picture returns a photo whose thumbnail is [Thumb] of the same role.
func Picture(role string) journal.Photo {
	return journal.Photo{
		Ref:   media.RefOf([]byte("the photo of " + role)),
		Thumb: media.RefOf(Thumb(role)),
		Role:  role,
		Taken: "2026-03-02T08:12:44",
	}
}

// roles lists the roles of a payload's photos.
func roles(data journal.Payload) []string {
	raw, err := journal.MarshalPayload(data)
	if err != nil {
		panic(err) // a sample that cannot be written is a mistake in this package
	}
	photos, err := (&journal.Entry{Data: raw}).Photos()
	if err != nil {
		panic(err)
	}
	var list []string
	for _, p := range photos {
		list = append(list, p.Role)
	}
	return list
}

// seen is evidence with one photo and a remark.
func seen(role, note string) journal.Evidence {
	return journal.Evidence{Photos: []journal.Photo{Picture(role)}, Note: note}
}

// q reads a quantity; a wrong one is a mistake in this package.
func q[Q interface{ unit.Of[D] }, D unit.Dimension](text string) Q {
	quantity, err := unit.Parse[Q](text)
	if err != nil {
		panic(err)
	}
	return quantity
}

func stamp(text string) (s journal.Stamp) {
	if err := s.UnmarshalText([]byte(text)); err != nil {
		panic(err)
	}
	return s
}

func entryID(text string) journal.EntryID {
	id, err := journal.ParseEntryID(text)
	if err != nil {
		panic(err)
	}
	return id
}

func digest(of string) journal.Digest { return journal.Digest(media.RefOf([]byte(of))) }

// cited is an entry that a sample refers to.
const cited = "0195a3c1-7e40-7001-9c3a-5d1f0a6b7c8d"

// calipers are the four parts on the sample rack.
func calipers() []journal.Subject {
	var parts []journal.Subject
	for _, corner := range []journal.Corner{"LF", "RF", "LR", "RR"} {
		parts = append(parts, journal.About(JobOne, corner, "caliper"))
	}
	return parts
}

// The subjects of samples.
func onJob() journal.Subject    { return journal.About(JobOne, "", "") }
func onCorner() journal.Subject { return journal.About(JobOne, "LF", "") }
func onPart() journal.Subject   { return journal.About(JobOne, "LF", "caliper") }
func onRun() journal.Subject    { return journal.Of("run", string(Bake)) }
