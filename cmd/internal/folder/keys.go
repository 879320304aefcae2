package folder

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"fettlebook/journal/proof"
	"fettlebook/media/durable"

	"github.com/nats-io/nkeys"
)

// The files of keys/, each one secret. Three keys and never one: the log key
// signs checkpoints, the line key only ever signs what the broker asks, and
// the hub's third key countersigns.
const (
	LogKey    = "log.key"
	LineKey   = "line.key"
	CosignKey = "cosign.key"
	CertFile  = "hub.crt"
	CertKey   = "hub.key"
)

// WriteKey keeps a secret, readable by its owner only.
func WriteKey(dir, name string, secret []byte) error {
	keys := filepath.Join(dir, "keys")
	if err := durable.MkdirAll(keys, 0o700); err != nil {
		return fmt.Errorf("make key folder: %w", err)
	}
	if err := durable.WriteFile(filepath.Join(keys, name), secret, 0o600); err != nil {
		return fmt.Errorf("write key: %w", err)
	}
	return nil
}

// DrawLogKey draws and keeps the key that signs a device's log.
func DrawLogKey(dir string, id Identity, rand io.Reader) (proof.Key, error) {
	key, err := proof.NewKey(rand, proof.Origin(id.Shop, id.Device))
	if err != nil {
		return proof.Key{}, err
	}
	return key, WriteKey(dir, LogKey, []byte(key.Secret()))
}

// DrawLineKey draws and keeps the key of the connection to the broker.
func DrawLineKey(dir string) error {
	line, err := nkeys.CreateUser()
	if err != nil {
		return fmt.Errorf("draw a key: %w", err)
	}
	seed, err := line.Seed()
	if err != nil {
		return fmt.Errorf("draw a key: %w", err)
	}
	return WriteKey(dir, LineKey, seed)
}

// ReadKey reads a secret.
func ReadKey(dir, name string) ([]byte, error) {
	raw, err := os.ReadFile(filepath.Join(dir, "keys", name))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("the key file %s is missing; restore it from your backup, or join the shop again (%w)", filepath.Join(dir, "keys", name), fs.ErrNotExist)
	}
	if err != nil {
		return nil, fmt.Errorf("read key: %w", err)
	}
	return raw, nil
}

// ReadProofKey reads a key of package proof.
func ReadProofKey(dir, name string) (proof.Key, error) {
	raw, err := ReadKey(dir, name)
	if err != nil {
		return proof.Key{}, err
	}
	return proof.ParseKey(string(raw))
}

// ReadLineKey reads the key of the connection to the broker.
func ReadLineKey(dir string) (nkeys.KeyPair, error) {
	raw, err := ReadKey(dir, LineKey)
	if err != nil {
		return nil, err
	}
	key, err := nkeys.FromSeed([]byte(strings.TrimSpace(string(raw))))
	if err != nil {
		return nil, fmt.Errorf("the key file %s is damaged; restore it from your backup, or join the shop again", LineKey)
	}
	return key, nil
}

// PutKeysAway keeps the keys of a log that is closed in a folder of their own, so that what they signed can still be checked against them.
func PutKeysAway(dir, device string) error {
	for _, name := range []string{LogKey, LineKey} {
		raw, err := ReadKey(dir, name)
		if err != nil {
			return err
		}
		if err := WriteKey(filepath.Join(dir, "keys", "earlier-"+device), name, raw); err != nil {
			return err
		}
	}
	return nil
}
