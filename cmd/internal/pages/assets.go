package pages

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"net/http"
	"path"
	"regexp"
	"strings"
	"time"
)

//go:embed assets
var assetFiles embed.FS

// assets are the style sheet, the scripts, the icons, the manifest and the fonts under
// names that hold the hash of their content, so that a browser may keep them for good.
type assets struct {
	style, script, icon string            // their paths
	touch, manifest     string            // of who keeps the pages among the programs
	fonts               []string          // of the fonts that every page is set in
	paths               map[string]string // of all of them, by the names of the files
	files               map[string][]byte
	worker              []byte // which has a path of its own: it speaks for all that lies beside and below it
}

const assetRoot = "/assets/"

func newAssets() (*assets, error) {
	paths := make(map[string]string) // by the names that the style sheet, the manifest and templates have
	a := &assets{paths: paths, files: make(map[string][]byte)}
	for _, name := range []string{"words-400", "words-700", "figures-400", "figures-700"} {
		file := "fonts/" + name + ".woff2"
		raw, err := assetFiles.ReadFile("assets/" + file)
		if err != nil {
			return nil, fmt.Errorf("read font: %w", err)
		}
		paths[file] = a.add(name+".woff2", raw)
		if strings.HasPrefix(name, "words") {
			a.fonts = append(a.fonts, paths[file])
		}
	}
	for _, file := range []string{"icon.svg", "icon-192.png", "icon-512.png", "card.css", "manifest.webmanifest", "fettlebook.js", "camera.js", "scan.js", "keypad.js"} {
		raw, err := assetFiles.ReadFile("assets/" + file)
		if err != nil {
			return nil, fmt.Errorf("read asset: %w", err)
		}
		raw = bare(file, raw)
		if file == "card.css" || file == "manifest.webmanifest" { // they name others
			for name, path := range paths {
				raw = bytes.ReplaceAll(raw, []byte(name), []byte(path))
			}
		}
		paths[file] = a.add(file, raw)
	}
	a.style, a.script, a.icon, a.touch, a.manifest = paths["card.css"], paths["fettlebook.js"], paths["icon.svg"], paths["icon-192.png"], paths["manifest.webmanifest"]
	var err error
	if a.worker, err = assetFiles.ReadFile("assets/worker.js"); err != nil {
		return nil, fmt.Errorf("read asset: %w", err)
	}
	return a, nil
}

var (
	remark  = regexp.MustCompile(`(?s)/\*.*?\*/`)
	aside   = regexp.MustCompile(`(?m)^[ \t]*//.*\n`)
	outdent = regexp.MustCompile(`(?m)^[ \t\n]+`)
)

// bare is a style sheet or a script without what only its readers need: remarks,
// indents and empty lines, which are a third of what a first visit would carry. No text
// of ours goes over several lines, so none is changed.
func bare(file string, raw []byte) []byte {
	switch path.Ext(file) {
	case ".css":
		raw = remark.ReplaceAll(raw, nil)
	case ".js":
		raw = aside.ReplaceAll(raw, nil)
	default:
		return raw
	}
	return outdent.ReplaceAll(raw, nil)
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

// WorkerPath is where a browser asks for what speaks while no program runs.
const WorkerPath = "/worker.js"

// Worker serves it. A browser must always ask whether there is a newer one.
func (s *Shell) Worker(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", "text/javascript; charset=utf-8")
	w.Header().Set("Cache-Control", "no-cache")
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(s.assets.worker))
}

// Assets serves the style sheet, the script, the icons, the manifest and the fonts, below
// /assets/.
func (s *Shell) Assets(w http.ResponseWriter, r *http.Request) {
	raw, ok := s.assets.files[r.URL.Path]
	if !ok {
		http.NotFound(w, r)
		return
	}
	switch path.Ext(r.URL.Path) { // not every machine's list has them
	case ".woff2":
		w.Header().Set("Content-Type", "font/woff2") // RFC 8081
	case ".webmanifest":
		w.Header().Set("Content-Type", "application/manifest+json") // Web Application Manifest, W3C
	}
	w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	http.ServeContent(w, r, path.Base(r.URL.Path), time.Time{}, bytes.NewReader(raw))
}
