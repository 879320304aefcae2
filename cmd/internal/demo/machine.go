package demo

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"time"

	"fettlebook/cmd/internal/control"

	"github.com/go-json-experiment/json/jsontext"
)

// machine is a hub or a tablet: a program of its own with its own folder.
type machine struct {
	name    string
	dir     string
	program string // this program's own file
	args    []string
	env     []string // besides that of this process

	cmd    *exec.Cmd
	ended  chan error
	words  *bytes.Buffer // what it said on standard error
	client *control.Client
}

// poll is how often the demo looks whether something has happened.
const poll = 50 * time.Millisecond

// patience is how long a machine may take for anything, among much else that
// goes on.
const patience = 3 * time.Minute

// start starts the program and waits until it takes commands.
func (m *machine) start(ctx context.Context) error {
	m.words = new(bytes.Buffer)
	m.cmd = exec.Command(m.program, m.args...)
	m.cmd.Stderr, m.cmd.Env = m.words, append(os.Environ(), m.env...)
	if err := m.cmd.Start(); err != nil {
		return fmt.Errorf("start %s: %w", m.name, err)
	}
	m.ended = make(chan error, 1)
	go func(cmd *exec.Cmd, ended chan<- error) { ended <- cmd.Wait() }(m.cmd, m.ended)
	return m.until(ctx, "take commands", func() (bool, error) {
		client, err := control.Dial(m.dir)
		if err != nil {
			return false, nil
		}
		var any map[string]any
		if err := client.Status(ctx, &any); err != nil {
			return false, nil // a door.json of its last life
		}
		m.client = client
		return true, nil
	})
}

// pages is where the machine's pages are.
func (m *machine) pages(ctx context.Context) (string, error) {
	var standing struct {
		Pages string         `json:"pages"`
		Rest  jsontext.Value `json:",unknown"`
	}
	if err := m.client.Status(ctx, &standing); err != nil {
		return "", fmt.Errorf("ask %s for its pages: %w", m.name, err)
	}
	return standing.Pages, nil
}

// until waits for something this machine does.
func (m *machine) until(ctx context.Context, what string, done func() (bool, error)) error {
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	tick := time.NewTicker(poll)
	defer tick.Stop()
	for {
		ok, err := done()
		if ok || err != nil {
			return err
		}
		select {
		case err := <-m.ended:
			m.ended <- err
			return fmt.Errorf("%s ended before it could %s: %s", m.name, what, strings.TrimSpace(m.words.String()))
		case <-ctx.Done():
			return fmt.Errorf("%s did not %s in time: %w", m.name, what, ctx.Err())
		case <-tick.C:
		}
	}
}

// kill ends the program with no warning.
func (m *machine) kill() error {
	if err := m.cmd.Process.Kill(); err != nil && !errors.Is(err, os.ErrProcessDone) {
		return fmt.Errorf("kill %s: %w", m.name, err)
	}
	<-m.ended
	return nil
}

// stop asks the program to end, and ends it if it does not.
func (m *machine) stop() error {
	if m.cmd == nil {
		return nil
	}
	// Ctrl-C reaches every program of the terminal, so it may have ended by itself.
	if err := interrupt(m.cmd.Process); err != nil && !errors.Is(err, os.ErrProcessDone) {
		return m.kill()
	}
	select {
	case err := <-m.ended:
		var exited *exec.ExitError
		if errors.As(err, &exited) && exited.ExitCode() < 0 {
			return nil // ended by the signal itself
		}
		return err
	case <-time.After(15 * time.Second):
		return m.kill()
	}
}
