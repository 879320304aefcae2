package evidencetest

import (
	"bytes"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
)

// Tampering is one way of tampering with a dossier.
type Tampering struct {
	Name string
	// Do tampers with a dossier of the history, made by Dossier, and says what
	// is to be found.
	Do func(*Tampered)
}

// Tampered is a dossier that somebody has tampered with.
type Tampered struct {
	T       testing.TB
	H       *History
	D       *Dossier
	Dice    *rand.Rand
	Receipt *evidence.Receipt

	// Packed is the file; if Do leaves it empty, D is packed with manifests
	// made anew.
	Packed []byte
	// Want is what has to be among the findings, Where a place or path that
	// one of them has to name.
	Want  []evidence.Code
	Where string
}

// want says what is to be found and where.
func (x *Tampered) want(where string, codes ...evidence.Code) { x.Where, x.Want = where, codes }

// item picks an entry of the dossier.
func (x *Tampered) item() evidence.Item { return pick(x, x.D.About.Entries) }

// covered picks an entry under the seal.
func (x *Tampered) covered() evidence.At { return pick(x, x.D.About.Seals[0].Covers).At }

// photo picks a photograph whose original is here.
func (x *Tampered) photo() *evidence.Photo {
	var here []int
	for i, p := range x.D.About.Photos {
		if p.Original {
			here = append(here, i)
		}
	}
	return &x.D.About.Photos[pick(x, here)]
}

func pick[T any](x *Tampered, list []T) T { return list[x.Dice.IntN(len(list))] }

// bend changes a byte of a file so that it is still text if it was.
func (x *Tampered) bend(raw []byte) []byte {
	bent := slices.Clone(raw)
	for {
		i := x.Dice.IntN(len(bent))
		if c := bent[i]; c >= '0' && c <= '8' || c >= 'a' && c <= 'y' || c >= 0x80 && c < 0xff {
			bent[i]++
			return bent
		}
	}
}

// Tamperings lists them. Those called plain leave the manifests as they were;
// all others make them anew, as a forger would.
func Tamperings() []Tampering {
	return slices.Concat(plainTamperings(), entryTamperings(), photoTamperings(), logTamperings(), otherTamperings())
}

func plainTamperings() []Tampering {
	some := func(x *Tampered) string { return pick(x, slices.Sorted(maps.Keys(x.D.Files))) }
	change := func(x *Tampered, path string, to func([]byte) []byte) {
		x.Packed = Repack(x.T, x.D.Pack(), func(name string, raw []byte) []byte {
			if strings.HasSuffix(name, "/"+path) {
				return to(raw)
			}
			return raw
		})
	}
	return []Tampering{
		{"plain: a file changed", func(x *Tampered) {
			path := some(x)
			change(x, "data/"+path, x.bend)
			x.want("data/"+path, evidence.FileAltered)
		}},
		{"plain: a file left out", func(x *Tampered) {
			path := some(x)
			change(x, "data/"+path, func([]byte) []byte { return nil })
			x.want("data/"+path, evidence.FileMissing)
		}},
		{"plain: the description changed", func(x *Tampered) {
			change(x, "data/"+evidence.DossierPath, x.bend)
			x.want("data/"+evidence.DossierPath, evidence.FileAltered)
		}},
		{"plain: what is said of the bag changed", func(x *Tampered) {
			change(x, "bag-info.txt", func(raw []byte) []byte { return append(raw, "Contact-Name: nobody\n"...) })
			x.want("bag-info.txt", evidence.FileAltered)
		}},
		{"plain: the list of the other files left out", func(x *Tampered) {
			change(x, "tagmanifest-sha256.txt", func([]byte) []byte { return nil })
			x.want("tagmanifest-sha256.txt", evidence.FileMissing)
		}},
		{"plain: a line of the manifest changed", func(x *Tampered) {
			change(x, "manifest-sha256.txt", func(raw []byte) []byte {
				line := x.Dice.IntN(bytes.Count(raw, []byte("\n")))
				lines := bytes.SplitAfter(raw, []byte("\n"))
				lines[line][0] = "0123456789abcdef0"[strings.IndexByte("0123456789abcdef", lines[line][0])+1]
				x.Where = string(bytes.TrimSpace(lines[line][66:]))
				return bytes.Join(lines, nil)
			})
			x.Want = []evidence.Code{evidence.FileAltered}
		}},
		{"plain: a line of the manifest left out", func(x *Tampered) {
			change(x, "manifest-sha256.txt", func(raw []byte) []byte {
				if !bytes.Contains(raw, []byte("  data/")) {
					return raw // of the other files
				}
				lines := bytes.SplitAfter(raw, []byte("\n"))
				line := x.Dice.IntN(len(lines) - 1)
				x.Where = string(bytes.TrimSpace(lines[line][66:]))
				return bytes.Join(slices.Delete(lines, line, line+1), nil)
			})
			x.Want = []evidence.Code{evidence.FileUnlisted}
		}},
	}
}

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

func photoTamperings() []Tampering {
	path := func(p *evidence.Photo) string { return evidence.OriginalPath(p.Ref, p.Ext) }
	return []Tampering{
		{"a photograph changed", func(x *Tampered) {
			p := path(x.photo())
			x.D.Files[p] = append(slices.Clone(x.D.Files[p]), 0)
			x.want("data/"+p, evidence.PhotoOther)
		}},
		{"photographs swapped between corners", func(x *Tampered) {
			a, b := x.photo(), x.photo()
			for a == b {
				b = x.photo()
			}
			x.D.Files[path(a)], x.D.Files[path(b)] = x.D.Files[path(b)], x.D.Files[path(a)]
			x.want("data/"+path(a), evidence.PhotoOther)
		}},
		{"photographs swapped in the description", func(x *Tampered) {
			a, b := x.photo(), x.photo()
			for a == b {
				b = x.photo()
			}
			a.Cited, b.Cited = b.Cited, a.Cited
			x.want(a.Cited[0].String(), evidence.PhotoNotCited)
		}},
		{"a thumbnail changed", func(x *Tampered) {
			p := evidence.ThumbPath(x.photo().Thumb)
			x.D.Files[p] = x.bend(x.D.Files[p])
			x.want("data/"+p, evidence.PhotoOther)
		}},
		{"a photograph left out", func(x *Tampered) {
			p := path(x.photo())
			delete(x.D.Files, p)
			x.want("data/"+p, evidence.PhotoGone)
		}},
		{"a photograph left out, from the description too", func(x *Tampered) {
			p := *x.photo()
			uncite(x, p.Cited[0])
			x.want(p.Cited[0].String(), evidence.PhotoNotListed)
		}},
		{"a photograph replaced by a copy of another one", func(x *Tampered) {
			p := x.photo()
			p.Original, p.Copy = false, p.Ref
			other := []byte("\xff\xd8 not what was copied")
			delete(x.D.Files, path(p))
			x.D.Files[evidence.CopyPath(p.Ref, p.Ext)] = other
			x.want("data/"+evidence.CopyPath(p.Ref, p.Ext), evidence.PhotoOther)
		}},
	}
}

func logTamperings() []Tampering {
	state := func(x *Tampered) (*evidence.Log, int) {
		l := &x.D.About.Logs[x.Dice.IntN(len(x.D.About.Logs))]
		return l, x.Dice.IntN(len(l.States))
	}
	return []Tampering{
		{"a proof changed", func(x *Tampered) {
			at := x.item().At
			for len(bytes.Split(x.D.Files[evidence.ProofPath(at)], []byte("\n"))) < 8 {
				at = x.item().At
			}
			raw := slices.Clone(x.D.Files[evidence.ProofPath(at)])
			i := bytes.IndexByte(raw[30:], '\n') + 32 + x.Dice.IntN(30)
			raw[i] = map[bool]byte{true: 'B', false: 'A'}[raw[i] == 'A']
			x.D.Files[evidence.ProofPath(at)] = raw
			x.want(at.String(), evidence.NotProven)
		}},
		{"a proof left out", func(x *Tampered) {
			at := x.item().At
			delete(x.D.Files, evidence.ProofPath(at))
			x.want(at.String(), evidence.NotProven)
		}},
		{"a checkpoint changed", func(x *Tampered) {
			l, i := state(x)
			path := evidence.CheckpointPath(l.Device, l.States[i].Size)
			raw := slices.Clone(x.D.Files[path])
			at := bytes.IndexByte(raw, '\n') + bytes.IndexByte(raw[bytes.IndexByte(raw, '\n')+1:], '\n') + 2 + x.Dice.IntN(30)
			raw[at] = map[bool]byte{true: 'B', false: 'A'}[raw[at] == 'A']
			x.D.Files[path] = raw
			x.want("data/"+path, evidence.StateUnsigned)
		}},
		{"a checkpoint left out", func(x *Tampered) {
			l, i := state(x)
			path := evidence.CheckpointPath(l.Device, l.States[i].Size)
			delete(x.D.Files, path)
			x.want("data/"+path, evidence.StateUnsigned)
		}},
		{"the hub's countersignature changed", func(x *Tampered) {
			l, i := state(x)
			path := evidence.CheckpointPath(l.Device, l.States[i].Size)
			raw := slices.Clone(x.D.Files[path])
			at := len(raw) - 20 - x.Dice.IntN(40)
			raw[at] = map[bool]byte{true: 'B', false: 'A'}[raw[at] == 'A']
			x.D.Files[path] = raw
			x.want("data/"+path, evidence.CosignatureWrong)
		}},
		{"the proof that a log grew changed", func(x *Tampered) {
			l, i := state(x)
			for i == 0 || len(l.States[i].Grown) == 0 {
				l, i = state(x)
			}
			l.States[i].Grown = slices.Clone(l.States[i].Grown)
			l.States[i].Grown[0][3]++
			x.want("data/"+evidence.CheckpointPath(l.Device, l.States[i].Size), evidence.StateBroken)
		}},
		{"a tablet's log signed anew by another key", func(x *Tampered) {
			device := pick(x, []journal.DeviceID{Bench, Rack})
			x.D = resigned(x, device)
			x.want("data/"+evidence.CheckpointPath(device, x.D.About.Logs[index(x.D, device)].States[0].Size), evidence.StateUnsigned, evidence.KeysDiffer)
		}},
		{"a tablet's log rewritten and signed by its own key", func(x *Tampered) {
			x.D = rewritten(x, Rack)
			x.want(x.H.Sealed.String(), evidence.SealRoot, evidence.CosignatureWrong, evidence.CitedOther)
		}},
		{"the tablet's admission left out", func(x *Tampered) {
			at := admission(x.H, pick(x, []journal.DeviceID{Bench, Rack}))
			delete(x.D.Files, evidence.EntryPath(at))
			delete(x.D.Files, evidence.ProofPath(at))
			x.D.About.Entries = slices.DeleteFunc(x.D.About.Entries, func(i evidence.Item) bool { return i.At == at })
			x.want("", evidence.NotAdmitted)
		}},
		{"the tablet's admission forged", func(x *Tampered) {
			device := pick(x, []journal.DeviceID{Bench, Rack})
			at := admission(x.H, device)
			x.D.Files[evidence.EntryPath(at)] = bytes.Replace(x.D.Files[evidence.EntryPath(at)], []byte(x.H.logs[device].key.Verifier()), []byte(foreign(x, device).Verifier()), 1)
			x.want(at.String(), evidence.NotProven, evidence.NotAdmitted)
		}},
		{"the founding forged", func(x *Tampered) {
			at := evidence.At{Device: Hub}
			x.D.Files[evidence.EntryPath(at)] = bytes.Replace(x.D.Files[evidence.EntryPath(at)], []byte(x.H.logs[Hub].key.Verifier()), []byte(foreign(x, Hub).Verifier()), 1)
			x.want("data/"+evidence.EntryPath(at), evidence.ReceiptHub, evidence.StateUnsigned)
		}},
		{"the founding left out", func(x *Tampered) {
			at := evidence.At{Device: Hub}
			x.D.About.Entries = slices.DeleteFunc(x.D.About.Entries, func(i evidence.Item) bool { return i.At == at })
			delete(x.D.Files, evidence.EntryPath(at))
			delete(x.D.Files, evidence.ProofPath(at))
			x.want("data/"+evidence.EntryPath(at), evidence.NoFounding)
		}},
		{"a cited state changed", func(x *Tampered) {
			i := x.Dice.IntN(len(x.D.About.Cited))
			x.D.About.Cited[i].Root[x.Dice.IntN(16)]++
			x.want("data/"+evidence.DossierPath, evidence.CitedBroken, evidence.CitedOther)
		}},
		{"a cited state left out", func(x *Tampered) {
			i := x.Dice.IntN(len(x.D.About.Cited))
			x.D.About.Cited = slices.Delete(x.D.About.Cited, i, i+1)
			x.Want = []evidence.Code{evidence.CitedUnshown}
		}},
	}
}

func otherTamperings() []Tampering {
	return []Tampering{
		{"everything made anew by another hub", func(x *Tampered) {
			x.D = New(x.T, x.H.Seed+" forged", 4).Dossier(Options{})
			x.want("data/"+evidence.EntryPath(evidence.At{Device: Hub}), evidence.ReceiptHub, evidence.ReceiptSeal)
		}},
		{"the past rewritten by the shop itself, with all its keys", func(x *Tampered) {
			other := Rewritten(x.T, x.H.Seed, len(x.H.Covers)-7, ", and nothing was found")
			x.D = other.Dossier(Options{})
			x.want(other.Sealed.String(), evidence.ReceiptSeal)
		}},
		{"a receipt of another job", func(x *Tampered) {
			x.Receipt.Job = Other
			x.Want = []evidence.Code{evidence.ReceiptJob}
		}},
		{"a receipt of another shop", func(x *Tampered) {
			other := New(x.T, x.H.Seed+" other", 4).Receipt()
			other.Shop = "0th3rsh0"
			x.Receipt = &other
			x.Want = []evidence.Code{evidence.ReceiptShop, evidence.ReceiptHub}
		}},
		{"a receipt with another count", func(x *Tampered) {
			x.Receipt.Entries++
			x.want(x.H.Sealed.String(), evidence.ReceiptSeal)
		}},
		{"a receipt with another root of the hub's log", func(x *Tampered) {
			x.Receipt.Root[x.Dice.IntN(32)]++
			x.want("data/"+evidence.CheckpointPath(Hub, x.Receipt.Size), evidence.ReceiptState)
		}},
		{"a customer card changed", func(x *Tampered) {
			path := evidence.CardPath(x.H.Card.Card)
			x.D.Files[path] = bytes.Replace(x.D.Files[path], []byte("A. Customer"), []byte("B. Customer"), 1)
			x.want("data/"+path, evidence.CardWrong)
		}},
		{"a file added", func(x *Tampered) {
			path := pick(x, []string{"photos/original/extra.jpg", "entries/t3fz8c1n/9999.json", "more.txt"})
			x.D.Files[path] = []byte("more")
			x.want("data/"+path, evidence.FileStray)
		}},
		{"the description cut off", func(x *Tampered) {
			x.D.Plain = []byte(`{"form":"fettlebook dossier","edition":1,"shop":"k7m2q4xw"`)
			x.want("data/"+evidence.DossierPath, evidence.NoDossier)
		}},
	}
}

func admission(h *History, device journal.DeviceID) evidence.At {
	for _, item := range h.Items {
		if e := h.entry(item.At); e.Type.Kind == journal.DeviceEnrolled && e.Subject == journal.Of("device", string(device)) {
			return item.At
		}
	}
	h.t.Fatal("no admission")
	return evidence.At{}
}

func index(d *Dossier, device journal.DeviceID) int {
	return slices.IndexFunc(d.About.Logs, func(l evidence.Log) bool { return l.Device == device })
}

// foreign draws a key that the shop does not know.
func foreign(x *Tampered, device journal.DeviceID) proof.Key {
	return x.H.newKey(fmt.Sprintf("foreign %d", x.Dice.Uint64()), proof.Origin(journaltest.Shop, device))
}

// resigned makes the dossier with a log signed anew by a foreign key, its
// proofs too, and countersigned by a foreign hub.
func resigned(x *Tampered, device journal.DeviceID) *Dossier {
	return anew(x, device, func(l *log) { l.key = foreign(x, device) })
}

// rewritten makes the dossier with something else in a tablet's log, which is
// signed anew by its own key: what an insider can do who has it.
func rewritten(x *Tampered, device journal.DeviceID) *Dossier {
	return anew(x, device, func(l *log) {
		old := l.raw
		l.raw, l.stored, l.tree, l.roots = nil, nil, proof.Tree{}, l.roots[:1:1]
		for _, raw := range old {
			l.append(bytes.ReplaceAll(raw, []byte("oven at temperature"), []byte("oven much too cold ")))
		}
	})
}

// anew makes the dossier with a log that was changed and signed anew,
// countersigned by a foreign hub.
func anew(x *Tampered, device journal.DeviceID, change func(*log)) *Dossier {
	h := *x.H
	shop := *x.H.shop
	h.shop = &shop
	l := *shop.logs[device]
	l.noted = make(map[int64][]byte)
	change(&l)
	shop.logs = maps.Clone(shop.logs)
	shop.logs[device] = &l
	shop.cosign = x.H.newKey(fmt.Sprintf("foreign hub %d", x.Dice.Uint64()), proof.CosignerName(journaltest.Shop))
	for _, size := range l.sizes {
		l.noted[size] = shop.sign(&l, size, l.held[size])
	}
	return h.Dossier(Options{})
}
