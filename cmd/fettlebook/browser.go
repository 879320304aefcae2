package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"runtime"
)

// errNoDisplay is returned where there is nothing that a browser could show itself on.
var errNoDisplay = errors.New("this machine has no display")

// openBrowser opens an address in the browser of who sits at this machine. It does not wait
// for the browser to end.
func openBrowser(ctx context.Context, address string) error {
	command, err := browserCommand(runtime.GOOS, os.Getenv)
	if err != nil {
		return err
	}
	cmd := exec.CommandContext(context.WithoutCancel(ctx), command[0], append(command[1:], address)...)
	if err := cmd.Start(); err != nil {
		return fmt.Errorf("start %s: %w", command[0], err)
	}
	go func() { _ = cmd.Wait() }() // it is not ours, but somebody has to hear of its end
	return nil
}

// browserCommand is what opens an address on a system.
func browserCommand(system string, env func(string) string) ([]string, error) {
	switch {
	case system == "windows":
		return []string{"rundll32", "url.dll,FileProtocolHandler"}, nil
	case system == "darwin":
		return []string{"open"}, nil
	case env("DISPLAY") == "" && env("WAYLAND_DISPLAY") == "":
		return nil, errNoDisplay
	}
	return []string{"xdg-open"}, nil
}
