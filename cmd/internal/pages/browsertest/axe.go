package browsertest

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
	"sync"
	"testing"

	"github.com/chromedp/chromedp"
)

// The checker of accessibility, from npm. It is fetched when a test needs it
// and is not part of the project.
const (
	axePackage   = "axe-core@4.14.1"
	axeFile      = "axe-core-4.14.1.tgz"
	axeIntegrity = "sha512-FHfa+lmNjQZfJz1q8wKqIDwC6DExcHt/pkjNQb09a3NPjCKg2rhu5qb2S4r76ASyFNNtuFooJpZe37OgudVGtQ=="
)

// checker is the script of the checker, once it was asked for.
type checker struct {
	mu     sync.Mutex
	script string
}

// text fetches the checker once, or skips the test.
func (c *checker) text(t *testing.T) string {
	t.Helper()
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.script == "" {
		c.script = axeScript(t)
	}
	return c.script
}

func axeScript(t *testing.T) string {
	t.Helper()
	cache, err := os.UserCacheDir()
	if err != nil {
		cache = os.TempDir()
	}
	dir := filepath.Join(cache, "fettlebook-test")
	file := filepath.Join(dir, axeFile)
	raw, err := os.ReadFile(file)
	if err != nil || !whole(raw) {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
		pack := exec.Command("npm", "pack", "--silent", axePackage)
		pack.Dir = dir
		if out, err := pack.CombinedOutput(); err != nil {
			missing(t, fmt.Sprintf("the checker of accessibility cannot be fetched: npm pack %s: %v %s", axePackage, err, out))
		}
		if raw, err = os.ReadFile(file); err != nil {
			t.Fatal(err)
		}
	}
	if !whole(raw) {
		t.Fatalf("%s is not what it was when this test was written", file)
	}
	script, err := unpack(raw, "package/axe.min.js")
	if err != nil {
		t.Fatal(err)
	}
	return script
}

// whole holds the package against the hash that npm published.
func whole(raw []byte) bool {
	sum := sha512.Sum512(raw)
	return "sha512-"+base64.StdEncoding.EncodeToString(sum[:]) == axeIntegrity
}

func unpack(raw []byte, name string) (string, error) {
	zipped, err := gzip.NewReader(bytes.NewReader(raw))
	if err != nil {
		return "", err
	}
	for files := tar.NewReader(zipped); ; {
		h, err := files.Next()
		if errors.Is(err, io.EOF) {
			return "", fmt.Errorf("there is no %s in it", name)
		}
		if err != nil {
			return "", err
		}
		if h.Name == name {
			script, err := io.ReadAll(files)
			return string(script), err
		}
	}
}

// Axe returns what the checker finds on the page by WCAG 2.2, levels A and AA,
// and by best practice; with enhanced the contrast of level AAA, 7 to 1, is
// demanded too. The checker is a script and needs a page on which scripts run.
func (p *Page) Axe(enhanced bool) []string {
	p.b.t.Helper()
	do(p, "bring the checker in", chromedp.Evaluate[bool](p.b.checker.text(p.b.t)+";true"))
	return do(p, "check the page", chromedp.Evaluate[[]string](fmt.Sprintf(`axe.run(document, {resultTypes: ["violations"],
		runOnly: {type: "tag", values: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}, rules: {"color-contrast-enhanced": {enabled: %t}}}).then((r) =>
		r.violations.flatMap((v) => v.nodes.map((n) => v.id + ": " + n.target.join(" ") + " — " + (n.failureSummary || v.help).replace(/\s+/g, " "))))`, enhanced), chromedp.EvalAwaitPromise))
}
