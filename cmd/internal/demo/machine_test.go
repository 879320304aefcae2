package demo

import (
	"os"
	"os/exec"
	"testing"
)

// Ctrl-C reaches the demo and its machines at once. That one of them ended first is nothing
// wrong.
func TestStopOfOneThatEnded(t *testing.T) {
	for _, how := range []func(*machine) error{(*machine).stop, (*machine).kill} {
		m := &machine{name: "bench 1", cmd: exec.Command(os.Args[0], "-test.run=^$"), ended: make(chan error, 1)}
		if err := m.cmd.Start(); err != nil {
			t.Fatal(err)
		}
		m.ended <- m.cmd.Wait()
		if err := how(m); err != nil {
			t.Error(err)
		}
	}
}
