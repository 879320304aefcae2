package service

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"path"
	"strings"
)

// Wanted is what is to start with the machine.
type Wanted struct {
	Name    string // of the service: letters, digits and hyphens
	About   string // in a few words
	Program string // with its whole path
	Args    []string
	Log     string // the file for what the program says, where the system keeps none
	// User is who it runs as where it is everybody's; "" starts it as one person's own.
	User string
}

// Place is the system and the person on it.
type Place struct {
	System string // as GOOS has it
	Home   string
	UID    int
}

// Unit is the file that has something start with the machine, with the commands that make the
// system read it, and those that have it forget.
type Unit struct {
	File  string // "" where the system keeps it itself
	Text  string
	Begin [][]string
	End   [][]string // before the file goes
	After [][]string // and after that
}

// ErrSystem is wrapped on a system that starts programs in a way that is not known here.
var ErrSystem = errors.New("how this system starts programs is not known here; have it run the command that `service install --print` shows under Linux")

// Of makes the unit.
func Of(p Place, w Wanted) (Unit, error) {
	if w.Name == "" || strings.Trim(w.Name, "abcdefghijklmnopqrstuvwxyz0123456789-") != "" {
		return Unit{}, fmt.Errorf("the name of a service has small letters, digits and hyphens; %q has others", w.Name)
	}
	for _, word := range append([]string{w.Program, w.About, w.User, w.Log}, w.Args...) {
		if strings.ContainsAny(word, "\n\r\x00") {
			return Unit{}, fmt.Errorf("%q has a line break in it, which no service can have", word)
		}
	}
	switch p.System {
	case "linux":
		return systemd(p, w), nil
	case "darwin":
		return launchd(p, w), nil
	case "windows":
		return windowsService(w), nil
	}
	return Unit{}, fmt.Errorf("%w (%s)", ErrSystem, p.System)
}

// systemd is the unit as systemd.unit(5) and systemd.service(5) have it. A program that ended
// since the command line, the input or the data is wrong is not started again: it would end
// again.
func systemd(p Place, w Wanted) Unit {
	ctl, file, wanted, user := []string{"systemctl", "--user"}, path.Join(p.Home, ".config/systemd/user", w.Name+".service"), "default.target", ""
	if w.User != "" {
		ctl, file, wanted, user = []string{"systemctl"}, path.Join("/etc/systemd/system", w.Name+".service"), "multi-user.target", "User="+w.User+"\n"
	}
	var b strings.Builder
	fmt.Fprintf(&b, "[Unit]\nDescription=%s\nAfter=network.target\n\n[Service]\n%sExecStart=%s", strings.ReplaceAll(w.About, "%", "%%"), user, systemdWord(w.Program))
	for _, a := range w.Args {
		fmt.Fprintf(&b, " %s", systemdWord(a))
	}
	fmt.Fprintf(&b, "\nRestart=on-failure\nRestartSec=5\nRestartPreventExitStatus=2 3 4 6 8\nTimeoutStopSec=60\n\n[Install]\nWantedBy=%s\n", wanted)
	with := func(more ...string) []string { return append(append([]string{}, ctl...), more...) }
	u := Unit{File: file, Text: b.String(), Begin: [][]string{with("daemon-reload"), with("enable", "--now", w.Name+".service")},
		End: [][]string{with("disable", "--now", w.Name+".service")}, After: [][]string{with("daemon-reload")}}
	if w.User == "" { // or it would start when the person signs in, and end with the session
		u.Begin = append(u.Begin, []string{"loginctl", "enable-linger"})
	}
	return u
}

// systemdWord is one word of a command line: in quotes, with what systemd would put in its
// place taken as it is.
func systemdWord(word string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, `%`, `%%`, `$`, `$$`).Replace(word) + `"`
}

// launchd is the agent as launchd.plist(5) has it.
func launchd(p Place, w Wanted) Unit {
	file, domain, user := path.Join(p.Home, "Library/LaunchAgents", w.Name+".plist"), fmt.Sprintf("gui/%d", p.UID), ""
	if w.User != "" {
		file, domain, user = path.Join("/Library/LaunchDaemons", w.Name+".plist"), "system", "\t<key>UserName</key>\n\t<string>"+escaped(w.User)+"</string>\n"
	}
	var b strings.Builder
	b.WriteString("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<!DOCTYPE plist PUBLIC \"-//Apple//DTD PLIST 1.0//EN\" \"http://www.apple.com/DTDs/PropertyList-1.0.dtd\">\n<plist version=\"1.0\">\n<dict>\n")
	fmt.Fprintf(&b, "\t<key>Label</key>\n\t<string>%s</string>\n\t<key>ProgramArguments</key>\n\t<array>\n", escaped(w.Name))
	for _, word := range append([]string{w.Program}, w.Args...) {
		fmt.Fprintf(&b, "\t\t<string>%s</string>\n", escaped(word))
	}
	fmt.Fprintf(&b, "\t</array>\n%s\t<key>RunAtLoad</key>\n\t<true/>\n\t<key>KeepAlive</key>\n\t<dict>\n\t\t<key>SuccessfulExit</key>\n\t\t<false/>\n\t</dict>\n\t<key>ThrottleInterval</key>\n\t<integer>30</integer>\n", user)
	fmt.Fprintf(&b, "\t<key>StandardErrorPath</key>\n\t<string>%s</string>\n</dict>\n</plist>\n", escaped(w.Log))
	return Unit{File: file, Text: b.String(), Begin: [][]string{{"launchctl", "bootstrap", domain, file}}, End: [][]string{{"launchctl", "bootout", domain + "/" + w.Name}}}
}

func escaped(text string) string {
	var b bytes.Buffer
	_ = xml.EscapeText(&b, []byte(text)) // into memory
	return b.String()
}

// windowsService has no file: the system keeps services itself. The text is what would be typed to
// the same end.
func windowsService(w Wanted) Unit {
	line := windowsWord(w.Program)
	for _, a := range w.Args {
		line += " " + windowsWord(a)
	}
	return Unit{Text: fmt.Sprintf("sc.exe create %s start= delayed-auto DisplayName= %s binPath= %s\r\n", w.Name, windowsWord(w.About), windowsWord(line))}
}

// windowsWord is one word of a command line as CommandLineToArgvW reads it.
func windowsWord(word string) string {
	var b strings.Builder
	b.WriteByte('"')
	slashes := 0
	for _, r := range word {
		switch r {
		case '\\':
			slashes++
			continue
		case '"':
			b.WriteString(strings.Repeat(`\`, 2*slashes+1))
		default:
			b.WriteString(strings.Repeat(`\`, slashes))
		}
		slashes = 0
		b.WriteRune(r)
	}
	b.WriteString(strings.Repeat(`\`, 2*slashes))
	b.WriteByte('"')
	return b.String()
}
