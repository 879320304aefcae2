package evidencetest

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/evidence"
)

func entryTamperings() []Tampering {
	drop := func(x *Tampered, at evidence.At) {
		delete(x.D.Files, evidence.EntryPath(at))
		delete(x.D.Files, evidence.ProofPath(at))
		x.D.About.Entries = slices.DeleteFunc(x.D.About.Entries, func(i evidence.Item) bool { return i.At == at })
		uncite(x, at)
	}
	uncover := func(x *Tampered, at evidence.At) {
		x.D.About.Seals[0].Covers = slices.DeleteFunc(x.D.About.Seals[0].Covers, func(c evidence.Covered) bool { return c.At == at })
	}
	return []Tampering{
		{"an entry changed", func(x *Tampered) {
			at := x.item().At
			x.D.Files[evidence.EntryPath(at)] = x.bend(x.D.Files[evidence.EntryPath(at)])
			x.want(at.String(), evidence.NotProven)
		}},
		{"an entry under the seal changed", func(x *Tampered) {
			at := x.covered()
			x.D.Files[evidence.EntryPath(at)] = x.bend(x.D.Files[evidence.EntryPath(at)])
			x.want(at.String(), evidence.NotProven, evidence.SealRoot)
		}},
		{"two entries exchanged", func(x *Tampered) {
			a, b := x.item().At, x.item().At
			for a == b {
				b = x.item().At
			}
			x.D.Files[evidence.EntryPath(a)], x.D.Files[evidence.EntryPath(b)] = x.D.Files[evidence.EntryPath(b)], x.D.Files[evidence.EntryPath(a)]
			x.want(a.String(), evidence.NotProven, evidence.EntryOther)
		}},
		{"two entries exchanged with their proofs", func(x *Tampered) {
			a, b := x.item().At, x.item().At
			for a == b {
				b = x.item().At
			}
			for _, of := range []func(evidence.At) string{evidence.EntryPath, evidence.ProofPath} {
				x.D.Files[of(a)], x.D.Files[of(b)] = x.D.Files[of(b)], x.D.Files[of(a)]
			}
			x.want(a.String(), evidence.NotProven, evidence.EntryOther)
		}},
		{"an entry left out, its line kept", func(x *Tampered) {
			at := x.item().At
			delete(x.D.Files, evidence.EntryPath(at))
			x.want(at.String(), evidence.EntryGone)
		}},
		{"an entry left out under the seal", func(x *Tampered) {
			at := x.covered()
			drop(x, at)
			x.want(at.String(), evidence.SealedGone)
		}},
		{"an entry left out, from the seal too", func(x *Tampered) {
			at := x.covered()
			drop(x, at)
			uncover(x, at)
			x.want(x.H.Sealed.String(), evidence.SealCount, evidence.SealRoot)
		}},
		{"the last entry left out, from the seal too", func(x *Tampered) {
			covers := x.D.About.Seals[0].Covers
			at := covers[len(covers)-1].At
			drop(x, at)
			uncover(x, at)
			x.want(x.H.Sealed.String(), evidence.SealCount, evidence.SealRoot)
		}},
		{"an entry left out and another counted instead", func(x *Tampered) {
			at := x.covered()
			drop(x, at)
			for i, c := range x.D.About.Seals[0].Covers {
				if c.At == at {
					x.D.About.Seals[0].Covers[i].At = later(x)
				}
			}
			x.want(x.H.Sealed.String(), evidence.SealRoot)
		}},
		{"an entry withheld with another hash", func(x *Tampered) {
			at := x.covered()
			drop(x, at)
			for i, c := range x.D.About.Seals[0].Covers {
				if c.At == at {
					x.D.About.Seals[0].Covers[i].Leaf = journal.Digest{1}
				}
			}
			x.want(x.H.Sealed.String(), evidence.SealRoot)
		}},
		{"an entry added under the seal", func(x *Tampered) {
			covers := &x.D.About.Seals[0].Covers
			*covers = slices.Insert(*covers, x.Dice.IntN(len(*covers)), evidence.Covered{At: later(x)})
			x.want(x.H.Sealed.String(), evidence.SealCount, evidence.SealRoot)
		}},
		{"the order of the seal changed", func(x *Tampered) {
			covers := x.D.About.Seals[0].Covers
			i := x.Dice.IntN(len(covers) - 1)
			j := i + 1 + x.Dice.IntN(len(covers)-i-1)
			covers[i], covers[j] = covers[j], covers[i]
			x.want(x.H.Sealed.String(), evidence.SealRoot)
		}},
		{"the seal left out", func(x *Tampered) {
			drop(x, x.H.Sealed)
			x.D.About.Seals = nil
			x.want("", evidence.NotSealed, evidence.ReceiptSeal)
		}},
		{"the seal named for another job", func(x *Tampered) {
			x.D.About.Seals[0].Job, x.D.About.About.Jobs[0] = Other, Other
			x.want(x.H.Sealed.String(), evidence.SealGone, evidence.ReceiptJob)
		}},
		{"the ID of an entry changed in the description", func(x *Tampered) {
			i := x.Dice.IntN(len(x.D.About.Entries))
			x.D.About.Entries[i].ID[15]++
			x.want(x.D.About.Entries[i].At.String(), evidence.EntryOther)
		}},
	}
}

// later returns the entry that was added after the seal.
func later(x *Tampered) evidence.At { return x.H.Items[len(x.H.Items)-1].At }

// uncite takes what an entry cites out of the list of photographs.
func uncite(x *Tampered, at evidence.At) {
	x.D.About.Photos = slices.DeleteFunc(x.D.About.Photos, func(p evidence.Photo) bool {
		if len(p.Cited) != 1 || p.Cited[0] != at {
			return false
		}
		delete(x.D.Files, evidence.OriginalPath(p.Ref, evidence.JPG))
		delete(x.D.Files, evidence.CopyPath(p.Ref, evidence.JPG))
		delete(x.D.Files, evidence.ThumbPath(p.Thumb))
		return true
	})
}
