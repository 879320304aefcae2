package folder_test

import (
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/proof"

	"github.com/nats-io/nkeys"
)

func drawHubKeys(t *testing.T) folder.NextKeys {
	t.Helper()
	var n folder.NextKeys
	var err, err2 error
	n.Log, err = proof.NewKey(rand.Reader, proof.Origin("k7m2q4xw", "h3fz8c1n"))
	n.Cosign, err2 = proof.NewKey(rand.Reader, proof.CosignerName("k7m2q4xw"))
	if err := errors.Join(err, err2); err != nil {
		t.Fatal(err)
	}
	print := make([]byte, 32)
	if _, err := rand.Read(print); err != nil {
		t.Fatal(err)
	}
	n.Fingerprint = hex.EncodeToString(print)
	n.CertPEM, n.CertKeyPEM = []byte("certificate "+n.Fingerprint), []byte("key of "+n.Fingerprint)
	return n
}

// foundHub makes a hub's data folder.
func foundHub(t *testing.T) (string, folder.NextKeys) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "data")
	k := drawHubKeys(t)
	line, err := nkeys.CreateUser()
	if err != nil {
		t.Fatal(err)
	}
	seed, err := line.Seed()
	if err != nil {
		t.Fatal(err)
	}
	id := folder.Identity{Role: folder.Hub, Shop: "k7m2q4xw", ShopName: "Test", Device: "h3fz8c1n", Name: "hub", Hub: "h3fz8c1n",
		HubKey: k.Log.Verifier(), CosignKey: k.Cosign.Verifier(), Fingerprint: k.Fingerprint}
	for name, text := range map[string][]byte{folder.LogKey: []byte(k.Log.Secret()), folder.CosignKey: []byte(k.Cosign.Secret()), folder.LineKey: seed, folder.CertFile: k.CertPEM, folder.CertKey: k.CertKeyPEM} {
		if err := folder.WriteKey(dir, name, text); err != nil {
			t.Fatal(err)
		}
	}
	if err := folder.WriteIdentity(dir, id); err != nil {
		t.Fatal(err)
	}
	f, err := folder.Found(t.Context(), dir, id, opts)
	if err != nil {
		t.Fatal(err)
	}
	_, err = f.Log.Append(t.Context(), journal.Draft{Subject: "shop/k7m2q4xw", By: "io", Data: &journal.Shop{Shop: "k7m2q4xw", Name: "Test", LogKey: id.HubKey, CosignKey: id.CosignKey}})
	if err := errors.Join(err, f.Close()); err != nil {
		t.Fatal(err)
	}
	return dir, k
}

// keysOf are the keys that lie in a folder, in one text.
func keysOf(t *testing.T, dir string) string {
	t.Helper()
	var b strings.Builder
	for _, name := range []string{folder.LogKey, folder.CosignKey, folder.CertFile, folder.CertKey} {
		raw, err := folder.ReadKey(dir, name)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&b, "%s: %s\n", name, raw)
	}
	id, err := folder.ReadIdentity(dir)
	if err != nil {
		t.Fatal(err)
	}
	return b.String() + id.Fingerprint
}

func (k want) text() string {
	return fmt.Sprintf("%s: %s\n%s: %s\n%s: %s\n%s: %s\n%s", folder.LogKey, k.Log.Secret(), folder.CosignKey, k.Cosign.Secret(),
		folder.CertFile, k.CertPEM, folder.CertKey, k.CertKeyPEM, k.Fingerprint)
}

type want folder.NextKeys

// A change of keys that is cut off before any of its steps leaves the old keys
// or the new ones, whole, and the journal goes on with them.
func TestAChangeOfKeysIsCutOff(t *testing.T) {
	cut := errors.New("cut off")
	for step, done := 0, false; !done; step++ {
		dir, old := foundHub(t)
		next := drawHubKeys(t)
		f, err := folder.Open(t.Context(), dir, opts)
		if err != nil {
			t.Fatal(err)
		}
		n, before := 0, ""
		err = f.ChangeKeysUntil(t.Context(), journal.KeysStolen, "io", next, func(name string) error {
			if n++; n > step {
				before = name
				return cut
			}
			return nil
		})
		if done = err == nil; !done && !errors.Is(err, cut) {
			t.Fatal(err)
		}
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
		f, err = folder.Open(t.Context(), dir, opts)
		if err != nil {
			t.Fatalf("cut off before %q: %v", before, err)
		}
		changed := strings.HasPrefix(before, "carry") || strings.HasPrefix(before, "remove") || before == "name" || done
		keys, size := want(old), int64(1)
		if changed {
			keys, size = want(next), 2
		}
		if got := keysOf(t, dir); got != keys.text() {
			t.Errorf("cut off before %q the keys are\n%s\nwant\n%s", before, got, keys.text())
		}
		if _, err := os.Stat(filepath.Join(dir, "keys", "next")); !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("cut off before %q something is left of the new keys (%v)", before, err)
		}
		head, err := f.Log.Head(t.Context(), f.Device)
		if err != nil || head.Size != size {
			t.Errorf("cut off before %q the log has %d entries (%v)", before, head.Size, err)
		}
		note(t, f, "it goes on")
		if f.Pin(t.Context()) != keys.Fingerprint {
			t.Errorf("cut off before %q tablets would know another certificate", before)
		}
		if wrong, signed := folder.CheckIdentity(dir, keys.Log.Verifier()); wrong != "" || !signed {
			t.Errorf("cut off before %q shop.json: %s", before, wrong)
		}
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

// A folder in which the old keys lie again writes nothing into a log that goes
// on with others.
func TestOldKeysComeBack(t *testing.T) {
	dir, old := foundHub(t)
	f := open(t, dir)
	if _, err := f.ChangeKeys(t.Context(), journal.KeysRenewed, "io", drawHubKeys(t)); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	if err := folder.WriteKey(dir, folder.LogKey, []byte(old.Log.Secret())); err != nil {
		t.Fatal(err)
	}
	f, err := folder.Open(t.Context(), dir, opts)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, err := f.Log.Append(t.Context(), journal.Draft{Subject: "shop/k7m2q4xw", By: "io", Data: &journal.Remark{Evidence: journal.Evidence{Note: "with the old key"}}}); err == nil {
		t.Error("the old key signs the log")
	}
}
