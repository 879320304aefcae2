package backup_test

import (
	"context"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"fettlebook/cmd/internal/backup"
)

// Backups are made when they are due, what keeps one from being made is told as
// long as it does, and a plan that is changed holds at once.
func TestMadeByThemselves(t *testing.T) {
	from := worked(t, "bench-1")
	to := filepath.Join(t.TempDir(), "disk")
	synctest.Test(t, func(t *testing.T) {
		ctx, stop := context.WithCancel(t.Context())
		var off atomic.Int64 // of the machine's clock
		k := &backup.Keeper{From: from, Now: func() time.Time { return time.Now().Add(time.Duration(off.Load())) }, Logger: slog.New(slog.DiscardHandler)}
		ended := make(chan struct{})
		go func() { k.Run(ctx); close(ended) }()
		sets := func() int { return len(must(backup.Names(to))(t)) }
		pass := func(d time.Duration) { <-time.After(d); synctest.Wait() } // of the bubble's own time
		stands := func() backup.Standing { return must(k.Standing())(t) }

		pass(time.Hour)
		if sets() != 0 || stands().Plan != nil || stands().Late(time.Now()) {
			t.Error("there is a backup that nobody asked for")
		}
		if err := backup.WritePlan(from, &backup.Plan{To: to, Hours: 24, Keep: 2}); err != nil {
			t.Fatal(err)
		}
		pass(2 * time.Minute)
		if s := stands(); sets() != 0 || !strings.Contains(s.Trouble, "is the disk connected?") || !s.Late(time.Now()) {
			t.Errorf("without the disk there are %d, and it says %q", sets(), s.Trouble)
		}
		if err := os.Mkdir(to, 0o700); err != nil {
			t.Fatal(err)
		}
		pass(2 * time.Minute)
		if s := stands(); sets() != 1 || s.Trouble != "" || s.Late(time.Now()) || s.Last.Checked == nil {
			t.Errorf("with the disk there are %d, and it says %+v", sets(), s)
		}
		pass(23 * time.Hour)
		if sets() != 1 {
			t.Error("one was made before it was due")
		}
		pass(2 * time.Hour)
		if sets() != 2 {
			t.Errorf("after a day there are %d", sets())
		}
		pass(5 * 24 * time.Hour)
		if sets() != 2 {
			t.Errorf("%d are kept", sets())
		}
		off.Store(int64(-365 * 24 * time.Hour)) // the clock was set back
		pass(2 * time.Minute)
		behind := stands().Last
		if sets() != 2 || behind.Made.After(time.Now().AddDate(0, -11, 0)) {
			t.Errorf("after the clock was set back, the last of %d was made at %s", sets(), behind.Made)
		}
		pass(23 * time.Hour)
		if now := stands().Last; now.Dir != behind.Dir {
			t.Errorf("with that clock another was made before it was due: %s after %s", now.Dir, behind.Dir)
		}
		off.Store(0)
		if err := backup.WritePlan(from, nil); err != nil {
			t.Fatal(err)
		}
		last := stands()
		pass(5 * 24 * time.Hour)
		if last.Plan != nil || sets() != 2 {
			t.Error("one was made after the plan was taken back")
		}
		stop()
		<-ended
	})
}

func TestAPlanThatCannotBeRead(t *testing.T) {
	for _, text := range []string{"", "{", `{"to":"","hours":24}`, `{"to":"x","hours":0}`} {
		from := t.TempDir()
		write(t, filepath.Join(from, "backup.json"), text)
		if _, err := backup.ReadPlan(from); err == nil || !strings.Contains(err.Error(), "say again when to make backups") {
			t.Errorf("%q: %v", text, err)
		}
	}
}
