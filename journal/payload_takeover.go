package journal

import (
	"fmt"
	"slices"
)

// TakenOver is the data of entry.takenover: an entry of a log, or of a part of
// one, that counts no more, quoted whole, with the proof that the log's device
// signed it there. The entry that quotes is about what the quoted one is
// about, and by whom that is by: nobody says anything more in it. Its photos
// name those of the quoted entry, so that thumbnails and originals travel with
// it.
//
// How a quote stands in the order is said in package order, whether it counts
// in [Authority.VoidsQuote].
type TakenOver struct {
	Entry      string   `json:"entry"`            // the exact bytes
	Device     DeviceID `json:"device"`           // in whose log they lay
	Index      int64    `json:"index" span:"log"` // and where, from 0
	Checkpoint string   `json:"checkpoint"`       // of that log, a signed note of the device's
	Proof      []Digest `json:"proof,omitempty"`  // RFC 6962: from the entry to the checkpoint's root
	Branch     Branch   `json:"branch"`
	Photos     []Photo  `json:"photos,omitempty"`
}

// evidence is the photos of the quoted entry. Nothing is attached to a quote.
func (t *TakenOver) evidence() *Evidence { return &Evidence{Photos: t.Photos} }

// Kind implements [Payload].
func (*TakenOver) Kind() Kind { return EntryTakenOver }

// Say implements [Payload].
func (t *TakenOver) Say() string {
	return fmt.Sprintf("entry %d of the log of tablet %s, quoted", t.Index+1, t.Device)
}

// Quotes returns what an entry quotes, and how, if that is something that may
// count ([Authority.VoidsQuote]); else nil. Such an entry is read, found and
// folded as the one that it quotes.
func (e *Entry) Quotes() (*TakenOver, *Entry) {
	if e.Type.Kind != EntryTakenOver {
		return nil, nil
	}
	p, err := e.Payload()
	t, ok := p.(*TakenOver)
	if err != nil || !ok {
		return nil, nil
	}
	q, err := t.Quoted()
	if err != nil || (Authority{}).VoidsQuote(e, q) != "" {
		return nil, nil
	}
	return t, q
}

// Quoted reads the entry that is quoted.
func (t *TakenOver) Quoted() (*Entry, error) { return Decode([]byte(t.Entry)) }

func (t *TakenOver) check(p *problems) {
	if t.Index < 0 || t.Index >= MaxLog {
		p.add("index", TooSmall, "is not a place in a log")
	}
	if n := len(t.Proof); n > MaxProof {
		p.add("proof", TooMany, "a proof of %d hashes is too long (%d)", n, MaxProof)
	}
	if t.Entry == "" {
		return // it is missing, which was said
	}
	e, err := t.Quoted()
	if err != nil {
		p.add("entry", NotReadable, "%s", err)
		return
	}
	if e.Source.Device != t.Device {
		p.add("device", Clash, "the quoted entry names another device than the one in whose log it is said to have lain")
	}
	photos, err := e.Photos()
	if err != nil || !slices.EqualFunc(photos, t.Photos, func(a, b Photo) bool { return a.Ref == b.Ref && a.Thumb == b.Thumb }) {
		p.add("photos", Clash, "the photographs must be those of the quoted entry")
	}
}

// Branch says why what is quoted did not count where it lay.
type Branch = Choice[branches]

type branches struct{}

func (branches) words() []string { return written(RestoredBranch, RevokedBranch) }

// The words of [Branch].
const (
	RestoredBranch Branch = "restored" // the device was put back to an older state and wrote two histories
	RevokedBranch  Branch = "revoked"  // the device was revoked before the hub had it
)
