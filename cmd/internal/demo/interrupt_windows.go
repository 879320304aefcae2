package demo

import "os"

// interrupt ends a program: Windows has no gentler way to another console.
func interrupt(p *os.Process) error { return p.Kill() }
