package evidencetest

import (
	"archive/zip"
	"bytes"
	"io"
	"testing"

	"fettlebook/media"
)

func mediaRef(b []byte) media.Ref { return media.RefOf(b) }

func repack(t testing.TB, out io.Writer, packed []byte, change func(name string, raw []byte) []byte) {
	t.Helper()
	from, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		t.Fatal(err)
	}
	to := zip.NewWriter(out)
	for _, f := range from.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		raw, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		if raw = change(f.Name, raw); raw == nil {
			continue
		}
		w, err := to.CreateHeader(&zip.FileHeader{Name: f.Name, Method: f.Method})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(raw); err != nil {
			t.Fatal(err)
		}
	}
	if err := to.Close(); err != nil {
		t.Fatal(err)
	}
}
