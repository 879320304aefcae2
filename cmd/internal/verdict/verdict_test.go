package verdict_test

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/exit/code"
	"fettlebook/cmd/internal/verdict"
	"fettlebook/journal/evidence"

	"rsc.io/qr"
)

func receipt() evidence.Receipt {
	return evidence.Receipt{Shop: "k7m2q4xw", Job: "4f7kk2m9", Seal: [32]byte{1}, Entries: 94, Hub: [32]byte{2}, Size: 218, Root: [32]byte{3}, At: time.Date(2026, 3, 6, 16, 21, 0, 0, time.UTC)}
}

// A receipt is given as its text, as a file that holds the text, or as a
// picture of its code.
func TestReceipt(t *testing.T) {
	text := receipt().String()
	drawn, err := qr.Encode(text, qr.M)
	if err != nil {
		t.Fatal(err)
	}
	file := func(name string, raw []byte) string {
		at := filepath.Join(t.TempDir(), name)
		if err := os.WriteFile(at, raw, 0o600); err != nil {
			t.Fatal(err)
		}
		return at
	}
	for name, given := range map[string]string{
		"text":     text,
		"a file":   file("receipt.txt", []byte(strings.ReplaceAll(text, " ", "\r\n")+"\n")),
		"its code": file("code.png", drawn.PNG()),
	} {
		if got, err := verdict.Receipt(given); err != nil || got == nil || *got != receipt() {
			t.Errorf("%s: read as %+v, %v", name, got, err)
		}
	}
	if got, err := verdict.Receipt(""); got != nil || err != nil {
		t.Errorf("nothing: read as %+v, %v", got, err)
	}
	other, err := qr.Encode("hello", qr.M)
	if err != nil {
		t.Fatal(err)
	}
	for name, given := range map[string]string{
		"another text":     "hello",
		"an empty file":    file("empty", nil),
		"another file":     file("other.txt", []byte("hello")),
		"a folder":         t.TempDir(),
		"another code":     file("other.png", other.PNG()),
		"half a picture":   file("half.png", drawn.PNG()[:100]),
		"no file":          filepath.Join(t.TempDir(), "none.txt"),
		"a very long text": strings.Repeat("a", 100000),
	} {
		got, err := verdict.Receipt(given)
		var said *code.Error
		if !errors.As(err, &said) || said.ExitCode() != code.Refused || len(said.Error()) < 20 {
			t.Errorf("%s: read as %+v, %v", name, got, err)
		}
	}
}

// Whoever gives a file that nothing can be read out of is told what to give
// instead.
func TestReceiptSaysWhatToGive(t *testing.T) {
	for name, c := range map[string]struct{ raw, says string }{
		"a PDF":                     {"%PDF-1.7\n1 0 obj\n", "This is a PDF. Copy the text at its foot that begins with “fettlebook receipt 1”, or take a picture of its code."},
		"a picture of another kind": {"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00", "This is a HEIC picture. Save it as JPEG or PNG, or copy the text at the foot of the receipt that begins with “fettlebook receipt 1”."},
		"a page":                    {"<!doctype html>\n<p>receipt", "This is a web page. Copy the text at its foot that begins with “fettlebook receipt 1”, or take a picture of its code."},
	} {
		at := filepath.Join(t.TempDir(), "given")
		if err := os.WriteFile(at, []byte(c.raw), 0o600); err != nil {
			t.Fatal(err)
		}
		if got, err := verdict.Receipt(at); got != nil || err == nil || err.Error() != at+": "+c.says {
			t.Errorf("%s: %v, %v", name, got, err)
		}
	}
}

// However much was found, a person is told some of it, and JSON has all.
func TestWriteText(t *testing.T) {
	f := evidence.Findings{About: "This is a test.", Verdict: evidence.No, Says: strings.Repeat("word ", 60), Answers: []evidence.Answer{{Question: evidence.Bytes, Asks: "Are all files as they were packed?", Verdict: evidence.No, Says: "No."}}}
	for range 100 {
		f.Answers[0].Findings = append(f.Answers[0].Findings, evidence.Finding{Code: evidence.FileAltered, Verdict: evidence.No, Says: "The file a was changed.", Paths: []string{"data/a"}})
	}
	var text, line bytes.Buffer
	if err := errors.Join(verdict.WriteText(&text, f), verdict.WriteJSON(&line, f)); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(text.String(), "The file a was changed."); n != 40 || !strings.Contains(text.String(), "60 findings more; --json lists all.") {
		t.Errorf("%d findings are told:\n%s", n, text.String())
	}
	for l := range strings.Lines(text.String()) {
		if len(l) > 100 || strings.TrimRight(l, " \n") != strings.TrimSuffix(l, "\n") {
			t.Errorf("a line is too long or ends with a space: %q", l)
		}
	}
	if n := strings.Count(line.String(), `"file altered"`); n != 100 || strings.Count(line.String(), "\n") != 1 {
		t.Errorf("%d findings are in JSON", n)
	}
}

// What a file says of itself does not move the cursor of a terminal.
func TestTextIsHarmless(t *testing.T) {
	f := evidence.Findings{About: "The vehicle \x1b[2J\u202eTRL\u009b4471.", Says: "\x07", Answers: []evidence.Answer{{Asks: "a\x1b]0;b\x07", Says: "\x1bc", Findings: []evidence.Finding{{Says: "\x1b[31m", Paths: []string{"\x1b[A"}}}}}}
	var text bytes.Buffer
	if err := verdict.WriteText(&text, f); err != nil {
		t.Fatal(err)
	}
	if strings.ContainsAny(text.String(), "\x1b\x07\u202e\u009b") || !strings.Contains(text.String(), "TRL·4471") {
		t.Errorf("%q", text.String())
	}
}
