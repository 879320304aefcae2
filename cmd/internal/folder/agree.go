package folder

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/sync/segment"
)

// ErrOtherShop is wrapped when an appeal is not for the shop of a folder.
var ErrOtherShop = errors.New("these keys are of another shop’s hub")

// ErrOtherOldKeys is wrapped when an appeal follows from other keys than those by
// which this tablet goes.
var ErrOtherOldKeys = errors.New("these keys are to follow others than those by which this tablet knows its hub; nothing was changed, ask the owner of the shop which hub is the shop’s")

// ErrAgreed is returned when a tablet agreed to the same keys before.
var ErrAgreed = errors.New("this tablet agreed to these keys already")

// Weigh reads what an appeal asks of this tablet: which keys would follow
// which. Nothing is written.
func (f *Folder) Weigh(ctx context.Context, a segment.Appeal) (*journal.KeyChange, error) {
	e, err := journal.Decode(a.Entry)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", segment.ErrAppeal, err)
	}
	payload, err := e.Payload()
	p, ok := payload.(*journal.KeyChange)
	switch {
	case err != nil || !ok:
		return nil, segment.ErrAppeal
	case e.Source != (journal.Source{Shop: f.Shop, Device: f.Hub}):
		return nil, ErrOtherShop
	}
	keys, err := f.Log.Succession(ctx)
	if err != nil {
		return nil, err
	}
	if slices.Contains(f.agreed(), p.New()) || keys.Had(p.New()) {
		return p, ErrAgreed
	}
	if now := keys.Now(); now.Log != p.OldLogKey || now.Cosign != p.OldCosignKey {
		return p, ErrOtherOldKeys
	}
	keys.Agreed = proof.Told
	if err := keys.Follow(p, e, journal.MaxLog); err != nil {
		return p, err
	}
	return p, nil
}

// Agree writes that the person at this tablet agrees to the keys of an appeal,
// and goes by them from then on. Done again after it was cut off, it does the
// rest.
func (f *Folder) Agree(ctx context.Context, a segment.Appeal, by journal.PersonID) (*journal.KeyChange, error) {
	p, err := f.Weigh(ctx, a)
	if err != nil {
		return p, err
	}
	if err := f.writeAgreement(ctx, p, by); err != nil {
		return p, err
	}
	f.owing.Lock()
	defer f.owing.Unlock()
	id := f.Identity
	id.Agreed = append(slices.Clone(id.Agreed), segment.AgreedKeys{Keys: p.New(), Certificate: p.Certificate})
	id.Brokers = nil
	for _, b := range slices.Concat(a.Brokers, f.Brokers) {
		if !slices.Contains(id.Brokers, b) && len(id.Brokers) < segment.MostBrokers {
			id.Brokers = append(id.Brokers, b)
		}
	}
	if err := WriteIdentity(f.Dir, id); err != nil {
		return p, err
	}
	f.Identity = id
	f.Log.Agree(p.New())
	return p, nil
}

// writeAgreement writes it once, whatever became of the last try.
func (f *Folder) writeAgreement(ctx context.Context, p *journal.KeyChange, by journal.PersonID) error {
	for logged, err := range f.Log.Entries(ctx, f.Device, 0) {
		if err != nil {
			return err
		}
		if e, err := journal.Decode(logged.Bytes); err == nil && e.Type.Kind == journal.KeysAgreed {
			if was, err := e.Payload(); err == nil && was.(*journal.KeyAgreement).New == p.New() {
				return nil
			}
		}
	}
	head, err := f.Log.Head(ctx, f.Hub)
	if err != nil {
		return err
	}
	root, err := f.Log.RootAt(ctx, f.Hub, head.Size)
	if err != nil {
		return err
	}
	_, err = f.Append(ctx, journal.Draft{Subject: journal.Of("device", string(f.Device)), By: by, Data: &journal.KeyAgreement{
		Device: f.Device, Old: journal.HubFingerprint(p.OldLogKey, p.OldCosignKey), New: p.New(), Size: head.Size, Root: root}})
	return err
}

// SaysAgreed is what a tablet tells its hub of the keys that its person agreed to
// last: its log key's signature over them; nil where nobody was asked.
func (f *Folder) SaysAgreed() []byte {
	f.owing.Lock()
	agreed := f.Identity.Agreed
	f.owing.Unlock()
	key, err := ReadProofKey(f.Dir, LogKey)
	if err != nil || len(agreed) == 0 {
		return nil
	}
	last := agreed[len(agreed)-1].Keys
	return key.Sign(segment.AgreePurpose, last[:])
}
