package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/control"
	"fettlebook/cmd/internal/demo"
	"fettlebook/media/mediatest"
)

const readme = "../../README.md"

// example is a fenced block of the README that is to be run: commands, or a
// command with what it prints.
type example struct {
	line     int // of the fence
	commands []string
	prints   []string // after a $; a line of … stands for any lines
}

var fence = regexp.MustCompile("(?ms)^```(\\w*)\n(.*?)^```$")

// examplesOf finds all examples. A fence without a language that is no command
// with its output is a drawing.
func examplesOf(t *testing.T, text string) (list []example, drawings int) {
	t.Helper()
	for _, at := range fence.FindAllStringSubmatchIndex(text, -1) {
		language, body := text[at[2]:at[3]], strings.TrimSuffix(text[at[4]:at[5]], "\n")
		e := example{line: 1 + strings.Count(text[:at[0]], "\n")}
		lines := strings.Split(body, "\n")
		switch command, typed := strings.CutPrefix(lines[0], "$ "); {
		case language == "sh":
			e.commands = lines
		case typed:
			e.commands, e.prints = []string{command}, lines[1:]
		case language == "":
			drawings++
			continue
		default:
			t.Fatalf("README line %d: nobody knows how to run %q", e.line, language)
		}
		list = append(list, e)
	}
	return list, drawings
}

// TestReadme runs the README's examples, from the first to the last, as a
// reader does: in one folder, with one shop. What it replaces is named in
// readerOf.
func TestReadme(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	examples, drawings := examplesOf(t, string(raw))
	if len(examples) < 8 || drawings != 1 {
		t.Fatalf("%d examples and %d drawings; the way in which examples are found has lost some", len(examples), drawings)
	}
	r := readerOf(t)
	for _, e := range examples {
		for _, command := range e.commands {
			r.follow(e, command)
		}
		if t.Failed() {
			return // what comes next rests on it
		}
	}
	r.use(example{}, []string{"holds", r.instead["9jev"], "--all"}, "")
	if strings.Contains(r.said, "not masked yet") { // of the part that an example masks
		t.Errorf("the README masks less than its preset has:\n%s", r.said)
	}
	for from := range r.instead {
		if !r.replaced[from] {
			t.Errorf("%q stands nowhere in the README's examples", from)
		}
	}
}

// reader follows the README.
type reader struct {
	*testing.T
	dir      string
	env      []string
	instead  map[string]string // what stands there, and what is run
	replaced map[string]bool
	said     string // by the last command

	invitation string // that was made last
}

func readerOf(t *testing.T) *reader {
	t.Helper()
	r := &reader{T: t, dir: t.TempDir(), replaced: map[string]bool{}}
	clock := filepath.Join(r.dir, "clock") // the day at which the README's dates are right
	set, err := demo.SetClock(clock, time.Date(2026, 5, 12, 8, 0, 0, 0, time.UTC), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { set.Close() })
	r.env = append(os.Environ(), demo.ClockVariable+"="+clock, "TZ=UTC", "FETTLEBOOK_DATA=", "FETTLEBOOK_BY=")
	desk, broker := freePort(t), freePort(t)
	r.instead = map[string]string{
		// Ports that nobody else on this machine has.
		"hub init":   "hub init --host 127.0.0.1 --desk-port " + desk + " --broker-port " + broker,
		"hub run":    "hub run --pages 127.0.0.1:0",
		"tablet run": "tablet run --pages 127.0.0.1:0",
		// A disk that this machine may have.
		"/media/other-disk": filepath.Join(r.dir, "other-disk"),
		// What differs from run to run; it is known when it was said.
		"9jev": "",
	}
	// What the README takes for granted: photographs, and the repository.
	bake := filepath.Join("testdata", "bake.csv")
	for name, content := range map[string][]byte{"masked.jpg": mediatest.JPEG(mediatest.Corners(800, 600), 85, nil), bake: read(t, filepath.Join("..", "..", bake))} {
		file := filepath.Join(r.dir, name)
		if err := errors.Join(os.MkdirAll(filepath.Dir(file), 0o755), os.WriteFile(file, content, 0o600)); err != nil {
			t.Fatal(err)
		}
	}
	return r
}

func read(t *testing.T, name string) []byte {
	t.Helper()
	raw, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

func freePort(t *testing.T) string {
	t.Helper()
	l, err := (&net.ListenConfig{}).Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return strconv.Itoa(l.Addr().(*net.TCPAddr).Port)
}

// follow does what a line of an example says.
func (r *reader) follow(e example, line string) {
	r.Helper()
	if strings.HasPrefix(line, "# edit ours.yaml") {
		card := filepath.Join(r.dir, "ours.yaml")
		edited := strings.Replace(string(read(r.T, card)), "\nedition: 1\n", "\nedition: 2\n", 1)
		if err := os.WriteFile(card, []byte(edited), 0o600); err != nil {
			r.Fatal(err)
		}
		return
	}
	if line == "" || strings.HasPrefix(line, "go test ./... ") {
		return // this is one of the tests
	}
	for from, to := range r.instead {
		if strings.Contains(line, from) {
			if to == "" {
				r.Fatalf("README line %d: %q is not known yet: %s", e.line, from, line)
			}
			line, r.replaced[from] = strings.ReplaceAll(line, from, to), true
		}
	}
	line = strings.Replace(line, "go run ./cmd/fettlebook ", "fettlebook ", 1)
	words, into := split(r.T, line)
	switch {
	case words[0] == "export":
		for _, setting := range words[1:] {
			name, _, _ := strings.Cut(setting, "=")
			if name == "FETTLEBOOK_DATA" {
				setting = "FETTLEBOOK_DATA=" + filepath.Join(r.dir, strings.TrimPrefix(setting, "FETTLEBOOK_DATA="))
			}
			r.env = append(r.env, setting)
		}
	case words[0] != "fettlebook":
		r.Fatalf("README line %d: it runs %q", e.line, words[0])
	case words[1] == "demo":
		r.stays(e, words[1:], func(told string) bool { return strings.Contains(told, "Ctrl-C ends the day.") })
	case len(words) > 2 && words[2] == "run":
		data := filepath.Join(r.dir, words[len(words)-1])
		r.stays(e, words[1:], func(string) bool {
			door, err := control.Dial(data)
			var standing map[string]any
			if err != nil || door.Status(r.Context(), &standing) != nil {
				return false
			}
			return words[1] == "hub" || standing["caught_up"] == true // a reader comes to the bench later
		})
	default:
		r.use(e, words[1:], into)
	}
}

// use runs a command and holds what it prints against the README.
func (r *reader) use(e example, args []string, into string) {
	r.Helper()
	cmd := exec.CommandContext(r.Context(), "fettlebook", args...)
	cmd.Dir, cmd.Env, cmd.Stdin = r.dir, r.env, strings.NewReader(r.typed(args))
	var out, complaint bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &complaint
	if err := cmd.Run(); err != nil {
		r.Fatalf("README line %d: %q: %v\n%s%s", e.line, args, err, &out, &complaint)
	}
	switch r.said = out.String(); {
	case into != "":
		if err := os.WriteFile(filepath.Join(r.dir, into), out.Bytes(), 0o600); err != nil {
			r.Fatal(err)
		}
	case args[0] == "open":
		r.instead["9jev"] = regexp.MustCompile(`[0-9a-z]{8}`).FindString(r.said)
	case args[0] == "hub" && args[1] == "invite":
		r.invitation = regexp.MustCompile(`FETTLE1\.\S+`).FindString(r.said)
	}
	if e.prints != nil && !fits(e.prints, strings.Split(strings.TrimSuffix(r.said, "\n"), "\n")) {
		r.Errorf("README line %d: %q prints\n%s", e.line, args, r.said)
	}
}

// typed is what a person types when a command asks.
func (r *reader) typed(args []string) string {
	if args[0] == "tablet" && args[1] == "join" {
		return r.invitation + "\n"
	}
	return "a passphrase of a few words\n"
}

// stays starts what stays up until the test ends, and waits until it is there.
func (r *reader) stays(e example, args []string, there func(told string) bool) {
	r.Helper()
	ctx, stop := context.WithCancel(context.WithoutCancel(r.Context()))
	cmd := exec.CommandContext(ctx, "fettlebook", args...)
	cmd.Dir, cmd.Env = r.dir, r.env
	cmd.Cancel = func() error { return cmd.Process.Signal(os.Interrupt) }
	told, err := os.CreateTemp(r.TempDir(), "told")
	if err != nil {
		r.Fatal(err)
	}
	cmd.Stdout, cmd.Stderr = io.Discard, told
	if err := cmd.Start(); err != nil {
		r.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	r.Cleanup(func() {
		stop()
		<-ended
		told.Close()
	})
	limit, again := time.After(3*time.Minute), time.NewTicker(50*time.Millisecond)
	defer again.Stop()
	for {
		said := string(read(r.T, told.Name()))
		if there(said) {
			return
		}
		select {
		case err := <-ended:
			ended <- err
			r.Fatalf("README line %d: %q ended: %v\n%s", e.line, args, err, said)
		case <-limit:
			r.Fatalf("README line %d: %q was not there in time\n%s", e.line, args, said)
		case <-again.C:
		}
	}
}

// split splits a line into words as a shell does: quotes hold together what
// stands in them, # begins a remark, > names a file.
func split(t *testing.T, line string) (words []string, into string) {
	t.Helper()
	var word strings.Builder
	begun, quote := false, rune(0)
	end := func() {
		if begun {
			words = append(words, word.String())
		}
		word.Reset()
		begun = false
	}
	for _, c := range line {
		switch {
		case quote != 0 && c == quote:
			quote = 0
		case quote != 0:
			word.WriteRune(c)
		case c == '"' || c == '\'':
			quote, begun = c, true
		case c == ' ':
			end()
		case c == '#' && !begun:
			return words, into
		default:
			begun = true
			word.WriteRune(c)
		}
	}
	end()
	if quote != 0 || len(words) == 0 {
		t.Fatalf("this is no command: %s", line)
	}
	if n := len(words); n > 2 && words[n-2] == ">" {
		return words[:n-2], words[n-1]
	}
	return words, ""
}

// fits reports whether lines are those of a text in which a line of … stands
// for any lines.
func fits(text, lines []string) bool {
	if len(text) == 0 {
		return len(lines) == 0
	}
	if text[0] == "…" {
		for i := range len(lines) + 1 {
			if fits(text[1:], lines[i:]) {
				return true
			}
		}
		return false
	}
	return len(lines) > 0 && text[0] == lines[0] && fits(text[1:], lines[1:])
}

// TestReadmePoints: what the README points at is there, its picture is small,
// and each measurement names a benchmark or a test that there is.
func TestReadmePoints(t *testing.T) {
	text := string(read(t, readme))
	pictures := regexp.MustCompile(`!\[[^\]]+\]\(([^)]+)\)`).FindAllStringSubmatch(text, -1)
	if len(pictures) == 0 {
		t.Error("there is no picture")
	}
	for _, p := range pictures {
		if raw := read(t, filepath.Join("..", "..", p[1])); len(raw) > 160<<10 {
			t.Errorf("%s has %d bytes", p[1], len(raw))
		}
	}
	_, rest, _ := strings.Cut(text, "\n## Measured\n")
	table, _, _ := strings.Cut(rest, "\n## ")
	measured := regexp.MustCompile(`go test (\./\S+) .*?-(?:bench|run) '?([A-Za-z|.]+)'?(?: -bench '?([A-Za-z.]+)'?)?`).FindAllStringSubmatch(table, -1)
	if len(measured) < 8 {
		t.Errorf("%d measurements name their command", len(measured))
	}
	for _, m := range measured {
		files, err := filepath.Glob(filepath.Join("..", "..", m[1], "*_test.go"))
		if err != nil || len(files) == 0 {
			t.Errorf("%s: no tests are there (%v)", m[1], err)
			continue
		}
		var all strings.Builder
		for _, file := range files {
			all.Write(read(t, file))
		}
		name := strings.Trim(m[2], ".|")
		if m[3] != "" {
			name = strings.Trim(m[3], ".")
		}
		if ok, err := regexp.MatchString(fmt.Sprintf(`func (Benchmark|Test)\w*(%s)`, strings.TrimPrefix(name, "Test")), all.String()); err != nil || !ok {
			t.Errorf("%s has no benchmark or test %q (%v)", m[1], name, err)
		}
	}
}
