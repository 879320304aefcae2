package main

import (
	"context"
	"errors"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// Where each system keeps a person's data: XDG Base Directory Specification 0.8, "Environment
// variables"; Apple's File System Programming Guide, "The Library Directory Stores
// App-Specific Files"; Microsoft's FOLDERID_LocalAppData.
func TestOwnData(t *testing.T) {
	for _, trial := range []struct {
		system, home string
		env          map[string]string
		want         string
	}{
		{"linux", "/home/io", nil, "/home/io/.local/share/fettlebook"},
		{"linux", "/home/io", map[string]string{"XDG_DATA_HOME": "/data/io"}, "/data/io/fettlebook"},
		{"linux", "/home/io", map[string]string{"XDG_DATA_HOME": "data"}, "/home/io/.local/share/fettlebook"}, // not absolute: to be ignored
		{"darwin", "/Users/io", map[string]string{"XDG_DATA_HOME": "/data/io"}, "/Users/io/Library/Application Support/fettlebook"},
		{"windows", "/io", map[string]string{"LocalAppData": "/io/AppData/Local"}, "/io/AppData/Local/fettlebook"},
		{"windows", "/io", nil, ""},
		{"linux", "", nil, ""},
	} {
		if got := ownData(trial.system, trial.home, func(name string) string { return trial.env[name] }); got != filepath.FromSlash(trial.want) {
			t.Errorf("%s, %v: %q, want %q", trial.system, trial.env, got, trial.want)
		}
	}
}

func TestBrowserCommand(t *testing.T) {
	none := func(string) string { return "" }
	for system, want := range map[string]string{"windows": "rundll32", "darwin": "open"} {
		if got, err := browserCommand(system, none); err != nil || got[0] != want {
			t.Errorf("%s: %v, %v", system, got, err)
		}
	}
	if _, err := browserCommand("linux", none); !errors.Is(err, errNoDisplay) {
		t.Errorf("without a display: %v", err)
	}
	for _, display := range []string{"DISPLAY", "WAYLAND_DISPLAY"} {
		got, err := browserCommand("linux", func(name string) string { return map[string]string{display: "x"}[name] })
		if err != nil || !slices.Equal(got, []string{"xdg-open"}) {
			t.Errorf("with %s: %v, %v", display, got, err)
		}
	}
}

// The folder here goes before the person's own.
func TestDataDir(t *testing.T) {
	home := t.TempDir()
	t.Setenv("HOME", home)
	t.Setenv("XDG_DATA_HOME", filepath.Join(home, "data"))
	t.Chdir(t.TempDir())
	if got := dataDir(); got != filepath.Join(home, "data", "fettlebook") {
		t.Errorf("on a fresh machine %s", got)
	}
	if err := os.MkdirAll(nearData, 0o700); err != nil {
		t.Fatal(err)
	}
	if got := dataDir(); got != filepath.Join(home, "data", "fettlebook") {
		t.Errorf("beside an empty folder %s", got)
	}
	if err := os.WriteFile(filepath.Join(nearData, "shop.json"), []byte(`{"role":"hub","shop":"k7m2q4xw","device":"t3fz8c1n"}`), 0o600); err != nil {
		t.Fatal(err)
	}
	if got := dataDir(); filepath.Base(got) != nearData || !filepath.IsAbs(got) {
		t.Errorf("with a journal here %s", got)
	}
}

// Another program's page is not taken for a first start, nor is that of another folder.
func TestShowsFirstStart(t *testing.T) {
	for name, says := range map[string]struct {
		status int
		text   string
		want   bool
	}{
		"this folder": {200, folderMark("/a"), true}, "another folder": {200, folderMark("/b"), false}, "another program": {200, "hello", false},
		"a hub": {303, folderMark("/a"), false}, "more behind it": {200, folderMark("/a") + "x", false},
	} {
		server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
			w.WriteHeader(says.status)
			_, _ = w.Write([]byte(says.text))
		}))
		if got := showsFirstStart(t.Context(), server.URL, "/a"); got != says.want {
			t.Errorf("%s: %v", name, got)
		}
		server.Close()
	}
	if showsFirstStart(t.Context(), "http://127.0.0.1:1", "/a") {
		t.Error("nobody is taken for a first start")
	}
}

// Who finds another program at its port takes a free one; a wrong address is refused.
func TestListenYielding(t *testing.T) {
	taken, err := (&net.ListenConfig{}).Listen(context.Background(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	l, err := listenYielding(t.Context(), "pages", taken.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	if l.Addr().String() == taken.Addr().String() {
		t.Error("both listen at one port")
	}
	for _, wrong := range []string{"nowhere", "192.0.2.1:7459", "0.0.0.0:7459"} {
		if l, err := listenYielding(t.Context(), "pages", wrong); err == nil {
			l.Close()
			t.Errorf("%s is listened at", wrong)
		}
	}
}
