package evidence_test

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"fmt"
	"io"
	"path"
	"testing"

	"fettlebook/journal/evidence"
	"fettlebook/journal/evidence/evidencetest"
)

// A paper that somebody lays beside the payload is no part of the dossier, also
// if he lists it.
func TestStrayBesideThePayload(t *testing.T) {
	packed := evidencetest.New(t, "stray", 4).Dossier(evidencetest.Options{}).Pack()
	from, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		t.Fatal(err)
	}
	folder, _ := path.Split(from.File[len(from.File)-1].Name)
	paper := []byte("%PDF-1.7 all is well")
	var out bytes.Buffer
	to := zip.NewWriter(&out)
	write := func(name string, raw []byte) {
		w, err := to.Create(name)
		if err == nil {
			_, err = w.Write(raw)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	for _, f := range from.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		raw, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		if path.Base(f.Name) == "tagmanifest-sha256.txt" {
			raw = fmt.Appendf(raw, "%x  report.pdf\n", sha256.Sum256(paper))
		}
		write(f.Name, raw)
	}
	write(folder+"report.pdf", paper)
	if err := to.Close(); err != nil {
		t.Fatal(err)
	}
	f := verify(t, out.Bytes(), nil)
	a := f.Answer(evidence.Bytes)
	if a.Verdict != evidence.No || len(a.Findings) != 1 || a.Findings[0].Code != evidence.FileStray || a.Findings[0].Paths[0] != "report.pdf" {
		t.Errorf("%s", said(f))
	}
}
