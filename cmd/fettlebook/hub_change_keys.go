package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
	"fettlebook/sync/broker"
)

type hubChangeKeys struct {
	Because string `required:"" help:"Why: renewed, lost or stolen." placeholder:"REASON"`
	By      string `required:"" env:"FETTLEBOOK_BY" help:"Who changes them, a short name such as io: an owner of the shop." placeholder:"PERSON"`
}

// Help says what becomes of whom.
func (*hubChangeKeys) Help() string {
	return `Stop the hub first. It draws a new key for the hub’s log, one for countersignatures and one for its connections; the old keys sign the change, and an entry of the hub’s log says it. Tablets follow it when they next meet the hub, also those that were away, since they can check it by the old keys. From then on nothing counts that is signed with the old keys, but for what the hub held before. Make a backup at once afterwards: older ones hold the old keys. Telephones at a bench and browsers in the network are warned about the new certificate once.`
}

// Run changes the keys of a hub that is not running.
func (c *hubChangeKeys) Run(ctx context.Context, t *terminal) (err error) {
	by, err := person(c.By)
	if err != nil {
		return err
	}
	reason := journal.KeyReason(c.Because)
	if err := known("--because", c.Because, reason.Words()); err != nil {
		return err
	}
	if _, err := identityOf(t.Data, folder.Hub); err != nil {
		return err
	}
	f, err := folder.Open(ctx, t.Data, t.folder())
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	if err := mayChangeKeys(ctx, f, by); err != nil {
		return err
	}
	next, err := drawNext(t, f)
	if err != nil {
		return err
	}
	p, err := f.ChangeKeys(ctx, reason, by, next)
	if err != nil {
		return err
	}
	fmt.Fprintf(t.Out, "The hub’s keys were changed.\nFingerprint of the old ones: %s\nFingerprint of the new ones: %s\nStart the hub again; tablets follow when they meet it. Make a backup now with `fettlebook backup`: older backups hold the old keys.\n",
		journal.HubFingerprint(p.OldLogKey, p.OldCosignKey).Begins(), journal.HubFingerprint(p.LogKey, p.CosignKey).Begins())
	return nil
}

// mayChangeKeys refuses whoever is not an owner of the shop, and a folder whose keys are not
// the hub's any more.
func mayChangeKeys(ctx context.Context, f *folder.Folder, by journal.PersonID) error {
	if err := whole(ctx, f); err != nil {
		return err
	}
	if err := currentKeys(ctx, f); err != nil {
		return err
	}
	return owner(f.Folded.View(ctx).Shop, by)
}

// owner refuses whoever is not an owner.
func owner(s *record.Shop, by journal.PersonID) error {
	var list []string
	for _, p := range s.Owners() {
		if p.ID == by {
			return nil
		}
		list = append(list, string(p.ID))
	}
	return &exit.Error{Status: exit.Refused, Sentence: fmt.Sprintf("%s is not an owner of the shop; let %s do it", by, words.Or(list...))}
}

// currentKeys refuses a hub's folder whose keys were replaced.
func currentKeys(ctx context.Context, f *folder.Folder) error {
	keys, err := f.Log.Succession(ctx)
	if err != nil {
		return err
	}
	log, err := folder.ReadProofKey(f.Dir, folder.LogKey)
	if err != nil {
		return err
	}
	cosign, err := folder.ReadProofKey(f.Dir, folder.CosignKey)
	if err != nil {
		return err
	}
	if now := keys.Now(); len(keys.Reigns) > 1 && (now.Log != log.Verifier() || now.Cosign != cosign.Verifier()) {
		return replacedKeys(now)
	}
	return nil
}

func replacedKeys(now proof.Reign) error {
	return &exit.Error{Status: exit.Refused, Sentence: fmt.Sprintf("the keys in this folder were replaced: the hub’s log goes on with those whose fingerprint begins with %s; restore keys/ and shop.json from a backup that was made since", now.Fingerprint().Begins())}
}

// drawNext draws the keys with which the hub is to go on.
func drawNext(t *terminal, f *folder.Folder) (folder.NextKeys, error) {
	var n folder.NextKeys
	var err error
	if n.Log, err = proof.NewKey(t.Rand, proof.Origin(f.Shop, f.Device)); err != nil {
		return n, err
	}
	if n.Cosign, err = proof.NewKey(t.Rand, proof.CosignerName(f.Shop)); err != nil {
		return n, err
	}
	old, err := readCertificate(f.Dir)
	if err != nil {
		return n, err
	}
	if n.CertPEM, n.CertKeyPEM, err = broker.RenewCertificate(t.Now(), t.Rand, f.Addresses, old.pair); err != nil {
		return n, err
	}
	cert, err := tls.X509KeyPair(n.CertPEM, n.CertKeyPEM)
	if err != nil {
		return n, fmt.Errorf("read the new certificate: %w", err)
	}
	n.Fingerprint = broker.Fingerprint(cert.Leaf)
	return n, nil
}
