package shoptest_test

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"runtime/debug"
	"runtime/pprof"
	"strings"
	"testing"
	"time"

	"fettlebook/sync/segment"
	"fettlebook/sync/shoptest"
)

// A benchmark measures hub and tablet as the two processes that they are in a
// shop: the test binary starts itself with a role.
const (
	roleVariable    = "SHOPTEST_ROLE"
	folderVariable  = "SHOPTEST_FOLDER"
	profileVariable = "SHOPTEST_PROFILE" // folder for CPU profiles, if wanted
)

// report is what a tablet says when it is done.
type report struct {
	Seconds float64
	Entries int64
}

func playRole() int {
	role := os.Getenv(roleVariable)
	stop := profile(role)
	defer stop()
	var err error
	switch role {
	case "hub":
		err = playHub()
	case "tablet":
		err = playTablet()
	case "insider":
		err = playInsider()
	default:
		err = fmt.Errorf("no such role: %s", role)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, role+":", err)
		return 1
	}
	return 0
}

func profile(role string) (stop func()) {
	dir := os.Getenv(profileVariable)
	if dir == "" {
		return func() {}
	}
	f, err := os.Create(dir + "/" + role + ".prof")
	if err != nil {
		return func() {}
	}
	if err := pprof.StartCPUProfile(f); err != nil {
		return func() {}
	}
	return func() { pprof.StopCPUProfile(); f.Close() }
}

// playHub runs a hub until its input ends. It says an invitation first, and another for
// each line.
func playHub() error {
	debug.SetMemoryLimit(180 << 20)
	ctx := context.Background()
	hub, err := shoptest.Start(ctx, os.Getenv(folderVariable), shoptest.Settings{})
	if err != nil {
		return err
	}
	<-hub.Hub.Ready()
	asked := bufio.NewScanner(os.Stdin)
	for {
		i, err := hub.Invite(ctx, "", time.Now().Add(time.Hour))
		if err != nil {
			return err
		}
		fmt.Println(i)
		if !asked.Scan() {
			return errors.Join(asked.Err(), hub.Close())
		}
	}
}

// playTablet connects and says how long it took until the hub had
// countersigned all that lies here. It stays until its input ends, so that its
// memory can be read.
func playTablet() error {
	debug.SetMemoryLimit(90 << 20)
	ctx := context.Background()
	bench, err := shoptest.OpenBench(ctx, os.Getenv(folderVariable), nil)
	if err != nil {
		return err
	}
	head, err := bench.DB.Head(ctx, bench.ID.Device)
	if err != nil {
		return err
	}
	woken := bench.DB.Woken()
	begin := time.Now()
	if err := bench.Connect(ctx, shoptest.Connection{}); err != nil {
		return err
	}
	for limit := time.After(5 * time.Minute); ; {
		c, err := bench.DB.LastCountersigned(ctx, bench.ID.Device)
		if err != nil {
			return err
		}
		if c.Size >= head.Size {
			break
		}
		select {
		case <-woken:
		case <-limit:
			return fmt.Errorf("countersigned %d of %d; %+v", c.Size, head.Size, bench.Uplink.Status())
		}
	}
	if err := json.NewEncoder(os.Stdout).Encode(report{time.Since(begin).Seconds(), head.Size}); err != nil {
		return err
	}
	if _, err := io.Copy(io.Discard, os.Stdin); err != nil {
		return err
	}
	return bench.Close()
}

// process is a role at work.
type process struct {
	cmd *exec.Cmd
	in  io.WriteCloser
	out *bufio.Reader
}

func start(b testing.TB, role, folder string) *process {
	b.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), roleVariable+"="+role, folderVariable+"="+folder)
	cmd.Stderr = os.Stderr
	in, err := cmd.StdinPipe()
	if err != nil {
		b.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		b.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		b.Fatal(err)
	}
	return &process{cmd, in, bufio.NewReader(out)}
}

func (p *process) line(b testing.TB) string {
	b.Helper()
	text, err := p.out.ReadString('\n')
	if err != nil {
		b.Fatalf("%s said nothing: %v", p.cmd.Args[0], err)
	}
	return text
}

func (p *process) end(b testing.TB) {
	b.Helper()
	p.in.Close()
	if err := p.cmd.Wait(); err != nil {
		b.Error(err)
	}
}

// peak returns the most memory that the process ever had, in MiB, and 0 where
// the system does not say.
func (p *process) peak(b testing.TB) float64 {
	b.Helper()
	raw, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", p.cmd.Process.Pid))
	if err != nil {
		return 0
	}
	for line := range strings.Lines(string(raw)) {
		var kib float64
		if _, err := fmt.Sscanf(line, "VmHWM: %f kB", &kib); err == nil {
			return kib / 1024
		}
	}
	return 0
}

func parse(b testing.TB, text string) segment.Invitation {
	b.Helper()
	i, err := segment.ParseInvitation(text)
	if err != nil {
		b.Fatal(err)
	}
	return i
}
