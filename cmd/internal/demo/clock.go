package demo

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"time"
)

// Clock is the clock of the day, by which all machines of the demonstration
// stamp what they write. It is the machine's own clock set ahead or back, and
// is set ahead again wherever the story goes on at a later time of day; between
// these steps it runs. So it never runs back, and who measures a time by it
// counts the steps too.
//
// How far it is set lies in a file to which each step appends a line. All
// lines are of one width, so whoever reads while one is being written reads the
// one before it.
type Clock struct {
	own  func() time.Time // the machine's
	file *os.File

	mu  sync.Mutex
	set time.Duration // as last read or written
}

// ClockVariable names, in the environment of the demonstration's programs,
// the file of the clock that they go by.
const ClockVariable = "FETTLEBOOK_DEMO_CLOCK"

// stepWidth is that of a line of the file: a sign, the nanoseconds by which
// the machine's clock is set, and the end of the line.
const stepWidth = 1 + 19 + 1

// SetClock begins a clock in a file that is not there yet, and sets it.
func SetClock(file string, begin time.Time, own func() time.Time) (*Clock, error) {
	f, err := os.OpenFile(file, os.O_RDWR|os.O_CREATE|os.O_EXCL|os.O_APPEND, 0o600)
	if err != nil {
		return nil, fmt.Errorf("set the clock: %w", err)
	}
	c := &Clock{own: own, file: f}
	if err := c.step(begin.Sub(own())); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return c, nil
}

// ReadClock follows a clock that another process sets.
func ReadClock(file string, own func() time.Time) (*Clock, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, fmt.Errorf("read the clock: %w", err)
	}
	c := &Clock{own: own, file: f}
	if c.set, err = c.read(); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return c, nil
}

// Now is the time by this clock. If its file cannot be read any more, it runs
// on as it was set.
func (c *Clock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	if set, err := c.read(); err == nil {
		c.set = max(c.set, set)
	}
	return c.own().Add(c.set)
}

// Until sets the clock ahead to a time. One that is past leaves it as it is.
func (c *Clock) Until(t time.Time) error {
	ahead := t.Sub(c.Now())
	if ahead <= 0 {
		return nil
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.step(c.set + ahead)
}

// Close closes the clock's file.
func (c *Clock) Close() error { return c.file.Close() }

func (c *Clock) step(set time.Duration) error {
	if _, err := fmt.Fprintf(c.file, "%+0*d\n", stepWidth-1, set.Nanoseconds()); err != nil {
		return fmt.Errorf("set the clock: %w", err)
	}
	c.set = set
	return nil
}

// read returns the last step that is whole.
func (c *Clock) read() (time.Duration, error) {
	is, err := c.file.Stat()
	if err != nil {
		return 0, fmt.Errorf("read the clock: %w", err)
	}
	steps := is.Size() / stepWidth
	if steps == 0 {
		return 0, fmt.Errorf("read the clock: %s was never set", c.file.Name())
	}
	line := make([]byte, stepWidth)
	if _, err := c.file.ReadAt(line, (steps-1)*stepWidth); err != nil && !errors.Is(err, io.EOF) {
		return 0, fmt.Errorf("read the clock: %w", err)
	}
	nanoseconds, err := strconv.ParseInt(strings.TrimSpace(string(line)), 10, 64)
	if err != nil {
		return 0, fmt.Errorf("read the clock: %w", err)
	}
	return time.Duration(nanoseconds), nil
}

// setClock sets the clock of the day to the time of the story's first step.
func (d *Day) setClock(first step) error {
	begin, err := first.time(d.cfg.Now().Location())
	if err != nil {
		return err
	}
	if err := os.MkdirAll(d.cfg.Dir, 0o700); err != nil {
		return fmt.Errorf("make a folder for the demo: %w", err)
	}
	if d.clock, err = SetClock(filepath.Join(d.cfg.Dir, "clock"), begin, d.cfg.Now); err != nil {
		return err
	}
	d.began = begin
	d.say("The demo’s clock was set; it began at %s.", begin.Format(dayAndTime))
	return nil
}

// ClockFile is the file of the clock of the day.
func (d *Day) ClockFile() string { return d.clock.file.Name() }

// wait lets the time of a step come.
func (d *Day) wait(s step) error {
	if s.At == "" {
		return nil
	}
	at, err := s.time(d.cfg.Now().Location())
	if err != nil {
		return err
	}
	return d.clock.Until(at)
}

func (d *Day) now() time.Time {
	if d.clock == nil {
		return d.cfg.Now()
	}
	return d.clock.Now()
}
