// Command page makes the page that checks a dossier in a browser: one file that
// holds the program itself (fettleverify, built for js/wasm), opens from a disk
// and asks nothing of anybody.
//
//	go run ./cmd/fettleverify/page -o verify.html
package main

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"text/template"
)

//go:embed page.html page.css page.js
var files embed.FS

func main() {
	out := flag.String("o", "verify.html", "the file to write")
	flag.Parse()
	if err := run(*out); err != nil {
		fmt.Fprintln(os.Stderr, "page:", err)
		os.Exit(1)
	}
}

func run(out string) error {
	page, err := whole()
	if err != nil {
		return err
	}
	return os.WriteFile(out, page, 0o644)
}

// parts are what the page is put together from.
type parts struct {
	Style, Script, Program string
	Policy                 string
}

// whole puts the page together.
func whole() ([]byte, error) {
	style, err := files.ReadFile("page.css")
	if err != nil {
		return nil, err
	}
	own, err := files.ReadFile("page.js")
	if err != nil {
		return nil, err
	}
	root, err := goEnv("GOROOT")
	if err != nil {
		return nil, err
	}
	glue, err := os.ReadFile(filepath.Join(root, "lib", "wasm", "wasm_exec.js"))
	if err != nil {
		return nil, fmt.Errorf("find what runs Go in a browser: %w", err)
	}
	program, err := build()
	if err != nil {
		return nil, err
	}
	p := parts{Style: string(style), Script: string(glue) + string(own), Program: program}
	if strings.Contains(p.Script, "</script") || strings.Contains(p.Style, "</style") {
		return nil, errors.New("a script or style would end early")
	}
	// Nothing but these two texts and the program runs, and nothing is asked for.
	p.Policy = fmt.Sprintf("default-src 'none'; script-src '%s' 'wasm-unsafe-eval'; style-src '%s'; base-uri 'none'; form-action 'none'", hash(p.Script), hash(p.Style))
	text, err := files.ReadFile("page.html")
	if err != nil {
		return nil, err
	}
	t, err := template.New("page").Parse(string(text))
	if err != nil {
		return nil, err
	}
	var page bytes.Buffer
	err = t.Execute(&page, p)
	return page.Bytes(), err
}

// hash is how a policy names an inline text.
func hash(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}

// build builds the program for browsers, packed and as text.
func build() (string, error) {
	dir, err := os.MkdirTemp("", "page")
	if err != nil {
		return "", err
	}
	defer os.RemoveAll(dir)
	wasm := filepath.Join(dir, "verify.wasm")
	cmd := exec.Command("go", "build", "-trimpath", "-buildvcs=false", "-ldflags", "-s -w -buildid=", "-o", wasm, "fettlebook/cmd/fettleverify")
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	if said, err := cmd.CombinedOutput(); err != nil {
		return "", fmt.Errorf("build the program for browsers: %w\n%s", err, said)
	}
	raw, err := os.ReadFile(wasm)
	if err != nil {
		return "", err
	}
	var packed bytes.Buffer
	z, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
	if err != nil {
		return "", err
	}
	if _, err := io.Copy(z, bytes.NewReader(raw)); err != nil {
		return "", err
	}
	if err := z.Close(); err != nil {
		return "", err
	}
	return base64.StdEncoding.EncodeToString(packed.Bytes()), nil
}

func goEnv(name string) (string, error) {
	out, err := exec.Command("go", "env", name).Output()
	if err != nil {
		return "", fmt.Errorf("ask Go for its %s: %w", name, err)
	}
	return strings.TrimSpace(string(out)), nil
}
