package pages

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"net/http"
	"path"
	"strings"
	"time"
)

//go:embed assets
var assetFiles embed.FS

// assets are the style sheet, the scripts, the icon and the fonts under names that
// hold the hash of their content, so that a browser may keep them for good.
type assets struct {
	paths map[string]string // by the name of the file
	fonts []string          // the paths of the fonts that every page is set in
	files map[string][]byte
}

const assetRoot = "/assets/"

func newAssets() (*assets, error) {
	a := &assets{paths: make(map[string]string), files: make(map[string][]byte)}
	fonts := make(map[string]string) // paths by the names that the style sheet has
	for _, name := range []string{"words-400", "words-700", "figures-400", "figures-700"} {
		file := "fonts/" + name + ".woff2"
		raw, err := assetFiles.ReadFile("assets/" + file)
		if err != nil {
			return nil, fmt.Errorf("read font: %w", err)
		}
		fonts[file] = a.add(name+".woff2", raw)
		if strings.HasPrefix(name, "words") {
			a.fonts = append(a.fonts, fonts[file])
		}
	}
	for _, file := range []string{"card.css", "fettlebook.js", "camera.js", "scan.js", "icon.svg"} {
		raw, err := assetFiles.ReadFile("assets/" + file)
		if err != nil {
			return nil, fmt.Errorf("read asset: %w", err)
		}
		if file == "card.css" {
			for name, path := range fonts {
				raw = bytes.ReplaceAll(raw, []byte(name), []byte(path))
			}
		}
		a.paths[file] = a.add(file, raw)
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

// add gives a file its path.
func (a *assets) add(file string, raw []byte) string {
	sum := sha256.Sum256(raw)
	base, ext, _ := strings.Cut(file, ".")
	at := assetRoot + base + "." + hex.EncodeToString(sum[:6]) + "." + ext
	a.files[at] = raw
	return at
}

// Assets serves the style sheet, the scripts, the icon and the fonts, below /assets/.
func (s *Shell) Assets(w http.ResponseWriter, r *http.Request) {
	raw, ok := s.assets.files[r.URL.Path]
	if !ok {
		http.NotFound(w, r)
		return
	}
	if path.Ext(r.URL.Path) == ".woff2" {
		w.Header().Set("Content-Type", "font/woff2") // RFC 8081; not every machine's list has it
	}
	w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	http.ServeContent(w, r, path.Base(r.URL.Path), time.Time{}, bytes.NewReader(raw))
}
