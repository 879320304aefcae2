package main

import (
	"bufio"
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"fettlebook/cmd/internal/exit"
	"fettlebook/journal/words"

	"golang.org/x/term"
)

// fromInput names standard input where a file is asked for.
const fromInput = "-"

// maxSecret is how many bytes of a file are read that holds a secret.
const maxSecret = 64 << 10

// secretIn reads what a file holds, or standard input: of what somebody types, and where
// only that is asked for, the first line.
func secretIn(t *terminal, flag, file string, line bool) (string, error) {
	in := t.In
	if file != fromInput {
		f, err := os.Open(file)
		if errors.Is(err, fs.ErrNotExist) {
			return "", &exit.Error{Status: exit.NotFound, Sentence: fmt.Sprintf("--%s: there is no file %s", flag, words.Quoted(file)), Err: err}
		}
		if err != nil {
			return "", fmt.Errorf("--%s: %w", flag, err)
		}
		defer f.Close()
		in = f
	}
	text := ""
	var err error
	if in = io.LimitReader(in, maxSecret); line || file == fromInput && t.typist() != nil {
		text, err = bufio.NewReader(in).ReadString('\n')
	} else {
		var raw []byte
		raw, err = io.ReadAll(in)
		text = string(raw)
	}
	if err != nil && !errors.Is(err, io.EOF) {
		return "", fmt.Errorf("--%s: %w", flag, err)
	}
	return strings.TrimRight(text, "\r\n"), nil
}

// typedTwice asks for a secret twice at a terminal, without showing it; else it is the first
// line of a file, or of standard input.
func typedTwice(t *terminal, what, flag, file string) (string, error) {
	in := t.typist()
	if in == nil || file != "" {
		return secretIn(t, flag, cmp.Or(file, fromInput), true)
	}
	var typed [2]string
	for i, ask := range []string{what + ": ", "The same again: "} {
		fmt.Fprint(t.Err, ask)
		raw, err := term.ReadPassword(int(in.Fd()))
		fmt.Fprintln(t.Err)
		if err != nil {
			return "", fmt.Errorf("read what is typed: %w", err)
		}
		typed[i] = string(raw)
	}
	if typed[0] != typed[1] {
		return "", &exit.Error{Status: exit.Refused, Sentence: "the two differ; nothing was changed"}
	}
	return typed[0], nil
}

// typist is who types at a terminal; nil if what comes in comes from elsewhere.
func (t *terminal) typist() *os.File {
	if in, ok := t.In.(*os.File); ok && term.IsTerminal(int(in.Fd())) {
		return in
	}
	return nil
}

// unspoken refuses an invitation among the words of a command line, wherever it stands:
// every program of the machine can read them, and the shell keeps them.
func unspoken(args []string) error {
	for _, arg := range args {
		if _, value, ok := strings.Cut(arg, "="); ok && strings.HasPrefix(arg, "-") {
			arg = value
		}
		if strings.HasPrefix(strings.TrimSpace(arg), invitationMark) {
			return &exit.Error{Status: exit.Usage, Sentence: "an invitation does not belong on the command line: other programs of this machine can read it there, and the shell keeps it. Run `fettlebook tablet join` and type the invitation when it asks, or name a file that holds it with --invitation-file"}
		}
	}
	return nil
}

// invitationMark is how an invitation begins.
const invitationMark = "FETTLE1."
