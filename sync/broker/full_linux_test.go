package broker_test

import (
	"context"
	"errors"
	"os"
	"os/signal"
	"path/filepath"
	"strconv"
	"syscall"
	"testing"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"fettlebook/journal/journaltest"
	"fettlebook/sync/broker"
)

// The message store of a disk that was full goes on when there is room again, with all that
// it had acknowledged and without being started anew. The disk is full by a limit on the
// size of files, and where a file system can be mounted, by a real one of a few MiB.
func TestAFullDisk(t *testing.T) {
	t.Run("limit", func(t *testing.T) {
		journaltest.Long(t)
		signal.Ignore(syscall.SIGXFSZ)
		defer signal.Reset(syscall.SIGXFSZ)
		var before syscall.Rlimit
		if err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &before); err != nil {
			t.Fatal(err)
		}
		limit := func(n uint64) {
			if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: n, Max: before.Max}); err != nil {
				t.Fatal(err)
			}
		}
		defer limit(before.Cur)
		fullAndBack(t, t.TempDir(), func() { limit(1 << 20) }, func() { limit(before.Cur) })
	})
	t.Run("disk", func(t *testing.T) {
		dir := t.TempDir()
		if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=24m"); err != nil {
			t.Logf("no file system can be mounted here (%v), so only the limit was tried", err)
			return
		}
		t.Cleanup(func() {
			if err := syscall.Unmount(dir, 0); err != nil {
				t.Error(err)
			}
		})
		ballast := filepath.Join(dir, "ballast")
		fullAndBack(t, dir, func() {
			f, err := os.Create(ballast)
			if err != nil {
				t.Fatal(err)
			}
			for err == nil {
				_, err = f.Write(make([]byte, 64<<10))
			}
			if !errors.Is(err, syscall.ENOSPC) {
				t.Fatal(err)
			}
			if err := f.Close(); err != nil {
				t.Fatal(err)
			}
		}, func() {
			if err := os.Remove(ballast); err != nil {
				t.Fatal(err)
			}
		})
	})
}

func fullAndBack(t *testing.T, dir string, fill, empty func()) {
	s := newShop(t)
	s.cfg.StoreDir = filepath.Join(dir, "store")
	s.start(t)
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan struct{})
	go func() {
		defer close(done)
		s.broker.Watch(ctx)
	}()
	t.Cleanup(func() { cancel(); <-done })
	nc := s.hubConn(t)
	js, err := jetstream.New(nc)
	if err != nil {
		t.Fatal(err)
	}
	stream, err := broker.EnsureStream(t.Context(), js, broker.StreamConfig("evidence", []string{"e.>"}, 1))
	if err != nil {
		t.Fatal(err)
	}
	put := func(i int) error {
		ctx, cancel := context.WithTimeout(t.Context(), 2*time.Second)
		defer cancel()
		_, err := js.PublishMsg(ctx, &nats.Msg{Subject: "e.x", Data: make([]byte, 300<<10)}, jetstream.WithMsgID(strconv.Itoa(i)))
		return err
	}
	acknowledged := 0
	if err := put(acknowledged); err != nil {
		t.Fatal(err)
	}
	acknowledged++
	fill()
	for put(acknowledged) == nil {
		if acknowledged++; acknowledged > 100 {
			t.Fatal("the disk never became full")
		}
	}
	await(t, "it says that it stands still", func() bool { return errors.Is(s.broker.Stopped(), broker.ErrStopped) })
	empty()
	await(t, "it goes on", func() bool { return s.broker.Stopped() == nil && put(acknowledged) == nil })
	if !s.broker.SyncsAlways() {
		t.Error("started again it answers before its writes are on the disk")
	}
	info, err := stream.Info(t.Context())
	if err != nil || info.State.Msgs < uint64(acknowledged)+1 {
		t.Errorf("%d messages are here of %d, %v", info.State.Msgs, acknowledged+1, err)
	}
}

// await waits until something is so.
func await(t *testing.T, what string, so func() bool) {
	t.Helper()
	limit, again := time.After(patience), time.NewTicker(20*time.Millisecond)
	defer again.Stop()
	for !so() {
		select {
		case <-limit:
			t.Fatalf("%s: it did not come", what)
		case <-again.C:
		}
	}
}
