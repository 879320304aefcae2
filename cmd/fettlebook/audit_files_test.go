package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fettlebook/cmd/internal/folder"
)

// founded sets a shop up and lets its files be audited.
func founded(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "shop")
	var out, errOut bytes.Buffer
	if code := run(t.Context(), []string{"hub", "init", "--shop", "Pin Bore Works", "--by", "io", "--host", "127.0.0.1", "--data", dir}, strings.NewReader(""), &out, &errOut); code != 0 {
		t.Fatalf("%d: %s", code, errOut.String())
	}
	return dir
}

// audited runs the audit and returns its exit code and what it says.
func audited(t *testing.T, dir string, more ...string) (int, string) {
	t.Helper()
	var out, errOut bytes.Buffer
	code := run(t.Context(), append([]string{"audit", "--data", dir}, more...), strings.NewReader(""), &out, &errOut)
	return code, out.String() + errOut.String()
}

// Any byte of a file beside the database, changed or cut off, and any such file that is gone,
// is found.
func TestFilesBesideTheJournal(t *testing.T) {
	dir := founded(t)
	if code, said := audited(t, dir); code != 0 {
		t.Fatal(said)
	}
	for _, name := range []string{"shop.json", "keys/" + folder.LogKey, "keys/" + folder.LineKey, "keys/" + folder.CosignKey, "keys/" + folder.CertFile, "keys/" + folder.CertKey} {
		path := filepath.Join(dir, name)
		kept, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		spoils := map[string][]byte{"emptied": {}, "cut": kept[:len(kept)-1], "longer": append(bytes.Clone(kept), '\n')}
		for at := 0; at < len(kept); at += 1 + len(kept)/60 {
			changed := bytes.Clone(kept)
			changed[at] ^= 1 << (at % 7)
			spoils[fmt.Sprintf("byte %d", at)] = changed
		}
		for what, raw := range spoils {
			if err := os.WriteFile(path, raw, 0o600); err != nil {
				t.Fatal(err)
			}
			if code, said := audited(t, dir); code != 6 {
				t.Errorf("%s, %s: code %d\n%s", name, what, code, said)
			}
		}
		if err := os.Remove(path); err != nil {
			t.Fatal(err)
		}
		if code, said := audited(t, dir); code != 6 {
			t.Errorf("%s is missing: code %d\n%s", name, code, said)
		}
		if err := os.WriteFile(path, kept, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if code, said := audited(t, dir); code != 0 {
		t.Error(said)
	}
	if err := os.WriteFile(filepath.Join(dir, admittedFile), []byte(`[{"Device":"t3fz8c1n","Key":"U","Publish":[],"Subscribe":[]}]`), 0o600); err != nil {
		t.Fatal(err)
	}
	if code, said := audited(t, dir); code != 6 || !strings.Contains(said, admittedFile) {
		t.Errorf("somebody is let in: code %d\n%s", code, said)
	}
}
