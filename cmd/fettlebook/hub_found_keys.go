package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"path/filepath"
	"slices"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
	"fettlebook/journal/words"
	"fettlebook/sync/broker"
	"fettlebook/sync/segment"
)

type hubFoundKeys struct {
	Folders []string `arg:"" type:"path" help:"Data folders in which the shop’s logs lie, such as copies of all tablets’ folders; the one that holds most of the hub’s log decides." placeholder:"FOLDER"`
	Because string   `required:"" help:"Why: lost or stolen." placeholder:"REASON"`
	By      string   `required:"" env:"FETTLEBOOK_BY" help:"Who does it, a short name such as io: an owner of the shop." placeholder:"PERSON"`
	hubAt
}

// Help says when it is for.
func (*hubFoundKeys) Help() string {
	return `For a hub whose keys are gone, with every backup of them: where one is left, restore that and use hub change-keys instead. In a new data folder it makes a hub of the logs that other machines of the shop hold, with new keys that nobody signed before. So each tablet’s person is asked to agree: what hub appeal prints is brought to each tablet, where tablet agree takes it. The new hub takes nothing of a tablet until somebody agreed there; the desk shows who did not. Originals of photographs that only the old hub had are not in it.`
}

// Run founds the keys.
func (c *hubFoundKeys) Run(ctx context.Context, t *terminal) error {
	by, err := person(c.By)
	if err != nil {
		return err
	}
	if err := known("--because", c.Because, []string{string(journal.KeysLost), string(journal.KeysStolen)}); err != nil {
		return err
	}
	from, err := c.sources(t)
	if err != nil {
		return err
	}
	at := *t
	at.Data = c.Folders[0]
	if err := onShelf(ctx, &at, func(s *shelf) error { return owner(s.view.Shop, by) }); err != nil {
		return err
	}
	if _, err := folder.ReadIdentity(t.Data); !errors.Is(err, folder.ErrNoFolder) {
		return &exit.Error{Status: exit.Refused, Sentence: fmt.Sprintf("the folder %s holds a journal already; name another with --data", t.Data), Err: err}
	}
	lock, err := folder.Lock(t.Data)
	if err != nil {
		return err
	}
	err = folder.Begin(t.Data)
	if err == nil {
		err = c.found(ctx, t, from, by)
	}
	return errors.Join(err, lock.Unlock())
}

// sources reads whose folders they are: all of one shop, and none with the keys that are said
// to be gone.
func (c *hubFoundKeys) sources(t *terminal) (list []folder.Identity, err error) {
	for _, dir := range c.Folders {
		id, err := folder.ReadIdentity(dir)
		if err != nil {
			return nil, err
		}
		if len(list) > 0 && (list[0].Shop != id.Shop || list[0].Hub != id.Hub) {
			return nil, anotherShops(dir)
		}
		if _, err := folder.ReadProofKey(dir, folder.CosignKey); id.Role == folder.Hub && err == nil {
			return nil, &exit.Error{Status: exit.Refused, Sentence: fmt.Sprintf("the hub’s keys are in %s; use `fettlebook hub change-keys` there, and no tablet has to be asked", dir)}
		}
		list = append(list, id)
	}
	return list, nil
}

// found makes the hub's folder. Whose it is is written last.
func (c *hubFoundKeys) found(ctx context.Context, t *terminal, from []folder.Identity, by journal.PersonID) error {
	first := from[0]
	id, err := c.over(folder.Identity{Role: folder.Hub, Shop: first.Shop, ShopName: first.ShopName, Device: first.Hub, Name: "hub", Hub: first.Hub,
		HubKey: first.HubKey, CosignKey: first.CosignKey, Host: "0.0.0.0", DeskPort: 7460, BrokerPort: 7461, Named: []string{}})
	if err != nil {
		return err
	}
	for _, other := range from { // what was agreed to before was asked of all
		for _, a := range other.Agreed {
			if !slices.Contains(id.Agreed, a) {
				id.Agreed = append(id.Agreed, a)
			}
		}
	}
	next, err := drawFirst(t, &id)
	if err != nil {
		return err
	}
	f, err := folder.Found(ctx, t.Data, id, t.folder())
	if err != nil {
		return err
	}
	var p *journal.KeyChange
	for _, dir := range c.Folders {
		if err = errors.Join(err, f.Gather(ctx, folder.DatabasePath(dir))); err != nil {
			break
		}
	}
	if err == nil {
		p, err = f.FoundKeys(ctx, journal.KeyReason(c.Because), by, next)
	}
	if err := errors.Join(err, f.Close()); err != nil {
		return err
	}
	if err := folder.WriteIdentity(t.Data, id); err != nil {
		return err
	}
	fmt.Fprintf(t.Out, "The hub of %s goes on in %s with new keys.\nFingerprint of the old ones: %s\nFingerprint of the new ones: %s\nEach tablet’s person is asked now: bring them what this prints:  fettlebook hub appeal --data %[2]s\nStart the hub with:  fettlebook hub run --data %[2]s\n",
		words.Quoted(id.ShopName), t.Data, journal.HubFingerprint(p.OldLogKey, p.OldCosignKey).Begins(), p.New().Begins())
	return nil
}

// drawFirst draws the keys and puts them into the folder.
func drawFirst(t *terminal, id *folder.Identity) (folder.NextKeys, error) {
	var n folder.NextKeys
	var err error
	if n.Log, err = folder.DrawLogKey(t.Data, *id, t.Rand); err != nil {
		return n, err
	}
	if n.Cosign, err = proof.NewKey(t.Rand, proof.CosignerName(id.Shop)); err != nil {
		return n, err
	}
	if n.CertPEM, n.CertKeyPEM, err = broker.NewCertificate(t.Now(), t.Rand, id.Addresses); err != nil {
		return n, err
	}
	cert, err := tls.X509KeyPair(n.CertPEM, n.CertKeyPEM)
	if err != nil {
		return n, fmt.Errorf("read the new certificate: %w", err)
	}
	n.Fingerprint = broker.Fingerprint(cert.Leaf)
	id.Fingerprint = n.Fingerprint
	id.Agreed = append(id.Agreed, segment.AgreedKeys{Keys: journal.HubFingerprint(n.Log.Verifier(), n.Cosign.Verifier()), Certificate: n.Fingerprint})
	return n, errors.Join(folder.WriteKey(t.Data, folder.CosignKey, []byte(n.Cosign.Secret())), folder.WriteKey(t.Data, folder.CertFile, n.CertPEM),
		folder.WriteKey(t.Data, folder.CertKey, n.CertKeyPEM), folder.DrawLineKey(t.Data))
}

type hubAppeal struct {
	Out string `short:"o" help:"The file to write; left out, it is printed." type:"path" placeholder:"FILE"`
}

// Help says what it is for.
func (*hubAppeal) Help() string {
	return "Nothing in it is secret. At the tablet it is read by tablet agree, which shows the fingerprints of the old and the new keys: compare the new ones with what this command says."
}

// Run prints what each tablet's person is asked to agree to.
func (c *hubAppeal) Run(ctx context.Context, t *terminal) error {
	id, err := identityOf(t.Data, folder.Hub)
	if err != nil {
		return err
	}
	log, err := sqlitelog.OpenToRead(ctx, folder.DatabasePath(t.Data))
	if err != nil {
		return folder.Lost(t.Data, id, err)
	}
	keys, err := log.SuccessionOf(ctx, id.Founded())
	var last *proof.Reign
	for i, r := range keys.Reigns {
		if r.Change != nil && r.Change.Unsigned() {
			last = &keys.Reigns[i]
		}
	}
	if err == nil && last == nil {
		err = &exit.Error{Status: exit.NotFound, Sentence: "this hub’s keys follow each other by their own signatures, so no tablet has to agree"}
	}
	var entries []journal.Logged
	if err == nil {
		entries, err = log.Pick(ctx, []journal.Position{{Device: id.Hub, Index: last.Since}})
	}
	if err := errors.Join(err, log.Close()); err != nil {
		return err
	}
	text := segment.Appeal{Brokers: brokersOf(id), Entry: entries[0].Bytes}.String()
	if c.Out != "" {
		if err := writeWhole(c.Out, []byte(text+"\n"), 0o644); err != nil {
			return err
		}
		text = filepath.Clean(c.Out)
	}
	fmt.Fprintf(t.Out, "%s\n", text)
	fmt.Fprintf(t.Err, "Fingerprint of the new keys: %s\n", last.Fingerprint().Begins())
	return nil
}
