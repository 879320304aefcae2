package bag

import (
	"encoding/hex"
	"errors"
	"io/fs"
	"strings"
)

// read reads the files that make a folder a bag.
func (b *Bag) read() error {
	said, err := b.tag(declaration, MaxTag)
	if err != nil {
		return err
	}
	version, ok := strings.CutPrefix(said, "BagIt-Version: ")
	if !ok || !strings.HasPrefix(version, "1.0\n") && !strings.HasPrefix(version, "1.0\r\n") {
		return refuse(NotABag, declaration, "%s is not that of a dossier.", declaration)
	}
	text, err := b.tag(manifest, MaxManifest)
	if err != nil {
		return err
	}
	if b.manifest, err = lines(manifest, text, func(path string) bool { return strings.HasPrefix(path, payload) }); err != nil {
		return err
	}
	if b.files[tagManifest] == nil {
		return nil // which Check finds
	}
	if text, err = b.tag(tagManifest, MaxTag); err != nil {
		return err
	}
	b.beside, err = lines(tagManifest, text, func(path string) bool { return !strings.HasPrefix(path, payload) && path != tagManifest })
	return err
}

func (b *Bag) tag(name string, most int) (string, error) {
	raw, err := b.whole(name, most)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "", refuse(NotABag, name, "This ZIP file is not a dossier: it holds no %s.", name)
	case errors.Is(err, ErrBroken):
		return "", refuse(TooLarge, name, "The file %s of this ZIP file cannot be unpacked, or has more than %d bytes.", name, most)
	}
	return string(raw), err
}

// lines reads a manifest as sha256sum writes it: 64 digits, two spaces, a
// path.
func lines(name, text string, belongs func(path string) bool) (map[string]Hash, error) {
	list := make(map[string]Hash, min(strings.Count(text, "\n"), MaxFiles))
	number := 0
	for line := range strings.Lines(text) {
		number++
		digits, path, ok := strings.Cut(strings.TrimRight(line, "\r\n"), "  ")
		raw, err := hex.DecodeString(digits)
		if !ok || err != nil || len(raw) != len(Hash{}) || digits != strings.ToLower(digits) || !plain(path) || !belongs(path) {
			return nil, refuse(Malformed, name, "Line %d of %s is not a hash and the path of a file.", number, name)
		}
		if _, twice := list[path]; twice {
			return nil, refuse(Doubled, name, "%s lists %q twice.", name, path)
		}
		if len(list) >= MaxFiles {
			return nil, refuse(TooMany, name, "%s lists more than %d files.", name, MaxFiles)
		}
		list[path] = Hash(raw)
	}
	return list, nil
}
