package index_test

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"iter"
	"log/slog"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/worktest"
)

// Named by this variable, the test program indexes until it is killed.
const victim = "FETTLEBOOK_INDEX_VICTIM"

func TestMain(m *testing.M) {
	if path := os.Getenv(victim); path != "" {
		if err := goOn(context.Background(), path, 1<<30, os.Stdout); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		return
	}
	journaltest.Histories(20)
	os.Exit(m.Run())
}

// history is what is indexed until the kill and after it.
const killSeed = "killed"

func history(n int) iter.Seq2[index.Item, error] {
	return func(yield func(index.Item, error) bool) {
		for l, err := range worktest.First(n, worktest.New(killSeed, worktest.Options{})) {
			item := index.Read(l)
			if err == nil {
				item.Place = uint64(item.Entry.ID.Millis())
			}
			if !yield(item, err) {
				return
			}
		}
	}
}

// goOn indexes what is beyond the marks of the first n entries, a few a
// transaction, and writes a line after each.
func goOn(ctx context.Context, path string, n int, hear io.Writer) error {
	db, _, err := index.Open(ctx, path, slog.New(slog.DiscardHandler))
	if err != nil {
		return err
	}
	defer db.Close()
	marks, err := db.Marks(ctx)
	if err != nil {
		return err
	}
	sizes := map[journal.DeviceID]int64{}
	for _, m := range marks {
		sizes[m.Device] = m.Size
	}
	var batch []index.Item
	for item, err := range history(n) {
		if err != nil {
			return err
		}
		if item.Index < sizes[item.Device] {
			continue
		}
		if batch = append(batch, item); len(batch) > int(item.Index%7) {
			if err := db.Put(ctx, batch); err != nil {
				return err
			}
			batch = nil
			fmt.Fprintln(hear)
		}
	}
	return db.Put(ctx, batch)
}

// A program that is killed leaves an index whose marks are not ahead of its
// rows, and which goes on from there to what it would have become anyway.
func TestKilled(t *testing.T) {
	path := filepath.Join(t.TempDir(), "index.db")
	dice := rand.New(rand.NewPCG(1, 2))
	reached := 0
	for range 6 {
		program := exec.CommandContext(t.Context(), os.Args[0])
		program.Env = append(os.Environ(), victim+"="+path)
		out, err := program.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := program.Start(); err != nil {
			t.Fatal(err)
		}
		lines := bufio.NewScanner(out)
		for n := 20 + dice.IntN(100); n > 0 && lines.Scan(); n-- {
		}
		program.Process.Kill()
		if err := program.Wait(); err == nil || program.ProcessState.Exited() {
			t.Fatalf("the program ended by itself: %v", err)
		}
		db, _ := open(t, path)
		marks, err := db.Marks(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		counted, err := db.Counted(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		sum := 0
		for _, m := range marks {
			sum += int(m.Size)
			if counted[string(m.Device)] != m.Size {
				t.Errorf("%d entries of %s are here and its mark is %d", counted[string(m.Device)], m.Device, m.Size)
			}
		}
		if sum < reached+20 {
			t.Errorf("%d entries are indexed, and before the kill %d were, and twenty more", sum, reached)
		}
		reached = sum
		if err := db.Close(); err != nil {
			t.Fatal(err)
		}
	}
	n := reached + 50
	if err := goOn(t.Context(), path, n, io.Discard); err != nil {
		t.Fatal(err)
	}
	whole, _ := open(t, filepath.Join(t.TempDir(), "whole.db"))
	if err := whole.Load(t.Context(), history(n), nil); err != nil {
		t.Fatal(err)
	}
	want, err := whole.Dump(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	db, _ := open(t, path)
	if got, err := db.Dump(t.Context()); err != nil || got != want {
		t.Errorf("after the kills the index of %d entries is another one (%v)", n, err)
	}
}
