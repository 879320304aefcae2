package folder_test

import (
	"bytes"
	"context"
	"crypto/rand"
	"errors"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media"
	"fettlebook/media/mediatest"

	"github.com/nats-io/nkeys"
)

var opts = folder.Options{Now: time.Now, Rand: rand.Reader}

// found makes a data folder of a tablet that is its own shop.
func found(t *testing.T) string {
	t.Helper()
	return foundIn(t, "t3fz8c1n")
}

// foundIn makes a data folder of a tablet in the shop of a hub.
func foundIn(t *testing.T, hub journal.DeviceID) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "data")
	key, err := proof.NewKey(rand.Reader, proof.Origin("k7m2q4xw", "t3fz8c1n"))
	if err != nil {
		t.Fatal(err)
	}
	line, err := nkeys.CreateUser()
	if err != nil {
		t.Fatal(err)
	}
	seed, err := line.Seed()
	if err != nil {
		t.Fatal(err)
	}
	id := folder.Identity{Role: folder.Tablet, Shop: "k7m2q4xw", ShopName: "Test", Device: "t3fz8c1n", Name: "bench 1", Hub: hub, HubKey: key.Verifier()}
	if err := errors.Join(folder.WriteKey(dir, folder.LogKey, []byte(key.Secret())), folder.WriteKey(dir, folder.LineKey, seed), folder.WriteIdentity(dir, id)); err != nil {
		t.Fatal(err)
	}
	f, err := folder.Found(t.Context(), dir, id, opts)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	return dir
}

func open(t *testing.T, dir string) *folder.Folder {
	t.Helper()
	f, err := folder.Open(t.Context(), dir, opts)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := f.Close(); err != nil {
			t.Error(err)
		}
	})
	return f
}

func TestOneProgramAtATime(t *testing.T) {
	t.Parallel() // it waits
	dir := found(t)
	f := open(t, dir)
	if _, err := folder.Open(t.Context(), dir, opts); !errors.Is(err, folder.ErrInUse) {
		t.Errorf("a second program: %v", err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	again := open(t, dir)
	if again.Name != "bench 1" {
		t.Errorf("the identity came back as %+v", again.Identity)
	}
}

// A command that holds the folder for a moment is waited for, one that stays is not: it has
// a door.
func TestAFolderHeldForAMoment(t *testing.T) {
	dir := found(t)
	synctest.Test(t, func(t *testing.T) {
		for _, c := range []struct {
			held time.Duration
			door bool
			want error
		}{{time.Second, false, nil}, {time.Minute, false, folder.ErrInUse}, {time.Second, true, folder.ErrInUse}} {
			door := filepath.Join(dir, "door.json")
			if c.door {
				if err := os.WriteFile(door, []byte("{}"), 0o600); err != nil {
					t.Fatal(err)
				}
			}
			lock, err := folder.Lock(dir)
			if err != nil {
				t.Fatal(err)
			}
			given := make(chan error)
			time.AfterFunc(c.held, func() { given <- lock.Unlock() })
			began := time.Now()
			f, err := folder.Open(t.Context(), dir, opts)
			if !errors.Is(err, c.want) || (err == nil) != (c.want == nil) {
				t.Errorf("held for %v, with a door %t: %v", c.held, c.door, err)
			}
			if took := time.Since(began); c.door && took > 0 {
				t.Errorf("waited %v at a door", took)
			}
			if err == nil {
				if err := f.Close(); err != nil {
					t.Error(err)
				}
			}
			if err := <-given; err != nil {
				t.Error(err)
			}
		}
	})
}

func TestNoFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "nothing")
	if _, err := folder.Open(t.Context(), dir, opts); !errors.Is(err, folder.ErrNoFolder) {
		t.Errorf("got %v", err)
	}
	if _, err := os.Stat(dir); !errors.Is(err, fs.ErrNotExist) {
		t.Error("looking for a folder made one")
	}
}

func TestHalfJoined(t *testing.T) {
	dir := found(t)
	id, err := folder.ReadIdentity(dir)
	if err != nil {
		t.Fatal(err)
	}
	id.Role = folder.Joining
	if err := folder.WriteIdentity(dir, id); err != nil {
		t.Fatal(err)
	}
	if _, err := folder.Open(t.Context(), dir, opts); !errors.Is(err, folder.ErrNoFolder) || !strings.Contains(err.Error(), "did not finish") {
		t.Errorf("got %v", err)
	}
}

func TestMissingAndDamagedKeys(t *testing.T) {
	for _, c := range []struct{ name, file, text, says string }{
		{"missing", folder.LogKey, "", "is missing; restore it"},
		{"damaged", folder.LogKey, "PRIVATE+KEY+fettlebook/x+00000000+AAAA", "not a signing key of fettlebook"},
		{"damaged line key", folder.LineKey, "SUANOKEY", "is damaged; restore it"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := found(t)
			path := filepath.Join(dir, "keys", c.file)
			if err := os.Remove(path); err != nil {
				t.Fatal(err)
			}
			if c.text != "" {
				if err := os.WriteFile(path, []byte(c.text), 0o600); err != nil {
					t.Fatal(err)
				}
			}
			_, err := folder.Open(t.Context(), dir, opts)
			if c.file == folder.LineKey {
				_, err = folder.ReadLineKey(dir)
			}
			if err == nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("got %v", err)
			}
			if err != nil && c.text != "" && strings.Contains(err.Error(), c.text) {
				t.Errorf("the error prints the secret: %v", err)
			}
		})
	}
}

func TestSecretsAreTheOwnersOnly(t *testing.T) {
	if os.PathSeparator != '/' {
		t.Skip("this system has no mode bits")
	}
	dir := found(t)
	open(t, dir)
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := d.Info()
		if err == nil && info.Mode().Perm()&0o077 != 0 && filepath.Base(filepath.Dir(path)) != "photos" && !d.IsDir() {
			t.Errorf("%s has mode %v", path, info.Mode())
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestSnapAndWithdraw(t *testing.T) {
	f := open(t, found(t))
	picture := mediatest.JPEG(mediatest.Noise(640, 480, 7), 90, mediatest.Exif(mediatest.ExifTags{Orientation: 6}))
	photo, thumb, err := f.Snap(t.Context(), bytes.NewReader(picture), "bare seats")
	if err != nil {
		t.Fatal(err)
	}
	again, err := f.Thumb(t.Context(), photo.Ref)
	if err != nil || !bytes.Equal(thumb, again) || media.RefOf(thumb) != photo.Thumb {
		t.Fatalf("the thumbnail made again differs: %v", err)
	}
	snap := &journal.Snapshot{}
	journal.Attach(snap, photo)
	if _, err := f.Append(t.Context(), journal.Draft{Subject: "job/4f7kk2m9", By: "io", Data: snap, Thumbs: [][]byte{thumb}}); err != nil {
		t.Fatal(err)
	}
	if _, err := f.Append(t.Context(), journal.Draft{Subject: "job/4f7kk2m9", By: "io", Data: &journal.Withdrawal{Photo: photo.Ref, Reason: "a face is in it"}}); err != nil {
		t.Fatal(err)
	}
	if here, err := f.Photos.Has(t.Context(), photo.Ref); here || err != nil {
		t.Errorf("the original is still here: %v %v", here, err)
	}
	if _, err := f.Thumb(t.Context(), photo.Ref); !errors.Is(err, media.ErrNotHere) {
		t.Errorf("a thumbnail of it can be had: %v", err)
	}
	if _, err := f.Log.Thumb(t.Context(), photo.Thumb); err == nil {
		t.Error("the thumbnail is still here")
	}
	db, err := os.ReadFile(folder.DatabasePath(f.Dir))
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(db, thumb[len(thumb)/2:len(thumb)/2+200]) {
		t.Error("the thumbnail's bytes are still in the file")
	}
}

func TestARefusedPhotoLeavesNothing(t *testing.T) {
	f := open(t, found(t))
	var refused *media.Refused
	if _, _, err := f.Snap(t.Context(), strings.NewReader("this is not a picture"), ""); !errors.As(err, &refused) {
		t.Errorf("got %v", err)
	}
	if _, _, err := f.Snap(t.Context(), bytes.NewReader(mediatest.JPEG(mediatest.Corners(64, 48), 90, nil)), strings.Repeat("x", 41)); err == nil {
		t.Error("an overlong role: no error")
	}
	for ref, err := range f.Photos.All(t.Context()) {
		t.Errorf("%v is here (%v)", ref, err)
	}
}

// TestAlmostFull: photos are no longer taken before entries are no longer
// taken, and a refusal leaves nothing behind.
func TestAlmostFull(t *testing.T) {
	dir := found(t)
	free := uint64(sqlitelog.LowForPhotos - 1)
	f, err := folder.Open(t.Context(), dir, folder.Options{Now: time.Now, Rand: rand.Reader, Free: func() (uint64, error) { return free, nil }})
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	note := journal.Draft{Subject: "job/4f7kk2m9", By: "io", Data: &journal.Remark{Evidence: journal.Evidence{Note: "still room for words"}}}
	snap := func() error {
		_, _, err := f.Snap(t.Context(), bytes.NewReader(mediatest.JPEG(mediatest.Corners(64, 48), 90, nil)), "")
		return err
	}
	if err := snap(); !errors.Is(err, journal.ErrDiskLow) {
		t.Errorf("a photo with little room: %v", err)
	}
	if _, err := f.Append(t.Context(), note); err != nil {
		t.Errorf("an entry with little room: %v", err)
	}
	free = sqlitelog.LowForEntries - 1
	if _, err := f.Append(t.Context(), note); !errors.Is(err, journal.ErrDiskLow) {
		t.Errorf("an entry with less room: %v", err)
	}
	free = sqlitelog.LowForPhotos
	if err := snap(); err != nil {
		t.Errorf("a photo once there is room: %v", err)
	}
	if head, err := f.Log.Head(t.Context(), f.Device); err != nil || head.Size != 1 {
		t.Errorf("the log has %d entries (%v)", head.Size, err)
	}
}

// TestKeepCarryingOut: a withdrawal that came from another machine takes the
// original away here too.
func TestKeepCarryingOut(t *testing.T) {
	f := open(t, found(t))
	photo, thumb, err := f.Snap(t.Context(), bytes.NewReader(mediatest.JPEG(mediatest.Noise(320, 240, 9), 90, nil)), "bare seats")
	if err != nil {
		t.Fatal(err)
	}
	snap := &journal.Snapshot{}
	journal.Attach(snap, photo)
	if _, err := f.Log.Append(t.Context(), journal.Draft{Subject: "job/4f7kk2m9", By: "io", Data: snap, Thumbs: [][]byte{thumb}}); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan struct{})
	go func() {
		defer close(done)
		f.KeepCarryingOut(ctx, slog.New(slog.DiscardHandler))
	}()
	// Written past the folder, as an entry that arrives from the hub is.
	if _, err := f.Log.Append(t.Context(), journal.Draft{Subject: "job/4f7kk2m9", By: "io", Data: &journal.Withdrawal{Photo: photo.Ref, Reason: "a face is in it"}}); err != nil {
		t.Fatal(err)
	}
	gone := func() bool {
		here, err := f.Photos.Has(t.Context(), photo.Ref)
		if err != nil {
			t.Fatal(err)
		}
		return !here
	}
	limit, tick := time.After(2*time.Minute), time.NewTicker(5*time.Millisecond)
	defer tick.Stop()
	for !gone() {
		select {
		case <-limit:
			t.Fatal("the original is still here")
		case <-tick.C:
		}
	}
	cancel()
	<-done
}
