package main

import (
	"context"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/verdict"
)

type verifyFile struct {
	File    string `arg:"" help:"The dossier, a ZIP file." type:"path" placeholder:"FILE.zip"`
	Receipt string `help:"The text at the foot of the customer’s receipt, a file that holds it, or a picture of its code." placeholder:"TEXT|FILE"`
	// Authority is what a timestamp is judged by.
	Authority string `help:"The root certificates, as PEM, under which a timestamp authority’s certificate has to be issued. Left out, that is not checked." type:"path" placeholder:"FILE.pem"`
	JSON      bool   `name:"json" help:"Print JSON."`
}

// Run checks a dossier by nothing but the file and what whoever checks it goes by: no data folder
// is looked at.
func (c *verifyFile) Run(ctx context.Context, t *terminal) error {
	by, err := verdict.Trusted(c.Receipt, c.Authority)
	if err != nil {
		return err
	}
	p := newProgress(t, "checking")
	found, err := verdict.OfFile(ctx, c.File, by, func(done, all int64) { p.step(done, all) })
	p.clear()
	if err != nil {
		return err
	}
	write := verdict.WriteText
	if c.JSON {
		write = verdict.WriteJSON
	}
	if err := write(t.Out, found); err != nil {
		return err
	}
	if status := verdict.ExitCode(found); status != exit.OK {
		return &exit.Error{Status: status, Sentence: "this dossier contradicts itself or the receipt, as listed"}
	}
	return nil
}
