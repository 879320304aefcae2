package evidencetest

import (
	"bytes"
	"context"
	"maps"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/bag"
	"fettlebook/journal/evidence"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"

	"github.com/go-json-experiment/json"
	tlogproof "github.com/transparency-dev/formats/proof"
	"golang.org/x/mod/sumdb/tlog"
)

// Dossier is one in the making: its description and every other file, to be
// changed before it is packed.
type Dossier struct {
	T     testing.TB
	About evidence.Dossier
	Files map[string][]byte
	// Plain is packed instead of the description, if it is not nil.
	Plain []byte
}

// Options say how a dossier is made.
type Options struct {
	Photos   evidence.PhotoChoice // originals if empty
	Stripped bool                 // copies without location instead of originals
	Card     bool
	Paper    bool
}

// Dossier makes the dossier of the job as an honest shop would.
func (h *History) Dossier(o Options) *Dossier {
	h.t.Helper()
	if o.Photos == "" {
		o.Photos = evidence.Originals
	}
	d := &Dossier{T: h.t, Files: make(map[string][]byte), About: evidence.Dossier{Form: evidence.Form, Edition: evidence.Edition,
		Shop: journaltest.Shop, Hub: Hub, About: evidence.About{Jobs: []journal.JobID{Job}},
		Asked: evidence.Asked{Photos: o.Photos, Location: !o.Stripped, Names: o.Card}, Entries: slices.Clone(h.Items)}}
	seal := evidence.Seal{Job: Job, At: h.Sealed}
	for _, at := range h.Covers {
		seal.Covers = append(seal.Covers, evidence.Covered{At: at})
	}
	d.About.Seals = []evidence.Seal{seal}
	slices.SortFunc(d.About.Entries, func(a, b evidence.Item) int { return a.At.Compare(b.At) })
	h.addLogs(d)
	h.addEntries(d)
	h.addCited(d)
	h.addPhotos(d, o)
	if o.Card {
		raw, err := json.Marshal(h.Card, json.Deterministic(true))
		if err != nil {
			h.t.Fatal(err)
		}
		d.Files[evidence.CardPath(h.Card.Card)] = raw
		d.About.Cards = []evidence.Card{{Card: h.Card.Card, At: h.Wrote}}
	}
	if o.Paper {
		d.Files[evidence.ReportPDF], d.Files[evidence.ReportHTML] = []byte("%PDF-1.7\n"), []byte("<p>report</p>")
	}
	return d
}

func (h *History) addLogs(d *Dossier) {
	need := make(map[journal.DeviceID][]int64)
	for _, item := range d.About.Entries {
		l := h.logs[item.At.Device]
		need[l.device] = append(need[l.device], l.covering(item.At.Index))
	}
	for _, device := range slices.Sorted(maps.Keys(need)) {
		l := h.logs[device]
		got := evidence.Log{Device: device, Keys: l.keys()}
		sizes := append(need[device], l.sizes[len(l.sizes)-1])
		slices.Sort(sizes)
		before := int64(0)
		for _, size := range slices.Compact(sizes) {
			s := evidence.State{Size: size}
			if before > 0 {
				s.Grown = h.grown(l, size, before)
			}
			before = size
			got.States = append(got.States, s)
			d.Files[evidence.CheckpointPath(device, size)] = l.noted[size]
		}
		d.About.Logs = append(d.About.Logs, got)
	}
}

func (h *History) grown(l *log, size, before int64) []journal.Digest {
	p, err := tlog.ProveTree(size, before, l.stored)
	if err != nil {
		h.t.Fatal(err)
	}
	var list []journal.Digest
	for _, hash := range p {
		list = append(list, journal.Digest(hash))
	}
	return list
}

func (h *History) addEntries(d *Dossier) {
	for _, item := range d.About.Entries {
		l := h.logs[item.At.Device]
		d.Files[evidence.EntryPath(item.At)] = l.raw[item.At.Index]
		d.Files[evidence.ProofPath(item.At)] = h.proof(l, item.At.Index, l.covering(item.At.Index))
	}
}

func (h *History) proof(l *log, index, size int64) []byte {
	hashes, err := proof.ProveEntry(size, index, l.stored)
	if err != nil {
		h.t.Fatal(err)
	}
	p := tlogproof.TLogProof{Index: uint64(index), Checkpoint: l.noted[size]}
	for _, hash := range hashes {
		p.Hashes = append(p.Hashes, hash)
	}
	return p.Marshal()
}

func (h *History) addCited(d *Dossier) {
	type prefix struct {
		device journal.DeviceID
		size   int64
	}
	cited := make(map[prefix]bool)
	for _, item := range d.About.Entries {
		e := h.entry(item.At)
		for _, p := range e.After {
			cited[prefix{p.Device, p.Size}] = true
		}
		if e.Seen.Size > 0 && item.At.Device != Hub {
			cited[prefix{Hub, e.Seen.Size}] = true
		}
	}
	for _, l := range d.About.Logs {
		for size := range int64(len(h.logs[l.Device].raw) + 1) {
			if !cited[prefix{l.Device, size}] {
				continue
			}
			c := evidence.Cited{Device: l.Device, Size: size, Root: journal.Digest(h.logs[l.Device].roots[size])}
			for _, s := range l.States {
				if s.Size >= size {
					if s.Size > size {
						c.Grown = h.grown(h.logs[l.Device], s.Size, size)
					}
					break
				}
			}
			d.About.Cited = append(d.About.Cited, c)
		}
	}
}

func (h *History) addPhotos(d *Dossier, o Options) {
	at := make(map[string]int)
	for _, item := range d.About.Entries {
		shown, err := h.entry(item.At).Photos()
		if err != nil {
			h.t.Fatal(err)
		}
		for _, s := range shown {
			key := s.Ref.Hex() + s.Thumb.Hex()
			if i, twice := at[key]; twice {
				d.About.Photos[i].Cited = append(d.About.Photos[i].Cited, item.At)
				continue
			}
			// The samples' own photographs are names without bytes.
			p := evidence.Photo{Ref: s.Ref, Thumb: s.Thumb, Cited: []evidence.At{item.At}}
			if thumb := h.thumbs[s.Thumb]; thumb != nil && o.Photos != evidence.NoPhotos {
				p.Thumbnail = true
				d.Files[evidence.ThumbPath(s.Thumb)] = thumb
			}
			original := h.originals[s.Ref]
			switch {
			case o.Photos != evidence.Originals:
			case original == nil:
				p.Missing = evidence.Withdrawn
			case o.Stripped:
				stripped := append(slices.Clone(original), "stripped"...)
				p.Copy, p.Ext = mediaRef(stripped), evidence.JPG
				d.Files[evidence.CopyPath(p.Ref, p.Ext)] = stripped
			default:
				p.Original, p.Ext = true, evidence.JPG
				d.Files[evidence.OriginalPath(p.Ref, p.Ext)] = original
			}
			at[key] = len(d.About.Photos)
			d.About.Photos = append(d.About.Photos, p)
		}
	}
}

// Pack packs the dossier with manifests that fit, as whoever makes one can.
func (d *Dossier) Pack() []byte {
	d.T.Helper()
	files := maps.Clone(d.Files)
	files[evidence.DossierPath] = d.Plain
	if d.Plain == nil {
		raw, err := json.Marshal(d.About, json.Deterministic(true))
		if err != nil {
			d.T.Fatal(err)
		}
		files[evidence.DossierPath] = raw
	}
	var out bytes.Buffer
	w, err := bag.NewWriter(&out, "dossier-"+string(Job))
	if err != nil {
		d.T.Fatal(err)
	}
	for _, path := range slices.SortedFunc(maps.Keys(files), strings.Compare) {
		if _, err := w.AddBytes(context.Background(), path, files[path]); err != nil {
			d.T.Fatal(err)
		}
	}
	if err := w.Close([2]string{"Source-Organization", "Pin Bore Works"}); err != nil {
		d.T.Fatal(err)
	}
	return out.Bytes()
}

// Repack packs a bag anew with some of its files changed and the manifests
// left as they are. change returns what a file becomes; nil leaves it out.
func Repack(t testing.TB, packed []byte, change func(name string, raw []byte) []byte) []byte {
	t.Helper()
	var out bytes.Buffer
	repack(t, &out, packed, change)
	return out.Bytes()
}
