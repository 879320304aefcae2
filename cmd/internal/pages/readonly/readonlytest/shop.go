// Package readonlytest gives the tests of pages a real shop in a folder, empty or
// with whole jobs in it, and looks whether a page is well made.
package readonlytest

import (
	"bytes"
	"context"
	"crypto/rand"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/proof"
	"fettlebook/media/mediatest"

	"github.com/nats-io/nkeys"
)

// Shop is a hub's folder, read live.
type Shop struct {
	*folder.Folder
	Live  *live.Live
	Names map[string]string // what the names of the story became
	t     testing.TB
	shut  func()

	mu  sync.Mutex // guards now
	now time.Time
}

// Begin is the time at which the shop begins.
func Begin() time.Time {
	return time.Date(2026, 3, 2, 7, 30, 0, 0, time.FixedZone("", 3600))
}

// Hub is the device of the shop's hub.
const Hub journal.DeviceID = "hub0c1n2"

// New is a shop that was founded, with one person and the cards that come with
// the program.
func New(t testing.TB) *Shop {
	t.Helper()
	return begin(t, "", found)
}

// Played is a shop in which the story of a file was played ([Shop.Play]).
func Played(t testing.TB, file string) *Shop {
	t.Helper()
	return begin(t, file, func(t testing.TB) *Shop {
		s := New(t)
		s.Play(file)
		return s
	})
}

// found founds a shop.
func found(t testing.TB) *Shop {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "data")
	key := must(proof.NewKey(rand.Reader, proof.Origin("k7m2q4xw", Hub)))(t)
	cosign := must(proof.NewKey(rand.Reader, proof.CosignerName("k7m2q4xw")))(t)
	line := must(nkeys.CreateUser())(t)
	seed := must(line.Seed())(t)
	id := folder.Identity{Role: folder.Hub, Shop: "k7m2q4xw", ShopName: "Tin Lantern Finishing", Device: Hub, Name: "hub", Hub: Hub, HubKey: key.Verifier()}
	for _, err := range []error{folder.WriteKey(dir, folder.LogKey, []byte(key.Secret())), folder.WriteKey(dir, folder.LineKey, seed), folder.WriteIdentity(dir, id)} {
		check(t, err)
	}
	check(t, must(folder.Found(t.Context(), dir, id, folder.Options{Now: Begin, Rand: rand.Reader}))(t).Close())
	s := open(t, dir, Begin())
	s.write("shop/k7m2q4xw", "io", &journal.Shop{Shop: "k7m2q4xw", Name: "Tin Lantern Finishing", LogKey: id.HubKey, CosignKey: cosign.Verifier()})
	last := s.write("person/io", "io", &journal.Person{Person: "io", Initials: "IO", Duties: []journal.Duty{"bench", "desk", "waive", "release"}})
	for _, name := range card.SuppliedNames() {
		card := must(card.Parse(must(card.Supplied(name))(t)))(t)
		last = s.write(journal.Of("route", string(name)), "io", folder.CardDraft(card, "io").Data)
	}
	s.shown(last)
	return s
}

// open opens a shop's folder until the test ends, or the shop is closed.
func open(t testing.TB, dir string, now time.Time) *Shop {
	t.Helper()
	s := &Shop{t: t, now: now, Names: map[string]string{}}
	s.Folder = must(folder.Open(t.Context(), dir, folder.Options{Now: s.Now, Rand: rand.Reader}))(t)
	s.Live = live.New(s.Folded)
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() {
		defer close(done)
		if err := s.Live.Run(ctx, s.Log); err != nil {
			t.Error(err)
		}
	}()
	s.shut = sync.OnceFunc(func() {
		cancel()
		<-done
		check(t, s.Close())
	})
	t.Cleanup(s.shut)
	return s
}

// Now is the shop's clock. It stands still but for [Shop.Wait].
func (s *Shop) Now() time.Time {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.now
}

// Wait lets time pass.
func (s *Shop) Wait(d time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.now = s.now.Add(d)
}

// Write writes an entry, with photographs that show what is said of them, and
// waits until the pages show it. A minute passes.
func (s *Shop) Write(about journal.Subject, by journal.PersonID, data journal.Payload, shows ...string) journal.EntryID {
	s.t.Helper()
	id := s.write(about, by, data, shows...)
	s.shown(id)
	return id
}

// write is Write, and waits for nothing.
func (s *Shop) write(about journal.Subject, by journal.PersonID, data journal.Payload, shows ...string) journal.EntryID {
	s.t.Helper()
	return s.written(about, by, data, shows...).ID
}

// written is the entry that write writes.
func (s *Shop) written(about journal.Subject, by journal.PersonID, data journal.Payload, shows ...string) *journal.Entry {
	s.t.Helper()
	s.Wait(time.Minute)
	draft := journal.Draft{Subject: about, By: by, Data: data}
	for i, role := range shows {
		photo, thumb := s.Snap(uint64(s.Now().Unix())+uint64(i), role)
		journal.Attach(draft.Data, photo)
		draft.Thumbs = append(draft.Thumbs, thumb)
	}
	return must(s.Append(s.t.Context(), draft))(s.t)
}

// shown waits until the pages show an entry, and all before it.
func (s *Shop) shown(id journal.EntryID) {
	s.t.Helper()
	ctx, cancel := context.WithTimeout(s.t.Context(), 2*time.Minute)
	defer cancel()
	must(s.Live.Await(ctx, id))(s.t)
}

// Snap takes a picture that no other seed gives.
func (s *Shop) Snap(seed uint64, role string) (journal.Photo, []byte) {
	s.t.Helper()
	photo, thumb, err := s.Folder.Snap(s.t.Context(), bytes.NewReader(mediatest.JPEG(mediatest.Noise(64, 48, seed), 90, nil)), role)
	check(s.t, err)
	return photo, thumb
}

// Card writes a customer card and returns how entries cite it.
func (s *Shop) Card(details journal.Details) *journal.Citation {
	s.t.Helper()
	id := must(journal.NewCardID(rand.Reader))(s.t)
	card := must(journal.NewCard(id, details, rand.Reader))(s.t)
	commitment := must(card.Commitment())(s.t)
	card.Written = s.Write(journal.Of("card", string(id)), "io", &journal.CardWriting{Card: id, Commitment: commitment})
	check(s.t, s.SaveCard(s.t.Context(), journal.CardState{Card: card, Changed: card.Written}))
	return &journal.Citation{Card: id, Commitment: commitment}
}

func check(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// must ends the test if there is an error.
func must[T any](value T, err error) func(testing.TB) T {
	return func(t testing.TB) T {
		t.Helper()
		check(t, err)
		return value
	}
}
