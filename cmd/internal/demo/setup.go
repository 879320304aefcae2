package demo

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
)

// setUp founds the shop, starts the hub, and lets two tablets join.
func (d *Day) setUp(ctx context.Context) error {
	ports, err := freePorts(ctx, d.cfg.Rand, 2)
	if err != nil {
		return err
	}
	d.hub = d.hubIn(filepath.Join(d.cfg.Dir, "hub"))
	if _, err := d.command(ctx, "hub", "init", "--data", d.hub.dir, "--shop", "Tin Lantern Finishing", "--by", "io", "--initials", "IO",
		"--host", "127.0.0.1", "--desk-port", strconv.Itoa(ports[0]), "--broker-port", strconv.Itoa(ports[1])); err != nil {
		return err
	}
	if _, err := d.typed(ctx, Passphrase+"\n", "hub", "passphrase", "--data", d.hub.dir); err != nil {
		return err
	}
	if err := d.hub.start(ctx); err != nil {
		return err
	}
	d.say("the shop %q has a hub: tablets join at 127.0.0.1:%d and sync at 127.0.0.1:%d", "Tin Lantern Finishing", ports[0], ports[1])
	broker := net.JoinHostPort("127.0.0.1", strconv.Itoa(ports[1]))
	if d.cable, err = Lay(ctx, broker); err != nil {
		return err
	}
	if err := d.join(ctx, "bench 1", d.cable.Address()); err != nil {
		return err
	}
	return d.join(ctx, "bench 2", broker)
}

// join invites a tablet, lets it join, and starts it.
func (d *Day) join(ctx context.Context, name, broker string) error {
	out, err := d.command(ctx, "hub", "invite", "--data", d.hub.dir, "--by", "io", "--name", name, "--json")
	if err != nil {
		return err
	}
	var invited struct{ Invitation string }
	if err := json.Unmarshal(out, &invited); err != nil {
		return fmt.Errorf("read the invitation: %w", err)
	}
	dir := filepath.Join(d.cfg.Dir, strings.ReplaceAll(name, " ", "-"))
	if _, err := d.typed(ctx, invited.Invitation+"\n", "tablet", "join", "--data", dir); err != nil {
		return err
	}
	m := d.tabletIn(dir, name, broker)
	d.benchs[name] = m
	d.say("the tablet %q has joined with a one-time invitation", name)
	return m.start(ctx)
}

func (d *Day) hubIn(dir string) *machine {
	return &machine{name: "hub", dir: dir, program: d.cfg.Program, env: d.env(), args: []string{"hub", "run", "--data", dir, "--pages", "127.0.0.1:0"}}
}

func (d *Day) tabletIn(dir, name, broker string) *machine {
	return &machine{name: name, dir: dir, program: d.cfg.Program, env: d.env(), args: []string{"tablet", "run", "--data", dir, "--hub", broker, "--pages", "127.0.0.1:0"}}
}

// env hands the clock of the day to the programs of its machines.
func (d *Day) env() []string {
	if d.clock == nil {
		return nil
	}
	return []string{ClockVariable + "=" + d.clock.file.Name()}
}

// command runs this program once, as a person would.
func (d *Day) command(ctx context.Context, args ...string) ([]byte, error) {
	return d.typed(ctx, "", args...)
}

// typed runs this program once with something typed into it.
func (d *Day) typed(ctx context.Context, in string, args ...string) ([]byte, error) {
	cmd := exec.CommandContext(ctx, d.cfg.Program, args...)
	cmd.Stdin, cmd.Env = strings.NewReader(in), append(os.Environ(), d.env()...)
	var words bytes.Buffer
	cmd.Stderr = &words
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("fettlebook %s: %w: %s", strings.Join(args[:2], " "), err, strings.TrimSpace(words.String()))
	}
	return out, nil
}

// freePorts finds ports that nobody has, below those that a system gives to
// whoever connects somewhere: a hub that is killed must have its own again.
func freePorts(ctx context.Context, rand io.Reader, n int) ([]int, error) {
	const lowest, many = 20000, 12000
	var ports []int
	for tries := 0; len(ports) < n; tries++ {
		var drawn [2]byte
		if _, err := io.ReadFull(rand, drawn[:]); err != nil {
			return nil, fmt.Errorf("look for a free port: %w", err)
		}
		port := lowest + int(binary.BigEndian.Uint16(drawn[:]))%many
		l, err := (&net.ListenConfig{}).Listen(ctx, "tcp", net.JoinHostPort("127.0.0.1", strconv.Itoa(port)))
		if err != nil && tries < 100*n {
			continue
		}
		if err != nil {
			return nil, fmt.Errorf("look for a free port: %w", err)
		}
		defer l.Close()
		ports = append(ports, port)
	}
	return ports, nil
}
