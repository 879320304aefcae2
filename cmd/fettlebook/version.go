package main

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"runtime"
	"runtime/debug"

	"fettlebook/journal/sqlitelog"
)

type version struct {
	Hash bool `help:"Print the SHA-256 of the program’s own file too."`
	JSON bool `name:"json" help:"Print JSON."`
}

// build is what the program knows of its own making.
type build struct {
	Version  string `json:"version"`           // of the module, or "(devel)"
	Revision string `json:"revision,omitzero"` // of the source
	Changed  bool   `json:"changed,omitzero"`  // the source had changes beyond the revision
	Made     string `json:"made,omitzero"`     // time of the revision
	Go       string `json:"go"`                // of the toolchain
	System   string `json:"system"`            // such as linux/arm64
	Schema   int    `json:"schema"`            // of the database it writes
	Hash     string `json:"sha256,omitzero"`   // of the program's own file
}

// Run prints what the program was built from.
func (c *version) Run(t *terminal) error {
	b := build{Version: "(devel)", Go: runtime.Version(), System: runtime.GOOS + "/" + runtime.GOARCH}
	var err error
	if b.Schema, err = sqlitelog.SchemaVersion(); err != nil {
		return err
	}
	if info, ok := debug.ReadBuildInfo(); ok {
		b.read(info)
	}
	if c.Hash {
		if b.Hash, err = ownHash(); err != nil {
			return err
		}
	}
	if c.JSON {
		return printReport(t.Out, "version", b)
	}
	source := ""
	if b.Revision != "" {
		source = fmt.Sprintf(", source %.12s of %s", b.Revision, b.Made)
	}
	if b.Changed {
		source += " with changes"
	}
	_, err = fmt.Fprintf(t.Out, "fettlebook %s%s, %s, %s, database schema %d\n", b.Version, source, b.Go, b.System, b.Schema)
	if b.Hash != "" && err == nil {
		_, err = fmt.Fprintf(t.Out, "SHA-256 of this file: %s\n", b.Hash)
	}
	return err
}

// ownHash is the hash of the program's own file, as it lies on the disk.
func ownHash() (string, error) {
	path, err := os.Executable()
	if err != nil {
		return "", fmt.Errorf("find the program’s own file: %w", err)
	}
	f, err := os.Open(path)
	if err != nil {
		return "", fmt.Errorf("read the program’s own file: %w", err)
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", fmt.Errorf("read the program’s own file: %w", err)
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

func (b *build) read(info *debug.BuildInfo) {
	if info.Main.Version != "" {
		b.Version = info.Main.Version
	}
	for _, s := range info.Settings {
		switch s.Key {
		case "vcs.revision":
			b.Revision = s.Value
		case "vcs.time":
			b.Made = s.Value
		case "vcs.modified":
			b.Changed = s.Value == "true"
		}
	}
}
