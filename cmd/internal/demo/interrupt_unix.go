//go:build !windows

package demo

import (
	"os"
	"syscall"
)

// interrupt asks a program to end.
func interrupt(p *os.Process) error { return p.Signal(syscall.SIGTERM) }
