package service_test

import (
	"context"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/service"
)

func hub() service.Wanted {
	return service.Wanted{Name: "fettlebook-hub", About: "fettlebook: hub of Pin & Bore 100%", Program: `/opt/my tools/fettlebook`,
		Args: []string{"hub", "run", "--data", `/home/io/the "shop" $HOME 50%`}, Log: "/home/io/<log>"}
}

func TestSystemd(t *testing.T) {
	u, err := service.Of(service.Place{System: "linux", Home: "/home/io"}, hub())
	if err != nil {
		t.Fatal(err)
	}
	const want = `[Unit]
Description=fettlebook: hub of Pin & Bore 100%%
After=network.target

[Service]
ExecStart="/opt/my tools/fettlebook" "hub" "run" "--data" "/home/io/the \"shop\" $$HOME 50%%"
Restart=on-failure
RestartSec=5
RestartPreventExitStatus=2 3 4 6 8
TimeoutStopSec=60

[Install]
WantedBy=default.target
`
	if u.Text != want || u.File != "/home/io/.config/systemd/user/fettlebook-hub.service" {
		t.Errorf("%s\n%s", u.File, u.Text)
	}
	w := hub()
	w.User = "io"
	u, err = service.Of(service.Place{System: "linux", Home: "/root"}, w)
	if err != nil || u.File != "/etc/systemd/system/fettlebook-hub.service" || !strings.Contains(u.Text, "\nUser=io\n") || !strings.Contains(u.Text, "WantedBy=multi-user.target") ||
		slices.ContainsFunc(u.Begin, func(c []string) bool { return slices.Contains(c, "--user") || c[0] == "loginctl" }) {
		t.Errorf("for the machine: %v %+v", err, u)
	}
}

func TestLaunchd(t *testing.T) {
	u, err := service.Of(service.Place{System: "darwin", Home: "/Users/io", UID: 501}, hub())
	if err != nil || u.File != "/Users/io/Library/LaunchAgents/fettlebook-hub.plist" || !slices.Equal(u.Begin[0], []string{"launchctl", "bootstrap", "gui/501", u.File}) {
		t.Fatalf("%v %+v", err, u)
	}
	var words []string
	for d := xml.NewDecoder(strings.NewReader(u.Text)); ; {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("it is not XML: %v\n%s", err, u.Text)
		}
		if text, ok := token.(xml.CharData); ok && strings.TrimSpace(string(text)) != "" {
			words = append(words, string(text))
		}
	}
	want := append([]string{"Label", "fettlebook-hub", "ProgramArguments", hub().Program}, hub().Args...)
	if !slices.Equal(words[:len(want)], want) || !slices.Contains(words, "/home/io/<log>") {
		t.Errorf("%q", words)
	}
}

func TestWindows(t *testing.T) {
	w := hub()
	w.Program, w.Args = `C:\my tools\fettlebook.exe`, []string{"hub", "run", "--data", `D:\shop\`}
	u, err := service.Of(service.Place{System: "windows"}, w)
	if want := `binPath= "\"C:\my tools\fettlebook.exe\" \"hub\" \"run\" \"--data\" \"D:\shop\\\\\""`; err != nil || u.File != "" || !strings.Contains(u.Text, want) {
		t.Errorf("%v %s, want %s", err, u.Text, want)
	}
}

func TestRefused(t *testing.T) {
	for name, change := range map[string]func(*service.Wanted){
		"no name": func(w *service.Wanted) { w.Name = "" }, "a path": func(w *service.Wanted) { w.Name = "../x" }, "capitals": func(w *service.Wanted) { w.Name = "Hub" },
		"a line break": func(w *service.Wanted) { w.Args = append(w.Args, "x\nExecStartPre=/bin/sh") }, "one in the name of the shop": func(w *service.Wanted) { w.About = "a\nb" },
	} {
		for _, system := range []string{"linux", "darwin", "windows"} {
			w := hub()
			change(&w)
			if u, err := service.Of(service.Place{System: system, Home: "/home/io"}, w); err == nil {
				t.Errorf("%s under %s: %+v", name, system, u)
			}
		}
	}
	if _, err := service.Of(service.Place{System: "plan9"}, hub()); !errors.Is(err, service.ErrSystem) {
		t.Errorf("another system: %v", err)
	}
}

// What is installed is written, read by the system and removed again; what the system does not
// take is said with what to do.
func TestInstall(t *testing.T) {
	u, err := service.Of(service.Place{System: "linux", Home: t.TempDir()}, hub())
	if err != nil {
		t.Fatal(err)
	}
	var ran []string
	trouble := error(nil)
	m := service.Manager{Exec: func(_ context.Context, name string, args ...string) error {
		ran = append(ran, strings.Join(append([]string{name}, args...), " "))
		return trouble
	}}
	if err := m.Remove(t.Context(), u); !errors.Is(err, service.ErrNone) {
		t.Errorf("removed what is not there: %v", err)
	}
	for range 2 { // again is the same
		ran = nil
		if err := m.Install(t.Context(), u); err != nil {
			t.Fatal(err)
		}
		if want := []string{"systemctl --user daemon-reload", "systemctl --user enable --now fettlebook-hub.service", "loginctl enable-linger"}; !slices.Equal(ran, want) {
			t.Errorf("ran %q, want %q", ran, want)
		}
		if raw, err := os.ReadFile(u.File); err != nil || string(raw) != u.Text {
			t.Errorf("%v %s", err, raw)
		}
	}
	other := u
	other.Text += "# of somebody else\n"
	if err := m.Install(t.Context(), other); !errors.Is(err, service.ErrThere) {
		t.Errorf("over another one: %v", err)
	}
	ran = nil
	if err := m.Remove(t.Context(), u); err != nil {
		t.Error(err)
	}
	if want := []string{"systemctl --user disable --now fettlebook-hub.service", "systemctl --user daemon-reload"}; !slices.Equal(ran, want) {
		t.Errorf("ran %q, want %q", ran, want)
	}
	if list, err := os.ReadDir(filepath.Dir(u.File)); err != nil || len(list) > 0 {
		t.Errorf("left: %v %v", list, err)
	}
	trouble = errors.New("System has not been booted with systemd")
	var unread *service.Unread
	if err := m.Install(t.Context(), u); !errors.As(err, &unread) || !strings.Contains(err.Error(), "systemctl --user enable --now fettlebook-hub.service") {
		t.Errorf("without systemd: %v", err)
	}
	if err := m.Remove(t.Context(), u); err == nil || !errors.Is(err, trouble) {
		t.Errorf("removed without systemd: %v", err)
	}
	if _, err := os.Stat(u.File); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("it is still there: %v", err)
	}
}
