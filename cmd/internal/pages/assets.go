package pages

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"io/fs"
	"net/http"
	"path"
	"strings"
	"time"
)

//go:embed assets
var assetFiles embed.FS

// assets are the style sheet, the scripts and the icon under names that hold the hash
// of their content, so that a browser may keep them for good.
type assets struct {
	paths map[string]string // by the name of the file
	files map[string][]byte
}

const assetRoot = "/assets/"

func newAssets() (*assets, error) {
	a := &assets{paths: make(map[string]string), files: make(map[string][]byte)}
	list, err := fs.Glob(assetFiles, "assets/*")
	if err != nil {
		return nil, fmt.Errorf("list assets: %w", err)
	}
	for _, file := range list {
		raw, err := assetFiles.ReadFile(file)
		if err != nil {
			return nil, fmt.Errorf("read asset: %w", err)
		}
		sum := sha256.Sum256(raw)
		base, ext, _ := strings.Cut(path.Base(file), ".")
		name := assetRoot + base + "." + hex.EncodeToString(sum[:6]) + "." + ext
		a.files[name], a.paths[path.Base(file)] = raw, name
	}
	return a, nil
}

// path is where a file is served. A template that names one which is not there is
// found when its page is shown first.
func (a *assets) path(file string) (string, error) {
	name, ok := a.paths[file]
	if !ok {
		return "", fmt.Errorf("there is no asset %q", file)
	}
	return name, nil
}

// Assets serves the style sheet, the scripts and the icon, below /assets/.
func (s *Shell) Assets(w http.ResponseWriter, r *http.Request) {
	raw, ok := s.assets.files[r.URL.Path]
	if !ok {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	http.ServeContent(w, r, path.Base(r.URL.Path), time.Time{}, bytes.NewReader(raw))
}
