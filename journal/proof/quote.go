package proof

import (
	"errors"
	"fmt"
	"slices"

	"fettlebook/journal"

	"golang.org/x/mod/sumdb/tlog"
)

// ErrNotQuotable is wrapped when an entry cannot be quoted: its bytes are no
// entry, or it may not be taken over by anybody.
var ErrNotQuotable = errors.New("this entry cannot be taken over")

// Quote drafts the taking over of the entry at an index of a device's log. The
// checkpoint is the device's over at least so much of it; whether its
// signature is good is for whoever reads the quote to find out.
func Quote(raw []byte, at journal.Position, checkpoint []byte, size int64, stored tlog.HashReader, branch journal.Branch) (journal.Draft, error) {
	e, err := journal.Decode(raw)
	if err != nil {
		return journal.Draft{}, fmt.Errorf("%w: %w", ErrNotQuotable, err)
	}
	hashes, err := ProveEntry(size, at.Index, stored)
	if err != nil {
		return journal.Draft{}, err
	}
	t := &journal.TakenOver{Entry: string(raw), Device: at.Device, Index: at.Index, Checkpoint: string(checkpoint), Branch: branch}
	for _, h := range hashes {
		t.Proof = append(t.Proof, journal.Digest(h))
	}
	photos, err := e.Photos()
	if err != nil {
		return journal.Draft{}, fmt.Errorf("%w: %w", ErrNotQuotable, err)
	}
	for _, p := range photos {
		t.Photos = append(t.Photos, journal.Photo{Ref: p.Ref, Thumb: p.Thumb})
	}
	if e.Source.Device != at.Device {
		return journal.Draft{}, fmt.Errorf("%w: it names the device %.80q as its writer and lies in the log of %s", ErrNotQuotable, e.Source.Device, at.Device)
	}
	d := journal.Draft{Subject: e.Subject, By: e.By, Data: t}
	quoting := &journal.Entry{Source: e.Source, Subject: d.Subject, By: d.By}
	if v := (journal.Authority{Shop: e.Source.Shop}).VoidsQuote(quoting, e); v != "" {
		return journal.Draft{}, fmt.Errorf("%w: %s", ErrNotQuotable, v)
	}
	if err := d.Valid(); err != nil {
		return journal.Draft{}, fmt.Errorf("%w: %w", ErrNotQuotable, err)
	}
	return d, nil
}

// CheckQuote verifies that a device signed what a taking-over quotes, at the
// place in its log that it says: by one of the keys with which the register
// enrolled the device.
func CheckQuote(t *journal.TakenOver, shop journal.ShopID, keys []string) error {
	err := fmt.Errorf("%w: no key of device %s is known", ErrCheckpoint, t.Device)
	for _, key := range slices.Backward(keys) {
		if err = checkQuote(t, shop, key); err == nil {
			return nil
		}
	}
	return err
}

func checkQuote(t *journal.TakenOver, shop journal.ShopID, key string) error {
	v, err := Verifier(key)
	if err != nil {
		return err
	}
	if v.Name() != Origin(shop, t.Device) {
		return fmt.Errorf("%w: its key is that of %.80q", ErrCheckpoint, v.Name())
	}
	c, err := Open([]byte(t.Checkpoint), v)
	if err != nil {
		return err
	}
	p := make(tlog.RecordProof, len(t.Proof))
	for i, h := range t.Proof {
		p[i] = tlog.Hash(h)
	}
	return CheckEntry(p, c, t.Index, []byte(t.Entry))
}
