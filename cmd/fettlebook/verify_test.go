package main

import (
	"bytes"
	"context"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/verdict"
	"fettlebook/journal/evidence"
	"fettlebook/journal/evidence/evidencetest"
)

// The command says of every file what the program of its own says, which asks
// the same package; no data folder is needed.
func TestVerifyCommand(t *testing.T) {
	h := evidencetest.New(t, "command", 4)
	file := filepath.Join(t.TempDir(), "dossier.zip")
	command := func(packed []byte, args ...string) (int, string, string) {
		if err := os.WriteFile(file, packed, 0o600); err != nil {
			t.Fatal(err)
		}
		var out, errOut bytes.Buffer
		args = append([]string{"--data", filepath.Join(t.TempDir(), "none"), "verify", file}, args...)
		status := run(context.Background(), args, strings.NewReader(""), &out, &errOut)
		return status, out.String(), errOut.String()
	}
	for i, way := range append(evidencetest.Tamperings(), evidencetest.Tampering{Name: "honest", Do: func(*evidencetest.Tampered) {}}) {
		receipt := h.Receipt()
		x := &evidencetest.Tampered{T: t, H: h, D: h.Dossier(evidencetest.Options{Card: true}), Dice: rand.New(rand.NewPCG(uint64(i), 3)), Receipt: &receipt}
		way.Do(x)
		if x.Packed == nil {
			x.Packed = x.D.Pack()
		}
		want, err := verdict.Of(context.Background(), bytes.NewReader(x.Packed), int64(len(x.Packed)), evidence.Trusted{Receipt: x.Receipt}, nil)
		if err != nil {
			t.Fatal(err)
		}
		var line bytes.Buffer
		if err := verdict.WriteJSON(&line, want); err != nil {
			t.Fatal(err)
		}
		status, out, errOut := command(x.Packed, "--receipt", x.Receipt.String(), "--json")
		if out != line.String() || status != verdict.ExitCode(want) {
			t.Errorf("%s: the command ends with %d and says\n%s%s\nwant\n%s", way.Name, status, out, errOut, line.String())
		}
	}
	if status, out, _ := command(h.Dossier(evidencetest.Options{}).Pack()); status != exit.OK || !strings.Contains(out, "(o) yes: Is nothing left out up to the seal?") {
		t.Errorf("an honest dossier ends with %d: %s", status, out)
	}
	for _, hostile := range evidencetest.HostileFiles()[:12] {
		want := exit.Refused
		if hostile.Refused == "" {
			want = exit.Damaged
		}
		if status, _, errOut := command(hostile.Make(t)); status != want || len(errOut) < 20 {
			t.Errorf("%s: the command ends with %d and says %q", hostile.Name, status, errOut)
		}
	}
	if status, _, errOut := command(nil, "--receipt", "hello"); status != exit.Refused || !strings.Contains(errOut, "not the text of a receipt") {
		t.Errorf("a receipt that is none ends with %d and says %q", status, errOut)
	}
}
