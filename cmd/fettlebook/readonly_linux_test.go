package main

import (
	"bytes"
	"encoding/json"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"fettlebook/cmd/internal/exit"
)

// On a disk that takes no writes, whoever writes is told so in a sentence and nothing of it is
// half there; what is only read can be read; and once it takes writes again all goes on.
func TestADiskThatIsReadOnly(t *testing.T) {
	disk := t.TempDir()
	if err := syscall.Mount("tmpfs", disk, "tmpfs", 0, "size=1g"); err != nil {
		t.Logf("no file system can be mounted here: %v", err)
		return
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(disk, 0); err != nil {
			t.Error(err)
		}
	})
	data := filepath.Join(disk, "shop")
	do := func(args ...string) (int, string, string) {
		t.Helper()
		var out, errs bytes.Buffer
		code := run(t.Context(), append(args, "--data", data), strings.NewReader(""), &out, &errs)
		return code, out.String(), errs.String()
	}
	works := func(args ...string) string {
		t.Helper()
		code, out, errs := do(args...)
		if code != exit.OK {
			t.Fatalf("%v ends with %d: %s", args, code, errs)
		}
		return out
	}
	works("hub", "init", "--shop", "Pin Bore Works", "--host", "127.0.0.1", "--by", "io")
	var opened struct{ Job string }
	if err := json.Unmarshal([]byte(works("open", "--plate", "FB 204", "--json", "--by", "io")), &opened); err != nil {
		t.Fatal(err)
	}
	works("add", "note.made", "--job", opened.Job, "note=before", "--by", "io")
	before := works("record", opened.Job)
	if err := syscall.Mount("", disk, "", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"add", "note.made", "--job", opened.Job, "note=meanwhile", "--by", "io"}, {"open", "--plate", "FB 205", "--by", "io"}, {"hub", "run", "--pages", "off"}, {"hub", "invite", "--by", "io"}} {
		code, out, errs := do(args...)
		if code == exit.OK || out != "" || strings.Count(errs, "\n") != 1 || !strings.Contains(errs, "read-only") {
			t.Errorf("%v ends with %d, prints %q and says %q", args, code, out, errs)
		}
	}
	if now := works("record", opened.Job); now != before {
		t.Errorf("the record has become another:\n%s", now)
	}
	if err := syscall.Mount("", disk, "", syscall.MS_REMOUNT, "size=1g"); err != nil {
		t.Fatal(err)
	}
	works("add", "note.made", "--job", opened.Job, "note=after", "--by", "io")
	if now := works("record", opened.Job); strings.Contains(now, "meanwhile") || !strings.Contains(now, "after") {
		t.Errorf("the record is\n%s", now)
	}
	works("audit")
}
