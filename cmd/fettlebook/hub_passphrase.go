package main

import (
	"cmp"
	"context"
	"fmt"
	"path/filepath"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/pages/gate"

	"golang.org/x/term"
)

type hubPassphrase struct {
	File string `name:"passphrase-file" help:"The file whose first line is the passphrase; - is standard input." placeholder:"FILE"`
}

// Help says how the passphrase is read.
func (*hubPassphrase) Help() string {
	return "On a terminal it is asked for twice and not shown. Otherwise the first line of standard input is taken, or of the file named with --passphrase-file. Who is signed in stays signed in."
}

// passphrase is what opens a hub's desk.
func passphrase(t *terminal, dir string) *gate.Passphrase {
	return gate.NewPassphrase(filepath.Join(dir, "keys", "desk"), t.Now, t.Rand)
}

// Run sets the passphrase. A hub that runs asks for the new one at once.
func (c *hubPassphrase) Run(ctx context.Context, t *terminal) error {
	id, err := folder.ReadIdentity(t.Data)
	if err != nil {
		return err
	}
	if id.Role != folder.Hub {
		return notA(folder.Hub, id)
	}
	typed, err := c.read(t)
	if err != nil {
		return err
	}
	if err := passphrase(t, t.Data).Set(ctx, typed); err != nil {
		return &exit.Error{Status: exit.Refused, Sentence: err.Error(), Err: err}
	}
	fmt.Fprintln(t.Out, "The passphrase is set.")
	return nil
}

func (c *hubPassphrase) read(t *terminal) (string, error) {
	in := t.typist()
	if in == nil || c.File != "" {
		return secretIn(t, "passphrase-file", cmp.Or(c.File, fromInput), true)
	}
	var typed [2]string
	for i, ask := range []string{"Passphrase: ", "The same again: "} {
		fmt.Fprint(t.Err, ask)
		raw, err := term.ReadPassword(int(in.Fd()))
		fmt.Fprintln(t.Err)
		if err != nil {
			return "", fmt.Errorf("read passphrase: %w", err)
		}
		typed[i] = string(raw)
	}
	if typed[0] != typed[1] {
		return "", &exit.Error{Status: exit.Refused, Sentence: "the two differ; nothing was changed"}
	}
	return typed[0], nil
}
