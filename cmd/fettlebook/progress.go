package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"golang.org/x/term"
)

// progress is a line on a terminal that says how far a long work is. Where
// standard error is not a terminal it says nothing.
type progress struct {
	out  io.Writer // nil to say nothing
	what string
	now  func() time.Time
	next time.Time // when the line may change again

	shown bool
}

const progressEvery = 100 * time.Millisecond

func newProgress(t *terminal, what string) *progress {
	p := &progress{what: what, now: t.Now}
	if f, ok := t.Err.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		p.out = t.Err
	}
	return p
}

// step shows that done of total is done; a total of 0 is not known.
func (p *progress) step(done, total int64) {
	if p.out == nil || p.now().Before(p.next) {
		return
	}
	p.next, p.shown = p.now().Add(progressEvery), true
	const width = 30
	if total <= 0 {
		fmt.Fprintf(p.out, "\r\x1b[K%s: %d", p.what, done)
		return
	}
	filled := int(width * min(done, total) / total)
	fmt.Fprintf(p.out, "\r\x1b[K%s [%s%s] %d of %d", p.what, strings.Repeat("#", filled), strings.Repeat(".", width-filled), done, total)
}

// steps is step for who counts in int.
func (p *progress) steps(done, total int) { p.step(int64(done), int64(total)) }

// clear takes the line away.
func (p *progress) clear() {
	if p.shown {
		fmt.Fprint(p.out, "\r\x1b[K")
		p.shown = false
	}
}
