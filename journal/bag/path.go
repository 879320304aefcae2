package bag

import (
	"crypto/sha256"
	"encoding/hex"
	"strings"
)

// The files of a bag that are not its payload.
const (
	declaration = "bagit.txt"
	infoFile    = "bag-info.txt"
	manifest    = "manifest-sha256.txt"
	tagManifest = "tagmanifest-sha256.txt"
	payload     = "data/"
	tagFiles    = 4
)

// Hash is the SHA-256 of a file.
type Hash [sha256.Size]byte

// Hex returns the 64 digits, as manifests have them.
func (h Hash) Hex() string { return hex.EncodeToString(h[:]) }

// plain reports whether a path, with slashes and below the bag's folder, means
// the same on every machine: letters, digits, dot, dash and underscore, no
// part of it empty or beginning with a dot.
func plain(path string) bool {
	if len(path) > MaxPath {
		return false
	}
	for part := range strings.SplitSeq(path, "/") {
		if part == "" || part[0] == '.' || part[len(part)-1] == '.' || strings.ContainsFunc(part, odd) {
			return false
		}
	}
	return true
}

func odd(r rune) bool {
	letter := r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9'
	return !letter && !strings.ContainsRune("._-", r)
}
