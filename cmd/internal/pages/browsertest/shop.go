package browsertest

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/control"
	"fettlebook/cmd/internal/demo"
)

// Passphrase opens the desk of a shop in a test.
const Passphrase = "a lamp over the bench"

// Shop is a hub and its tablets, each the real program in a process of its
// own.
type Shop struct {
	t       *testing.T
	end     func(func())
	program string
	env     []string // besides that of the test
	dir     string   // of the machines that are added
	broker  string
	Hub     *Program
}

// Program is one running hub or tablet.
type Program struct {
	t     *testing.T
	args  []string
	env   []string
	bin   string
	Dir   string
	Pages string // where its pages are; they stay there over a restart
	// Line is the tablet's way to the hub, to be cut.
	Line  *demo.Cable
	cmd   *exec.Cmd
	words *bytes.Buffer
}

// Own is a shop of the test's own with a name, with nobody but io and jr and nothing on
// its shelf.
func (h *House) Own(t *testing.T, name string) *Shop {
	t.Helper()
	return open(t, h.Program(t), t.TempDir(), name, t.Cleanup)
}

// open begins a shop with two people, io and jr, and starts its hub.
func open(t *testing.T, program, dir, name string, end func(func())) *Shop {
	t.Helper()
	s := &Shop{t: t, end: end, program: program, dir: dir}
	desk, broker := port(t), port(t)
	s.broker = net.JoinHostPort("127.0.0.1", broker)
	hub := filepath.Join(s.dir, "hub")
	s.Command("", "hub", "init", "--data", hub, "--shop", name, "--by", "io", "--host", "127.0.0.1", "--desk-port", desk, "--broker-port", broker)
	s.Command(Passphrase, "hub", "passphrase", "--data", hub)
	s.Hub = &Program{Dir: hub}
	s.Add("person.added", "--subject", "person/jr", "person=jr", "initials=JR", "duties=bench", "duties=second check", "duties=release")
	s.Hub = s.start(hub, "hub", "run", "--data", hub, "--pages", "127.0.0.1:"+port(t))
	return s
}

// Unfounded is a machine on which no shop was begun yet: its program shows the
// page of a first start.
func (h *House) Unfounded(t *testing.T) *Shop {
	t.Helper()
	return h.fresh(t, "hub", "run")
}

// Fresh is a machine on which nobody chose yet what it is to be, as a double click on the
// program leaves it. Its bench gets a free port.
func (h *House) Fresh(t *testing.T) *Shop {
	t.Helper()
	return h.fresh(t, "start", "--no-browser", "--bench-pages", "127.0.0.1:0")
}

func (h *House) fresh(t *testing.T, command ...string) *Shop {
	t.Helper()
	s := &Shop{t: t, end: t.Cleanup, program: h.Program(t), dir: t.TempDir()}
	desk, broker, here := port(t), port(t), port(t)
	s.broker = net.JoinHostPort("127.0.0.1", broker)
	s.Hub = &Program{t: t, bin: s.program, Dir: filepath.Join(s.dir, "hub"), Pages: "http://127.0.0.1:" + here, words: new(bytes.Buffer)}
	s.Hub.cmd = exec.Command(s.program, append(command, "--data", s.Hub.Dir, "--pages", "127.0.0.1:"+here, "--host", "127.0.0.1", "--desk-port", desk, "--broker-port", broker)...)
	s.Hub.cmd.Stdout, s.Hub.cmd.Stderr = s.Hub.words, s.Hub.words
	if err := s.Hub.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Hub.stop)
	ctx, cancel := context.WithTimeout(t.Context(), limit)
	defer cancel()
	for tick := time.NewTicker(poll); ; {
		if c, err := (&net.Dialer{}).DialContext(ctx, "tcp", "127.0.0.1:"+here); err == nil {
			c.Close()
			tick.Stop()
			return s
		}
		select {
		case <-ctx.Done():
			t.Fatal("the program did not start")
		case <-tick.C:
		}
	}
}

// Add adds an entry at the hub.
func (s *Shop) Add(args ...string) {
	s.t.Helper()
	s.Command("", append([]string{"add", "--data", s.Hub.Dir, "--by", "io"}, args...)...)
}

// Tablet invites a tablet, lets it join, and starts it behind a line of its
// own.
func (s *Shop) Tablet(name string, more ...string) *Program {
	s.t.Helper()
	var invited struct{ Invitation string }
	if err := json.Unmarshal(s.Command("", "hub", "invite", "--data", s.Hub.Dir, "--by", "io", "--name", name, "--json"), &invited); err != nil {
		s.t.Fatal(err)
	}
	return s.Joined(name, invited.Invitation, more...)
}

// Joined lets a tablet join with an invitation and starts it.
func (s *Shop) Joined(name, invitation string, more ...string) *Program {
	s.t.Helper()
	dir := filepath.Join(s.dir, strings.ReplaceAll(name, " ", "-"))
	s.Command(invitation, "tablet", "join", "--data", dir)
	return s.plug(dir, more...)
}

// Command runs the program once, with something typed into it.
func (s *Shop) Command(typed string, args ...string) []byte {
	s.t.Helper()
	cmd := exec.Command(s.program, args...)
	cmd.Stdin, cmd.Env = strings.NewReader(typed), append(os.Environ(), s.env...)
	var words bytes.Buffer
	cmd.Stderr = &words
	out, err := cmd.Output()
	if err != nil {
		s.t.Fatalf("fettlebook %s: %v\n%s", strings.Join(args, " "), err, words.String())
	}
	return out
}

// SignedIn is a tab at the shop's desk that was let in, on a page of it.
func SignedIn(t *testing.T, shop *Shop, b *Browser, back string) *Page {
	t.Helper()
	desk := b.Page(Landscape).For(t)
	desk.Open(shop.Hub.Pages + "/signin?back=" + back)
	desk.Fill("Passphrase", Passphrase)
	desk.Go("Sign in")
	return desk
}

func (s *Shop) start(dir string, args ...string) *Program {
	s.t.Helper()
	p := &Program{t: s.t, bin: s.program, args: args, env: s.env, Dir: dir}
	p.Start()
	s.end(p.stop)
	return p
}

// Start starts the program and waits until its door and its pages are open.
func (p *Program) Start() {
	p.t.Helper()
	p.words = new(bytes.Buffer)
	p.cmd = exec.Command(p.bin, p.args...)
	p.cmd.Stdout, p.cmd.Stderr, p.cmd.Env = p.words, p.words, append(os.Environ(), p.env...)
	if err := p.cmd.Start(); err != nil {
		p.t.Fatal(err)
	}
	p.until("opens its pages", func(s standing) bool {
		p.Pages = s.Pages
		return s.Pages != ""
	})
}

// standing is what a program says at its door of how it stands.
type standing struct {
	Pages    string `json:"pages"`
	CaughtUp bool   `json:"caught_up"` // of a tablet: it holds what the hub holds
}

// until waits until the program stands in a way.
func (p *Program) until(what string, stands func(standing) bool) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.t.Context(), limit)
	defer cancel()
	tick := time.NewTicker(poll)
	defer tick.Stop()
	for {
		var s standing
		if g, err := control.Dial(p.Dir); err == nil && g.Status(ctx, &s) == nil && stands(s) { // else there is no door yet, or that of its last life
			return
		}
		select {
		case <-ctx.Done():
			p.t.Fatalf("waited in vain until %s %s: %s", strings.Join(p.args, " "), what, p.words)
		case <-tick.C:
		}
	}
}

// Kill ends the program with no warning.
func (p *Program) Kill() {
	p.t.Helper()
	if err := p.cmd.Process.Kill(); err != nil {
		p.t.Error(err)
	}
	_ = p.cmd.Wait() // it was killed
	p.cmd = nil
}

// stop ends the program, if it runs, when nobody looks any more.
func (p *Program) stop() {
	if p.cmd == nil {
		return
	}
	_ = p.cmd.Process.Kill() // it may have ended by itself
	_ = p.cmd.Wait()
	p.cmd = nil
	said := p.words.String()
	for line := range strings.Lines(said) {
		if strings.Contains(line, "show page") { // a page that could not be shown is why a test waits in vain
			fmt.Fprint(os.Stderr, p.Dir, ": ", line)
		}
	}
	if at := strings.Index(said, "panic"); at >= 0 {
		fmt.Fprint(os.Stderr, p.Dir, ": ", said[at:])
	}
}

// port finds a port that nobody has.
func port(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return strconv.Itoa(l.Addr().(*net.TCPAddr).Port)
}

// Photo writes a photograph into a file.
func Photo(t *testing.T, name string, write func(f *os.File) error) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), name)
	f, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	if err := write(f); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	return file
}
