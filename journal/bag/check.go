package bag

import (
	"context"
	"crypto/sha256"
	"errors"
	"io"
	"maps"
	"slices"
	"strings"

	"fettlebook/media/until"
)

// Wrong says what is wrong with a file, as a stable written word.
type Wrong string

// What may be wrong.
const (
	Altered  Wrong = "altered"  // its bytes are not those that the manifest lists
	Broken   Wrong = "broken"   // it cannot be unpacked
	Missing  Wrong = "missing"  // the manifest lists it, and it is not here
	Unlisted Wrong = "unlisted" // it is here, and no manifest lists it
	Stray    Wrong = "stray"    // it lies beside the payload, and is none of a bag's own files
)

// Fault is a file that is not as the manifests say.
type Fault struct {
	Path  string // below the bag's folder
	Wrong Wrong
}

// Checked is what [Bag.Check] found.
type Checked struct {
	Faults []Fault         // sorted by path
	Hashes map[string]Hash // of the payload, by path below data/, of what could be read
}

// Check reads everything once and holds it against the manifests. The bytes
// that were read are told to progress, which may be nil; all of them are
// [Bag.Size].
func (b *Bag) Check(ctx context.Context, progress func(bytes int64)) (Checked, error) {
	c := Checked{Hashes: make(map[string]Hash, len(b.files))}
	done := int64(0)
	for _, path := range slices.Sorted(maps.Keys(b.files)) {
		hash, n, err := b.hash(ctx, path)
		if err != nil && !errors.Is(err, ErrBroken) {
			return Checked{}, err
		}
		below, inside := strings.CutPrefix(path, payload)
		want, listed := b.manifest[path]
		if !inside {
			want, listed = b.beside[path]
			listed = listed || path == tagManifest
		}
		switch {
		case err != nil:
			c.Faults = append(c.Faults, Fault{path, Broken})
		case !listed:
			c.Faults = append(c.Faults, Fault{path, Unlisted})
		case !inside && !slices.Contains([]string{declaration, infoFile, manifest, tagManifest}, path):
			c.Faults = append(c.Faults, Fault{path, Stray})
		case hash != want && path != tagManifest:
			c.Faults = append(c.Faults, Fault{path, Altered})
		}
		if inside && err == nil {
			c.Hashes[below] = hash
		}
		if done += n; progress != nil {
			progress(done)
		}
	}
	for _, list := range []map[string]Hash{b.manifest, b.beside} {
		for path := range list {
			if b.files[path] == nil {
				c.Faults = append(c.Faults, Fault{path, Missing})
			}
		}
	}
	for _, path := range []string{infoFile, tagManifest} {
		if _, listed := b.beside[path]; b.files[path] == nil && !listed {
			c.Faults = append(c.Faults, Fault{path, Missing})
		}
	}
	slices.SortFunc(c.Faults, func(a, b Fault) int { return strings.Compare(a.Path, b.Path) })
	return c, nil
}

func (b *Bag) hash(ctx context.Context, path string) (Hash, int64, error) {
	r, err := b.open(path)
	if err != nil {
		return Hash{}, 0, err
	}
	defer r.Close()
	sum := sha256.New()
	n, err := io.Copy(sum, until.Done(ctx, r))
	if err != nil {
		return Hash{}, n, broken(path, err)
	}
	return Hash(sum.Sum(nil)), n, nil
}
