package evidencetest

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"image"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/media"
	"fettlebook/media/mediatest"
)

// The job that dossiers are about, and another one in the same logs.
const (
	Job   journal.JobID = "4f7kk2m9"
	Other journal.JobID = "0th3rj0b"
)

// History is a shop in which one job was done and handed back.
type History struct {
	*shop
	Seed   string
	Items  []evidence.Item
	Covers []evidence.At
	Sealed evidence.At
	Card   journal.Card
	Wrote  evidence.At // the card.written

	originals map[media.Ref][]byte
	thumbs    map[media.Ref][]byte
	shots     int
	twist     string // put into the remarks: the same keys, another history
}

// New plays a history. Entries per seed differ in number and place; size asks
// for more entries of the job.
func New(t testing.TB, seed string, size int) *History { return Rewritten(t, seed, size, "") }

// Rewritten plays the same history with the same keys, and writes something
// else into the steps of the work: what a shop could do that wants its past to
// be another one, hub and all.
func Rewritten(t testing.TB, seed string, size int, twist string) *History {
	t.Helper()
	h := &History{shop: newShop(t, seed), Seed: seed, originals: make(map[media.Ref][]byte), thumbs: make(map[media.Ref][]byte), twist: twist}
	h.found()
	h.work(size)
	h.handOver()
	return h
}

// NewChanged plays a history in which the hub's keys are changed before the
// vehicle is handed back.
func NewChanged(t testing.TB, seed string, size int, because journal.KeyReason) *History {
	t.Helper()
	h := &History{shop: newShop(t, seed), Seed: seed, originals: make(map[media.Ref][]byte), thumbs: make(map[media.Ref][]byte)}
	h.found()
	h.work(size)
	h.ChangeKeys(because, nil)
	h.handOver()
	return h
}

// ChangeKeys has the hub go on with new keys; bend may spoil the change.
func (h *History) ChangeKeys(because journal.KeyReason, bend func(*journal.KeyChange)) evidence.At {
	h.t.Helper()
	for _, d := range []journal.DeviceID{Bench, Rack, Hub} {
		h.countersign(d)
	}
	hub := h.logs[Hub]
	old := proof.HubKeys{Log: hub.key, Cosign: h.cosign}
	seed := fmt.Sprintf("%s keys %d", h.Seed, len(hub.before))
	next := proof.HubKeys{Log: h.newKey(seed+" log", proof.Origin(journaltest.Shop, Hub)), Cosign: h.newKey(seed+" cosign", proof.CosignerName(journaltest.Shop))}
	p := &journal.KeyChange{Because: because, Certificate: hex.EncodeToString(bytes.Repeat([]byte{0xc5}, 32))}
	proof.SignKeyChange(p, journaltest.Shop, Hub, old, next)
	if bend != nil {
		bend(p)
	}
	hub.before = append(hub.before, reign{int64(len(hub.raw)), old.Log, old.Cosign})
	hub.key, h.cosign = next.Log, next.Cosign
	return h.Say(Hub, journal.Of("shop", string(journaltest.Shop)), p, evidence.ForRegister)
}

// FoundKeys has the hub go on with keys that the old ones did not sign; those
// tablets agree that are given.
func (h *History) FoundKeys(agree ...journal.DeviceID) evidence.At {
	h.t.Helper()
	at := h.ChangeKeys(journal.KeysLost, func(p *journal.KeyChange) { p.OldSigned = "" })
	for _, d := range agree {
		h.Agreement(d, d)
	}
	return at
}

// Agreement has a device write into its log that a tablet agreed to the keys of
// now; bend may have it say something else.
func (h *History) Agreement(writes, about journal.DeviceID, bend ...func(*journal.KeyAgreement)) {
	h.t.Helper()
	now, before := h.fingerprint(journal.MaxLog), h.logs[Hub].before
	last := before[len(before)-1]
	p := &journal.KeyAgreement{Device: about, New: now, Size: 1, Old: evidence.Fingerprint(last.log.Verifier(), last.cosign.Verifier()), Root: journal.Digest{1}}
	for _, b := range bend {
		b(p)
	}
	h.Say(writes, journal.Of("device", string(about)), p, evidence.ForRegister)
}

// Thief has the states that are signed from here on be countersigned with the
// keys from before the last change.
func (h *History) Thief() {
	before := h.logs[Hub].before
	h.cosign = before[len(before)-1].cosign
}

// fingerprint is of the hub's keys at the state of its log of a size.
func (h *History) fingerprint(size int64) [32]byte {
	hub := h.logs[Hub]
	for _, r := range hub.before {
		if size <= r.until {
			return evidence.Fingerprint(r.log.Verifier(), r.cosign.Verifier())
		}
	}
	return evidence.Fingerprint(hub.key.Verifier(), h.cosign.Verifier())
}

// Say writes a further entry, which belongs into the dossier.
func (h *History) Say(device journal.DeviceID, about journal.Subject, data journal.Payload, why evidence.Why) evidence.At {
	h.t.Helper()
	at := h.keep(h.write(device, about, data), why)
	h.countersign(device)
	return at
}

// Resealed has the hub seal the job once more, with everything that is there by
// now.
func (h *History) Resealed() evidence.Seal {
	h.t.Helper()
	var raw [][]byte
	s := evidence.Seal{Job: Job}
	for _, item := range h.Items {
		if item.Why == evidence.ForJob || item.Why == evidence.ForRun {
			raw = append(raw, h.logs[item.At.Device].raw[item.At.Index])
			s.Covers = append(s.Covers, evidence.Covered{At: item.At})
		}
	}
	s.At = h.Say(Hub, journal.About(Job, "", ""), &journal.Seal{Root: proof.Seal(raw), Entries: len(raw)}, evidence.ForJob)
	return s
}

// Clock sets a device's clock off from the hub's.
func (h *History) Clock(device journal.DeviceID, by time.Duration) {
	l := h.logs[device]
	l.author.Now = func() time.Time { return h.watch.Now().Add(by) }
	l.author.Started = l.author.Started.Add(by)
}

// Quote drafts the taking over of an entry of a tablet's log.
func (h *History) Quote(at evidence.At) *journal.TakenOver {
	h.t.Helper()
	l := h.logs[at.Device]
	size := l.sizes[len(l.sizes)-1]
	d, err := proof.Quote(l.raw[at.Index], journal.Position(at), l.noted[size], size, l.stored, journal.RevokedBranch)
	if err != nil {
		h.t.Fatal(err)
	}
	return d.Data.(*journal.TakenOver)
}

// Size returns how many entries a log has.
func (h *History) Size(device journal.DeviceID) int64 { return int64(len(h.logs[device].raw)) }

// keep notes that an entry belongs into the dossier.
func (h *History) keep(at evidence.At, why evidence.Why) evidence.At {
	h.Items = append(h.Items, evidence.Item{At: at, ID: h.entry(at).ID, Why: why})
	return at
}

func (h *History) found() {
	hub := h.logs[Hub]
	h.keep(h.write(Hub, journal.Of("shop", string(journaltest.Shop)), &journal.Shop{Shop: journaltest.Shop, Name: "Pin Bore Works",
		LogKey: hub.key.Verifier(), CosignKey: h.cosign.Verifier()}), evidence.ForRegister)
	invited := h.entry(evidence.At{Device: Hub}).ID
	for i, d := range []journal.DeviceID{Bench, Rack} {
		h.noise()
		h.keep(h.write(Hub, journal.Of("device", string(d)), &journal.Device{Device: d, Name: fmt.Sprintf("bench %d", i+1), LogKey: h.logs[d].key.Verifier(),
			ConnectKey: "UDQQQTGJBZOCDDZ6V2UHNRMTK2CCYYMLL55WPOUKOKLODYZJON6KRUXO", Invitation: invited}), evidence.ForRegister)
	}
	h.keep(h.write(Hub, journal.Of("person", "io"), &journal.Person{Person: "io", Initials: "IO"}), evidence.ForRegister)
	card, err := journal.NewCard("c4rd0001", journal.Details{Name: "A. Customer", Phone: "0"}, journaltest.Rand(h.Seed+" card"))
	if err != nil {
		h.t.Fatal(err)
	}
	committed, err := card.Commitment()
	if err != nil {
		h.t.Fatal(err)
	}
	h.Wrote = h.keep(h.write(Bench, journal.Of("card", "c4rd0001"), &journal.CardWriting{Card: "c4rd0001", Commitment: committed}), evidence.ForCard)
	card.Written, h.Card = h.entry(h.Wrote).ID, card
}

// noise is entries of another job and of nobody's.
func (h *History) noise() {
	for range h.dice.IntN(4) {
		d := []journal.DeviceID{Hub, Bench, Rack}[h.dice.IntN(3)]
		h.write(d, journal.About(Other, journal.LeftRear, ""), &journal.Remark{Evidence: journal.Evidence{Note: fmt.Sprintf("of no concern %d", h.dice.IntN(1e6))}})
	}
}

func (h *History) work(size int) {
	under := func(d journal.DeviceID, about journal.Subject, why evidence.Why, data journal.Payload) {
		h.Covers = append(h.Covers, h.keep(h.write(d, about, data), why))
		h.noise()
	}
	under(Bench, journal.About(Job, "", ""), evidence.ForJob, journaltest.Sample(journal.JobOpened).Data)
	for _, corner := range []journal.Corner{journal.LeftFront, journal.RightFront} {
		under(Bench, journal.About(Job, corner, "caliper"), evidence.ForJob, &journal.Removal{Condition: "dirty", Evidence: journal.Evidence{Photos: h.shoot("before", string(corner))}})
	}
	under(Rack, "run/bake-17", evidence.ForRun, &journal.Remark{Evidence: journal.Evidence{Note: "oven at temperature", Photos: h.shoot("oven", "")}})
	for i := range size {
		d := []journal.DeviceID{Bench, Rack}[h.dice.IntN(2)]
		corner := []journal.Corner{journal.LeftFront, journal.RightFront}[h.dice.IntN(2)]
		e := journal.Evidence{Note: fmt.Sprintf("step %d of %s%s", i, h.Seed, h.twist)}
		if h.dice.IntN(3) == 0 {
			e.Photos = h.shoot("step", string(corner))
		}
		under(d, journal.About(Job, corner, "caliper"), evidence.ForJob, &journal.Remark{Evidence: e})
	}
	for _, corner := range []journal.Corner{journal.LeftFront, journal.RightFront} {
		under(Bench, journal.About(Job, corner, "caliper"), evidence.ForJob, &journal.Snapshot{Evidence: journal.Evidence{Photos: h.shoot("after", string(corner))}})
	}
	under(Bench, journal.About(Job, "", ""), evidence.ForJob, &journal.Release{Told: []string{"wheel nuts again after 50 km"}})
}

// shoot takes a photograph that no other is like.
func (h *History) shoot(role, of string) []journal.Photo {
	h.shots++
	original := mediatest.JPEG(seen(h.Seed, h.shots), 85, nil)
	thumb := mediatest.JPEG(seen(h.Seed, h.shots), 80, nil)
	p := journal.Photo{Ref: media.RefOf(original), Thumb: media.RefOf(thumb), Role: role + words(of)}
	h.originals[p.Ref], h.thumbs[p.Thumb] = original, thumb
	return []journal.Photo{p}
}

func words(of string) string {
	if of == "" {
		return ""
	}
	return " " + of
}

// seen is a picture in which there is something to be seen, as small as will do.
func seen(seed string, n int) image.Image {
	sum := sha256.Sum256(fmt.Appendf(nil, "%s %d", seed, n))
	return mediatest.Fields(48, 36, binary.BigEndian.Uint64(sum[:]))
}

func (h *History) handOver() {
	for _, d := range []journal.DeviceID{Bench, Rack, Hub} {
		h.countersign(d)
	}
	var raw [][]byte
	for _, at := range h.Covers {
		raw = append(raw, h.logs[at.Device].raw[at.Index])
	}
	h.Sealed = h.keep(h.write(Hub, journal.About(Job, "", ""), &journal.Seal{Root: proof.Seal(raw), Entries: len(raw)}), evidence.ForJob)
	h.countersign(Hub)
	h.noise()
	h.keep(h.write(Bench, journal.About(Job, "", ""), &journal.Contact{How: journal.ByTelephone, About: "wheel nuts", Reached: true, Answer: "all well"}), evidence.ForJob)
	for _, d := range []journal.DeviceID{Bench, Rack, Hub} {
		h.countersign(d)
	}
}

// Receipt is what the customer was given.
func (h *History) Receipt() evidence.Receipt {
	hub := h.logs[Hub]
	size := hub.covering(h.Sealed.Index)
	p, err := h.entry(h.Sealed).Payload()
	if err != nil {
		h.t.Fatal(err)
	}
	seal := p.(*journal.Seal)
	return evidence.Receipt{Shop: journaltest.Shop, Job: Job, Seal: seal.Root, Entries: seal.Entries, Hub: h.fingerprint(size),
		Size: size, Root: hub.roots[size], At: hub.held[size]}
}

// Fingerprint is of the hub's keys of now.
func (h *History) Fingerprint() [32]byte { return h.fingerprint(journal.MaxLog) }

// OldFingerprint is of those that founded the shop.
func (h *History) OldFingerprint() [32]byte { return h.fingerprint(1) }
