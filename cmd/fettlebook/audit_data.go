package main

import (
	"context"
	"fmt"
	"path/filepath"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
)

type auditData struct {
	Against string `help:"Hold the logs here beside those of another copy of the shop’s data, or beside the customer’s receipt (its text, a file that holds it, or a picture of its code)." placeholder:"FOLDER|RECEIPT"`
	JSON    bool   `name:"json" help:"Print JSON."`
}

// Run checks a data folder, also one that a program is writing or a copy.
func (c *auditData) Run(ctx context.Context, t *terminal) error {
	id, err := folder.ReadIdentity(t.Data)
	if err != nil {
		return err
	}
	if id.Role == folder.Joining {
		return notFound("this folder has not joined a shop yet; there is nothing to check")
	}
	if c.Against != "" {
		return c.hold(ctx, t, id)
	}
	p := newProgress(t, "checking")
	report, err := folder.Audit(ctx, t.Data, folder.PhotosPath(t.Data), auditedFiles{t.Data, id}, p.steps)
	p.clear()
	if err != nil {
		return err
	}
	if c.JSON {
		err = printWhole(t.Out, report)
	} else {
		err = report.WriteText(t.Out)
	}
	if err != nil {
		return err
	}
	if bench := filepath.Join(t.Data, benchFolder); isFolder(bench) {
		fmt.Fprintf(t.Err, "note: the bench has a folder of its own, which was not checked; check it with --data %s\n", bench)
	}
	if report.Damaged() {
		return &exit.Error{Status: exit.Damaged, Sentence: "damage was found, as listed; keep a copy of the folder before you change anything"}
	}
	return nil
}

func isFolder(dir string) bool {
	_, err := folder.ReadIdentity(dir)
	return err == nil
}
