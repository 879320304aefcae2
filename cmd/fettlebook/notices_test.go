package main

import (
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// The licences are those of the modules that this program is built of, in their versions.
func TestNotices(t *testing.T) {
	raw, err := exec.CommandContext(t.Context(), "go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}}{{end}}{{end}}", ".").Output()
	if err != nil {
		t.Fatal(err)
	}
	built := strings.Fields(strings.ReplaceAll(string(raw), " ", "@"))
	slices.Sort(built)
	built = slices.Compact(built)
	if len(built) < 20 {
		t.Fatalf("only %v", built)
	}
	const again = "; run go run ./testdata/notices cmd/fettlebook/notices.txt from the top of the module"
	said := make(map[string]string) // version by module
	for line := range strings.Lines(thirdParties) {
		if name, ok := strings.CutPrefix(strings.TrimSpace(line), "== "); ok {
			if module, version, ok := strings.Cut(name, " v"); ok {
				said[module] = "v" + version
			}
		}
	}
	for _, one := range built {
		module, version, _ := strings.Cut(one, "@")
		if said[module] != version {
			t.Errorf("%s is in the program, and the notices have it as %q%s", one, said[module], again)
		}
	}
	for _, others := range []string{"Go's standard library", "the letters of the pages", "the letters of the papers"} {
		if !strings.Contains(thirdParties, "== "+others+"\n") {
			t.Errorf("%s: no notice%s", others, again)
		}
	}
}
