package proof

import (
	"encoding/base64"
	"errors"
	"fmt"
	"slices"
	"time"

	"fettlebook/journal"
)

// keysPurpose keeps signatures of a change of keys apart from all others.
const keysPurpose = "keys"

// HubKeys are the two keys with which a hub signs: its log, and the states of
// all logs.
type HubKeys struct{ Log, Cosign Key }

// SignKeyChange has the old log key and both new keys sign a change whose
// reason, certificate and held logs are filled in.
func SignKeyChange(p *journal.KeyChange, shop journal.ShopID, hub journal.DeviceID, old, next HubKeys) {
	FoundKeys(p, shop, hub, Reign{Log: old.Log.Verifier(), Cosign: old.Cosign.Verifier()}, next)
	p.OldSigned = signChange(p, shop, hub, old.Log)
}

// FoundKeys is SignKeyChange where the old keys are not here: the new ones sign
// alone.
func FoundKeys(p *journal.KeyChange, shop journal.ShopID, hub journal.DeviceID, old Reign, next HubKeys) {
	p.OldLogKey, p.OldCosignKey = old.Log, old.Cosign
	p.LogKey, p.CosignKey = next.Log.Verifier(), next.Cosign.Verifier()
	p.LogSigned, p.CosignSigned = signChange(p, shop, hub, next.Log), signChange(p, shop, hub, next.Cosign)
}

func signChange(p *journal.KeyChange, shop journal.ShopID, hub journal.DeviceID, k Key) string {
	return base64.StdEncoding.EncodeToString(k.Sign(keysPurpose, p.Statement(shop, hub)))
}

// ErrKeyChange is wrapped when a change of the hub's keys does not follow from
// the keys before it.
var ErrKeyChange = errors.New("this change of the hub’s keys is not signed by the keys before it and by the new ones")

// Reign is how long one pair of the hub's keys signs: the states of the hub's
// log that are larger than Since, up to the next reign.
type Reign struct {
	Since       int64
	Log, Cosign string             // in verifier form
	Change      *journal.KeyChange // nil of the founding keys
	Entry       *journal.Entry     // that says so
}

// Fingerprint is what receipts know these keys by.
func (r *Reign) Fingerprint() journal.Digest { return journal.HubFingerprint(r.Log, r.Cosign) }

// Succession is the hub's keys, one after the other, as the hub's log tells
// them: each change is signed by the keys before it. It goes by places in the
// hub's log and by no clock.
type Succession struct {
	Shop   journal.ShopID
	Hub    journal.DeviceID
	Reigns []Reign // the founding keys first
	// Agreed says of new keys that the old ones did not sign, by their
	// fingerprint, whether they are taken for the hub's all the same. Without it
	// none are.
	Agreed func(journal.Digest) bool
}

// Told is for Agreed of whoever reads what was judged when it came in, or only
// tells of it.
func Told(journal.Digest) bool { return true }

// Founded begins a succession with the keys that founded the shop.
func Founded(shop journal.ShopID, hub journal.DeviceID, log, cosign string) Succession {
	return Succession{Shop: shop, Hub: hub, Reigns: []Reign{{Log: log, Cosign: cosign}}}
}

// Add takes in the change that lies at an index of the hub's log, behind all
// that were taken in before. One that does not follow from the keys before it
// changes nothing: [ErrKeyChange].
func (s *Succession) Add(e *journal.Entry, index int64) error {
	payload, err := e.Payload()
	if err != nil {
		return fmt.Errorf("%w: %w", ErrKeyChange, err)
	}
	p, ok := payload.(*journal.KeyChange)
	if !ok || e.Source != (journal.Source{Shop: s.Shop, Device: s.Hub}) {
		return fmt.Errorf("%w: it is not an entry of the hub that changes its keys", ErrKeyChange)
	}
	return s.Follow(p, e, index)
}

// Follow is [Succession.Add] for whoever has read the entry's data already: p
// is what e says, an entry of the hub's log.
func (s *Succession) Follow(p *journal.KeyChange, e *journal.Entry, index int64) error {
	last := s.last()
	switch {
	case last == nil || index <= last.Since:
		return fmt.Errorf("%w: it does not come after the last one", ErrKeyChange)
	case p.OldLogKey != last.Log || p.OldCosignKey != last.Cosign:
		return fmt.Errorf("%w: it names other old keys", ErrKeyChange)
	}
	if err := s.checkSigned(p); err != nil {
		return err
	}
	// No key comes back: whoever has an old one could sign two histories.
	for _, r := range s.Reigns {
		if r.Log == p.LogKey || r.Cosign == p.CosignKey {
			return fmt.Errorf("%w: a new key was replaced before", ErrKeyChange)
		}
	}
	s.Reigns = append(s.Reigns, Reign{Since: index, Log: p.LogKey, Cosign: p.CosignKey, Change: p, Entry: e})
	return nil
}

func (s *Succession) checkSigned(p *journal.KeyChange) error {
	log, err := Verifier(p.LogKey)
	if err != nil || log.Name() != Origin(s.Shop, s.Hub) {
		return fmt.Errorf("%w: the new key is not one of the hub’s log", ErrKeyChange)
	}
	cosign, err := CosignVerifier(p.CosignKey)
	if err != nil || cosign.Name() != CosignerName(s.Shop) {
		return fmt.Errorf("%w: the new key is not one to countersign with", ErrKeyChange)
	}
	text := p.Statement(s.Shop, s.Hub)
	signed := []struct{ key, signed string }{{p.LogKey, p.LogSigned}, {p.CosignKey, p.CosignSigned}}
	switch {
	case !p.Unsigned():
		signed = append(signed, struct{ key, signed string }{p.OldLogKey, p.OldSigned})
	case s.Agreed == nil || !s.Agreed(p.New()):
		return fmt.Errorf("%w: the old keys did not sign it, and nobody here agreed to it", ErrKeyChange)
	}
	for _, by := range signed {
		raw, err := base64.StdEncoding.DecodeString(by.signed)
		if err != nil || !VerifySign(by.key, keysPurpose, text, raw) {
			return fmt.Errorf("%w: the signature of the key %.60q is wrong", ErrKeyChange, by.key)
		}
	}
	return nil
}

func (s *Succession) last() *Reign {
	if len(s.Reigns) == 0 {
		return nil
	}
	return &s.Reigns[len(s.Reigns)-1]
}

// Now are the keys with which the hub signs after all changes that are known.
func (s *Succession) Now() Reign {
	if r := s.last(); r != nil {
		return *r
	}
	return Reign{}
}

// Had reports whether keys are among the hub's, by their fingerprint.
func (s *Succession) Had(keys journal.Digest) bool {
	return slices.ContainsFunc(s.Reigns, func(r Reign) bool { return r.Fingerprint() == keys })
}

// At returns the keys with which the hub signs the state of its log of a size.
func (s *Succession) At(size int64) Reign {
	for _, r := range slices.Backward(s.Reigns) {
		if r.Since < size || r.Change == nil {
			return r
		}
	}
	return Reign{}
}

// LogKeys lists the keys of the hub's log, the founding one first.
func (s *Succession) LogKeys() []string {
	var list []string
	for _, r := range s.Reigns {
		list = append(list, r.Log)
	}
	return list
}

// Clone returns a copy that can grow by itself.
func (s *Succession) Clone() Succession {
	c := *s
	c.Reigns = slices.Clone(s.Reigns)
	return c
}

// reach is how far the word of the keys that a change replaced is good over a
// log.
func (s *Succession) reach(next *Reign, device journal.DeviceID) int64 {
	if device == s.Hub {
		return next.Since
	}
	return next.Seen(device).Size
}

// Seen returns what of another log the change of keys with which the reign
// began had seen; up to there the old countersignatures are good. Its size is
// 0 if nothing is.
func (r *Reign) Seen(device journal.DeviceID) journal.Prefix {
	if r.Change == nil {
		return journal.Prefix{Device: device}
	}
	if p := r.Entry.After.Of(device); p.Size > 0 {
		return p
	}
	return r.Change.Held.Of(device)
}

// Replaced is returned for a countersignature by a key that had been replaced:
// it lies behind what the change of keys had seen.
type Replaced struct {
	Device journal.DeviceID
	Size   int64 // of the state that was countersigned
	Reach  int64 // so far the old key's word is good
	By     Reign // the keys that came after it
}

func (e *Replaced) Error() string {
	return fmt.Sprintf("the state of %d of the log of %s is countersigned with a key that the hub had replaced by then; its word holds up to %d", e.Size, e.Device, e.Reach)
}

// Open verifies a countersigned state of a log: of the hub's own by the keys
// at its size, of any other by the device's key. It says by which keys it was
// countersigned. Errors: [ErrCheckpoint], [ErrNotCountersigned], *[Replaced].
func (s *Succession) Open(signed []byte, device journal.DeviceID, key string) (Checkpoint, time.Time, Reign, error) {
	c, err := s.state(signed, device, key)
	if err != nil {
		return Checkpoint{}, time.Time{}, Reign{}, err
	}
	err = ErrNotCountersigned
	for i, r := range slices.Backward(s.Reigns) {
		cosigner, bad := CosignVerifier(r.Cosign)
		if bad != nil {
			return Checkpoint{}, time.Time{}, Reign{}, bad
		}
		at, no := countersigned(signed, cosigner)
		if no != nil {
			err = no
			continue
		}
		if i+1 < len(s.Reigns) {
			next := &s.Reigns[i+1]
			if most := s.reach(next, device); c.Size > most {
				return c, at, r, &Replaced{Device: device, Size: c.Size, Reach: most, By: *next}
			}
		}
		return c, at, r, nil
	}
	return Checkpoint{}, time.Time{}, Reign{}, err
}

// state opens a state of a log by the key that signs it at its size.
func (s *Succession) state(signed []byte, device journal.DeviceID, key string) (c Checkpoint, err error) {
	keys := []string{key}
	if device == s.Hub {
		keys = s.LogKeys()
	}
	err = ErrCheckpoint
	for _, key := range slices.Backward(keys) {
		v, bad := Verifier(key)
		if bad != nil {
			return c, bad
		}
		if c, err = Open(signed, v); err == nil {
			if device == s.Hub && s.At(c.Size).Log != key {
				return Checkpoint{}, fmt.Errorf("%w: the hub’s log of %d is not signed with its key of that time", ErrCheckpoint, c.Size)
			}
			return c, nil
		}
	}
	return Checkpoint{}, err
}

// OpenState verifies a state of the hub's log by the key of its size.
func (s *Succession) OpenState(signed []byte) (Checkpoint, error) { return s.state(signed, s.Hub, "") }

// OpenAny verifies a state of the hub's log by any of its keys: of a history
// that is not the one of the log here.
func (s *Succession) OpenAny(signed []byte) (c Checkpoint, err error) {
	err = ErrCheckpoint
	for _, key := range slices.Backward(s.LogKeys()) {
		v, bad := Verifier(key)
		if bad != nil {
			return c, bad
		}
		if c, err = Open(signed, v); err == nil {
			return c, nil
		}
	}
	return Checkpoint{}, err
}
