package evidencetest

import (
	"bytes"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
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
