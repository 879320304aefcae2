package main

import (
	"fmt"
	"runtime"
	"runtime/debug"

	"fettlebook/journal/sqlitelog"
)

type version struct {
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
	if c.JSON {
		return printJSON(t.Out, b)
	}
	source := ""
	if b.Revision != "" {
		source = fmt.Sprintf(", source %.12s of %s", b.Revision, b.Made)
	}
	if b.Changed {
		source += " with changes"
	}
	_, err = fmt.Fprintf(t.Out, "fettlebook %s%s, %s, %s, database schema %d\n", b.Version, source, b.Go, b.System, b.Schema)
	return err
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
