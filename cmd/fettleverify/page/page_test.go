package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fettlebook/cmd/internal/exit/code"
	"fettlebook/cmd/internal/pages/browsertest"
	"fettlebook/cmd/internal/verdict"
	"fettlebook/journal/evidence"
	"fettlebook/journal/evidence/evidencetest"
	"fettlebook/journal/journaltest"

	"rsc.io/qr"
)

// shownAs is what the page shows of findings, in short: each question with its
// verdict and the codes of what was found.
const shownAs = `[...document.querySelectorAll(".answer")].map((a) => a.dataset.question + " " + a.dataset.verdict + ": " +
	[...a.querySelectorAll("li[data-code]")].map((l) => l.dataset.code + " " + [...l.querySelectorAll("code")].map((c) => c.textContent).join(" ")).join(", ")).join("\n")`

// mostShown is how many findings of one answer the page shows.
const mostShown = 200

// inShort is the same of what the package finds.
func inShort(f evidence.Findings) string {
	var lines []string
	for _, a := range f.Answers {
		var found []string
		for _, x := range a.Findings[:min(len(a.Findings), mostShown)] {
			found = append(found, fmt.Sprintf("%s %s", x.Code, strings.Join(x.Paths, " ")))
		}
		v := string(a.Verdict)
		if a.Verdict == evidence.Unknown {
			v = "unknown"
		}
		lines = append(lines, fmt.Sprintf("%s %s: %s", a.Question, v, strings.Join(found, ", ")))
	}
	return strings.Join(lines, "\n")
}

// The page finds what the program finds, of honest files, of those that
// somebody has tampered with and of those made to do harm; it asks nothing of
// anybody, and no script complains.
func TestPageInTheBrowser(t *testing.T) {
	journaltest.Long(t)
	dir := t.TempDir()
	page, err := whole()
	if err != nil {
		t.Fatal(err)
	}
	if again, err := whole(); err != nil || !bytes.Equal(again, page) {
		t.Errorf("made twice it is two pages: %v", err)
	}
	for _, from := range []string{"http://", "https://", "src=", "@import", "url("} {
		without := page[:bytes.Index(page, []byte(`<script type="text/plain"`))]
		if bytes.Contains(without, []byte(from)) {
			t.Errorf("the page holds %q", from)
		}
	}
	name := filepath.Join(dir, "verify.html")
	if err := os.WriteFile(name, page, 0o600); err != nil {
		t.Fatal(err)
	}
	p := browsertest.Start(t, filepath.Join(dir, "profile")).Page(browsertest.Upright)
	p.Open("file://" + name)
	p.Sees("Ready. Choose a dossier.")
	h := evidencetest.New(t, "page", 5)
	cases := 0
	check := func(what string, packed []byte, receipt *evidence.Receipt) {
		t.Helper()
		cases++
		file := filepath.Join(dir, fmt.Sprintf("dossier-%d.zip", cases)) // choosing the same again is no change
		if err := os.WriteFile(file, packed, 0o600); err != nil {
			t.Fatal(err)
		}
		text := ""
		if receipt != nil {
			text = receipt.String()
		}
		p.Value(fmt.Sprintf(`document.body.dataset.exit = "", document.querySelector("#receipt").value = %q`, text))
		p.Upload("#file", file)
		p.Until(`document.body.dataset.exit !== ""`)
		want, err := verdict.Of(context.Background(), bytes.NewReader(packed), int64(len(packed)), evidence.Trusted{Receipt: receipt}, nil)
		var refused *code.Error
		switch {
		case errors.As(err, &refused):
			if got := p.Value(`document.querySelector(".refused")?.textContent ?? ""`); got != refused.Sentence || p.Value(`document.body.dataset.exit`) != "3" {
				t.Errorf("%s: refused as %q, want %q", what, got, refused.Sentence)
			}
		case err != nil:
			t.Fatal(err)
		default:
			if got := p.Value(shownAs); got != inShort(want) || p.Value(`document.body.dataset.exit`) != fmt.Sprint(verdict.ExitCode(want)) {
				t.Errorf("%s: the page shows\n%s\nwant\n%s", what, got, inShort(want))
			}
			p.Sees(want.Says)
		}
	}
	receipt := h.Receipt()
	honest := h.Dossier(evidencetest.Options{Card: true, Paper: true}).Pack()
	check("honest", honest, &receipt)
	if dir := os.Getenv("FETTLEBOOK_SHOTS"); dir != "" {
		p.Shot(filepath.Join(dir, "verify-honest.png"))
	}
	check("honest, without a receipt", honest, nil)
	for i, way := range evidencetest.Tamperings() {
		given := h.Receipt()
		x := &evidencetest.Tampered{T: t, H: h, D: h.Dossier(evidencetest.Options{Card: true}), Dice: rand.New(rand.NewPCG(uint64(i), 5)), Receipt: &given}
		way.Do(x)
		if x.Packed == nil {
			x.Packed = x.D.Pack()
		}
		check(way.Name, x.Packed, x.Receipt)
	}
	if dir := os.Getenv("FETTLEBOOK_SHOTS"); dir != "" {
		check("swapped", swapped(t, h), &receipt)
		p.Shot(filepath.Join(dir, "verify-tampered.png"))
	}
	for _, hostile := range evidencetest.HostileFiles() {
		check(hostile.Name, hostile.Make(t), nil)
	}

	// What is dropped is what was chosen; a receipt that is typed later counts.
	check("honest", honest, nil)
	p.Value(`(() => { document.body.dataset.exit = ""; const d = new DataTransfer(); d.items.add(document.querySelector("#file").files[0]);
		document.dispatchEvent(new DragEvent("drop", {dataTransfer: d, bubbles: true, cancelable: true})); return ""; })()`)
	p.Sees("No receipt was given to compare with.")
	p.Fill("The receipt’s text, if there is one", receipt.String())
	p.Sees("Every question is answered with yes.")

	// Or a picture of its code is chosen.
	p.Fill("The receipt’s text, if there is one", "hello")
	p.Sees("This is not the text of a receipt")
	picture := filepath.Join(dir, "code.png")
	if err := os.WriteFile(picture, drawn(t, receipt.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	p.Upload("#code", picture)
	p.Sees("Every question is answered with yes.")
	pdf := filepath.Join(dir, "receipt.pdf")
	if err := os.WriteFile(pdf, []byte("%PDF-1.7\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	p.Upload("#code", pdf)
	p.Sees("This is a PDF. Copy the text at its foot")

	for _, asked := range p.Strangers() {
		if !strings.HasPrefix(asked, "file://"+name) && !strings.HasPrefix(asked, "blob:") {
			t.Errorf("the page asks for %s", asked)
		}
	}
	if said := p.Complaints(); len(said) > 0 {
		t.Errorf("the page complains: %q", said)
	}
	if found := p.Axe(false); len(found) > 0 {
		t.Errorf("hard to use: %q", found)
	}
	if wide := p.Overflow(); len(wide) > 0 {
		t.Errorf("wider than the page: %q", wide)
	}
}

// swapped is a dossier in which two photographs changed their places.
func swapped(t *testing.T, h *evidencetest.History) []byte {
	for _, way := range evidencetest.Tamperings() {
		if way.Name == "photographs swapped between corners" {
			receipt := h.Receipt()
			x := &evidencetest.Tampered{T: t, H: h, D: h.Dossier(evidencetest.Options{}), Dice: rand.New(rand.NewPCG(1, 1)), Receipt: &receipt}
			way.Do(x)
			return x.D.Pack()
		}
	}
	t.Fatal("there is no such way")
	return nil
}

func drawn(t *testing.T, text string) []byte {
	code, err := qr.Encode(text, qr.M)
	if err != nil {
		t.Fatal(err)
	}
	return code.PNG()
}
