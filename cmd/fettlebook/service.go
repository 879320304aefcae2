package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/service"

	"github.com/alecthomas/kong"
)

// services are the commands that have the program start with the machine.
type services struct {
	Install serviceInstall `cmd:"" help:"Have the hub or tablet of the data folder start with this machine."`
	Remove  serviceRemove  `cmd:"" help:"Have it start with this machine no more."`
}

type serviceInstall struct {
	Name  string   `help:"What the service is called; left out, fettlebook-hub or fettlebook-tablet." placeholder:"NAME"`
	User  string   `help:"Install it for the whole machine, to run as this person; left out, it is your own." placeholder:"USER"`
	Print bool     `help:"Print what would be written and run, and do nothing."`
	Args  []string `arg:"" optional:"" passthrough:"" help:"Flags for hub run or tablet run, after --." placeholder:"FLAGS"`
}

type serviceRemove struct {
	Name string `help:"What the service is called; left out, fettlebook-hub or fettlebook-tablet." placeholder:"NAME"`
	User string `help:"Whom it runs as, if it was installed for the whole machine." placeholder:"USER"`
}

// wanted is what is to start: the program that is at work here, on the data folder.
func wanted(t *terminal, name, user string, args []string) (service.Wanted, error) {
	id, err := folder.ReadIdentity(t.Data)
	if err != nil {
		return service.Wanted{}, err
	}
	dir, err := filepath.Abs(t.Data)
	if err != nil {
		return service.Wanted{}, err
	}
	program, err := os.Executable()
	if err != nil {
		return service.Wanted{}, fmt.Errorf("find the program’s own file: %w", err)
	}
	run := []string{"hub", "run"}
	switch {
	case id.Role == folder.Tablet:
		run[0] = "tablet"
	case id.Role != folder.Hub:
		return service.Wanted{}, folder.ErrNoFolder
	case hasBench(dir):
		run = append(run, "--bench")
	}
	if name == "" {
		name = "fettlebook-" + run[0]
	}
	if len(args) > 0 && args[0] == "--" {
		args = args[1:]
	}
	if err := starts(append(run, args...)); err != nil {
		return service.Wanted{}, err
	}
	return service.Wanted{Name: name, About: fmt.Sprintf("fettlebook: %s of %s", run[0], id.ShopName), Program: program, User: user,
		Args: append(append(run, "--data", dir), args...), Log: filepath.Join(dir, "service.log")}, nil
}

// starts refuses a command line that the program would not begin with: a service that
// is installed with it would fail at each start, where nobody looks.
func starts(line []string) error {
	parser, err := kong.New(new(commands), kong.Writers(io.Discard, io.Discard), kong.Exit(func(int) {}))
	if err != nil {
		return fmt.Errorf("read the flags of the service: %w", err)
	}
	if _, err := parser.Parse(line); err != nil {
		return &exit.Error{Status: exit.Usage, Sentence: fmt.Sprintf("a service cannot begin with `fettlebook %s`: %v", strings.Join(line, " "), err), Err: err}
	}
	return nil
}

// startsBy is how this machine starts it.
func startsBy(t *terminal, w service.Wanted) (service.Unit, error) {
	home, err := os.UserHomeDir()
	if err != nil && w.User == "" {
		return service.Unit{}, fmt.Errorf("find your own folder: %w", err)
	}
	u, err := service.Of(service.Place{System: runtime.GOOS, Home: home, UID: os.Getuid()}, w)
	if err != nil {
		return u, &exit.Error{Status: exit.Refused, Sentence: err.Error(), Err: err}
	}
	return u, nil
}

// manager runs the system's own commands.
func manager() service.Manager {
	return service.Manager{Exec: func(ctx context.Context, name string, args ...string) error {
		said, err := exec.CommandContext(ctx, name, args...).CombinedOutput()
		if err != nil {
			return fmt.Errorf("%s %s: %w %s", name, strings.Join(args, " "), err, oneLine(strings.TrimSpace(string(said))))
		}
		return nil
	}}
}

// Run installs the service, or shows what that would be.
func (c *serviceInstall) Run(ctx context.Context, t *terminal) error {
	w, err := wanted(t, c.Name, c.User, c.Args)
	if err != nil {
		return err
	}
	u, err := startsBy(t, w)
	if err != nil {
		return err
	}
	if c.Print {
		if u.File != "" {
			fmt.Fprintf(t.Out, "# %s\n", u.File)
		}
		fmt.Fprint(t.Out, u.Text)
		for _, line := range u.Begin {
			fmt.Fprintf(t.Out, "# then: %s\n", strings.Join(line, " "))
		}
		return nil
	}
	if u.File == "" {
		err = service.Keep(w)
	} else {
		err = manager().Install(ctx, u)
	}
	if err := serviceRefused(err); err != nil {
		return err
	}
	_, err = fmt.Fprintf(t.Out, "%s starts with this machine from now on, and was started. `fettlebook service remove` ends that.\n", w.Name)
	return err
}

// Run removes the service.
func (c *serviceRemove) Run(ctx context.Context, t *terminal) error {
	w, err := wanted(t, c.Name, c.User, nil)
	if err != nil {
		return err
	}
	u, err := startsBy(t, w)
	if err != nil {
		return err
	}
	if u.File == "" {
		err = service.Forget(w.Name)
	} else {
		err = manager().Remove(ctx, u)
	}
	if err := serviceRefused(err); err != nil {
		return err
	}
	_, err = fmt.Fprintf(t.Out, "%s does not start with this machine any more. The data folder stays as it is.\n", w.Name)
	return err
}

func serviceRefused(err error) error {
	switch {
	case errors.Is(err, service.ErrNone):
		return &exit.Error{Status: exit.NotFound, Sentence: err.Error(), Err: err}
	case errors.Is(err, service.ErrThere):
		return &exit.Error{Status: exit.Refused, Sentence: err.Error(), Err: err}
	}
	return err
}
