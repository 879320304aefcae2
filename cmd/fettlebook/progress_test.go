package main

import (
	"bytes"
	"os"
	"strings"
	"testing"
	"time"
)

func TestProgressSaysNothingInAPipe(t *testing.T) {
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	p := newProgress(&terminal{Err: w, Now: time.Now}, "checking")
	p.step(1, 2)
	p.clear()
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	var said bytes.Buffer
	if _, err := said.ReadFrom(r); err != nil || said.Len() > 0 {
		t.Errorf("said %q, %v", said.String(), err)
	}
}

// The line changes at most every tenth of a second, and goes at the end.
func TestProgressDraws(t *testing.T) {
	now := time.Date(2026, 3, 2, 14, 18, 0, 0, time.UTC)
	var out bytes.Buffer
	p := &progress{out: &out, what: "checking", now: func() time.Time { return now }}
	for i := range int64(5) {
		p.step(i, 4)
		now = now.Add(progressEvery / 2)
	}
	p.clear()
	frames := strings.Split(out.String(), "\r\x1b[K")[1:]
	want := []string{
		"checking [..............................] 0 of 4",
		"checking [###############...............] 2 of 4",
		"checking [##############################] 4 of 4",
		"",
	}
	if strings.Join(frames, "|") != strings.Join(want, "|") {
		t.Errorf("drew\n%s\nwant\n%s", strings.Join(frames, "\n"), strings.Join(want, "\n"))
	}
}
