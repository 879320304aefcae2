// Package npmtest fetches what others have published on npm and our results
// are held against. It is fetched when a test needs it, kept in the cache of
// the person who runs the tests, and is not part of the project. It is imported
// by tests only.
package npmtest

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"crypto/sha512"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
)

// Package is a package in one version.
type Package struct {
	Name, Version string
	Integrity     string // the hash that npm published
}

// ErrAway is wrapped when a package cannot be fetched, as on a machine without
// npm or without a network.
var ErrAway = errors.New("the package cannot be fetched from npm")

// File returns a file of the package, such as "package/axe.min.js".
func (p Package) File(name string) ([]byte, error) {
	raw, err := p.fetch()
	if err != nil {
		return nil, err
	}
	zipped, err := gzip.NewReader(bytes.NewReader(raw))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", p.Name, err)
	}
	for files := tar.NewReader(zipped); ; {
		h, err := files.Next()
		if errors.Is(err, io.EOF) {
			return nil, fmt.Errorf("there is no %s in %s", name, p.Name)
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", p.Name, err)
		}
		if h.Name == name {
			return io.ReadAll(files)
		}
	}
}

// fetch returns the packed package, from the cache if it is there.
func (p Package) fetch() ([]byte, error) {
	cache, err := os.UserCacheDir()
	if err != nil {
		cache = os.TempDir()
	}
	dir := filepath.Join(cache, "fettlebook-test")
	file := filepath.Join(dir, p.Name+"-"+p.Version+".tgz")
	raw, err := os.ReadFile(file)
	if err != nil || !p.whole(raw) {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			return nil, err
		}
		pack := exec.Command("npm", "pack", "--silent", p.Name+"@"+p.Version)
		pack.Dir = dir
		if out, err := pack.CombinedOutput(); err != nil {
			return nil, fmt.Errorf("%w: npm pack %s@%s: %w %s", ErrAway, p.Name, p.Version, err, out)
		}
		if raw, err = os.ReadFile(file); err != nil {
			return nil, err
		}
	}
	if !p.whole(raw) {
		return nil, fmt.Errorf("%s is not what it was when this test was written", file)
	}
	return raw, nil
}

// whole holds the package against the hash that npm published.
func (p Package) whole(raw []byte) bool {
	sum := sha512.Sum512(raw)
	return "sha512-"+base64.StdEncoding.EncodeToString(sum[:]) == p.Integrity
}
