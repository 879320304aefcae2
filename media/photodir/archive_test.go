package photodir_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"fettlebook/media"
	"fettlebook/media/photodir"
)

func put(t *testing.T, d *photodir.Dir, raw []byte) media.Ref {
	t.Helper()
	draft, err := d.Create(t.Context())
	if err == nil {
		_, err = draft.Write(raw)
	}
	ref := media.Ref(sha256.Sum256(raw))
	if err == nil {
		err = draft.Commit(t.Context(), ref)
	}
	if err != nil {
		t.Fatal(err)
	}
	return ref
}

func openDir(t *testing.T, root string) *photodir.Dir {
	t.Helper()
	d, err := photodir.Open(root)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// What was carried into an archive is found there, also with several archives; what is away is
// told from what is missing; and a withdrawal takes it out of the archive too.
func TestArchive(t *testing.T) {
	dir, ctx := t.TempDir(), context.Background()
	root, box := filepath.Join(dir, "photos"), filepath.Join(dir, "box")
	main, archive := openDir(t, root), openDir(t, box)
	stays, goes := put(t, main, []byte("stays")), put(t, main, []byte("goes"))
	old := time.Date(2026, 3, 2, 14, 0, 0, 0, time.UTC)
	name := filepath.Join(root, goes.Hex()[:2], goes.Hex())
	if err := os.Chtimes(name, old, old); err != nil {
		t.Fatal(err)
	}
	if n, err := main.Carry(ctx, archive, goes); err != nil || n != 4 {
		t.Fatalf("carried %d bytes: %v", n, err)
	}
	if err := archive.MarkIt(); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(filepath.Join(box, goes.Hex()[:2], goes.Hex())); err != nil || !info.ModTime().Equal(old) {
		t.Errorf("it no longer says when it came: %v, %v", info, err)
	}
	if err := main.Remove(ctx, goes); err != nil {
		t.Fatal(err)
	}
	both := openDir(t, root).WithArchives(photodir.Archive{Root: filepath.Join(dir, "lost"), Holds: []media.Ref{goes}}, photodir.Archive{Root: box, Holds: []media.Ref{goes}})
	look := func() (all []media.Ref) {
		for ref, err := range both.All(ctx) {
			if err != nil {
				t.Fatal(err)
			}
			all = append(all, ref)
		}
		return all
	}
	in, size, err := both.Open(ctx, goes)
	if err != nil || size != 4 {
		t.Fatalf("in the archive: %d bytes, %v", size, err)
	}
	raw, err := io.ReadAll(in)
	if err := errors.Join(err, in.Close()); err != nil || !bytes.Equal(raw, []byte("goes")) {
		t.Errorf("%q, %v", raw, err)
	}
	if has, err := both.Has(ctx, goes); err != nil || !has {
		t.Errorf("has it: %v, %v", has, err)
	}
	if where, away := both.Where(ctx, goes); where != box || away {
		t.Errorf("it is in %s, away %v", where, away)
	}
	if where, away := both.Where(ctx, stays); where != root || away {
		t.Errorf("what stays is in %s, away %v", where, away)
	}
	if got := look(); !slices.Equal(got, []media.Ref{stays, goes}) {
		t.Errorf("all: %v", got)
	}
	// The disk of the archive is not connected.
	if err := os.Rename(box, box+"-out"); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(box, 0o700); err != nil { // where it would be mounted
		t.Fatal(err)
	}
	var away *media.Away
	if _, _, err := both.Open(ctx, goes); !errors.As(err, &away) || !errors.Is(err, media.ErrNotHere) {
		t.Errorf("away: %v", err)
	}
	if err := both.Remove(ctx, goes); !errors.As(err, &away) {
		t.Errorf("withdrawn while it is away: %v", err)
	}
	if where, away := both.Where(ctx, goes); where == "" || !away {
		t.Errorf("away: in %q, away %v", where, away)
	}
	if got := look(); !slices.Equal(got, []media.Ref{stays}) {
		t.Errorf("all, while it is away: %v", got)
	}
	if err := errors.Join(os.Remove(box), os.Rename(box+"-out", box)); err != nil {
		t.Fatal(err)
	}
	one := openDir(t, root).WithArchives(photodir.Archive{Root: box, Holds: []media.Ref{goes}})
	if err := one.Remove(ctx, goes); err != nil {
		t.Errorf("withdrawn: %v", err)
	}
	if _, _, err := one.Open(ctx, goes); !errors.Is(err, media.ErrNotHere) || errors.As(err, &away) {
		t.Errorf("missing from an archive in reach: %v", err)
	}
}

// A damaged original is not carried anywhere, nor over a good one.
func TestCarryDamaged(t *testing.T) {
	dir := t.TempDir()
	from, into := openDir(t, filepath.Join(dir, "from")), openDir(t, filepath.Join(dir, "into"))
	ref := put(t, from, []byte("an original"))
	put(t, into, []byte("an original"))
	if err := os.WriteFile(filepath.Join(dir, "from", ref.Hex()[:2], ref.Hex()), []byte("an 0riginal"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := from.Carry(t.Context(), into, ref); !errors.Is(err, photodir.ErrDamaged) {
		t.Errorf("carried: %v", err)
	}
	if err := into.Verify(t.Context(), ref); err != nil {
		t.Errorf("the good one: %v", err)
	}
}
