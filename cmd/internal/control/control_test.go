package control_test

import (
	"bytes"
	"context"
	"errors"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"fettlebook/cmd/internal/control"
	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/media"
)

// store keeps what came in.
type store struct {
	photos [][]byte
	roles  []string
	drafts []journal.Draft
	cards  []journal.CardState
	refuse error
	after  error // goes wrong after an entry was written
}

var thumb = []byte("a thumbnail")

func (h *store) Snap(_ context.Context, r io.Reader, role string) (journal.Photo, []byte, error) {
	if h.refuse != nil {
		return journal.Photo{}, nil, h.refuse
	}
	b, err := io.ReadAll(r)
	h.photos, h.roles = append(h.photos, b), append(h.roles, role)
	return journal.Photo{Ref: media.RefOf(b), Thumb: media.RefOf(thumb), Role: role}, thumb, err
}

func (h *store) Append(_ context.Context, d journal.Draft) (*journal.Entry, error) {
	if h.refuse != nil {
		return nil, h.refuse
	}
	h.drafts = append(h.drafts, d)
	e, err := journaltest.NewAuthor(journaltest.Bench, journaltest.NewWatch(journaltest.Morning()), "door").Write(d)
	if err == nil {
		err = journal.Afterwards(h.after)
	}
	return e, err
}

func (h *store) Thumb(context.Context, media.Ref) ([]byte, error) { return thumb, nil }

func (h *store) SaveCard(_ context.Context, s journal.CardState) error {
	h.cards = append(h.cards, s)
	return nil
}

func open(t *testing.T) (*store, string) {
	t.Helper()
	h, dir := &store{}, t.TempDir()
	d, err := control.Open(t.Context(), dir, h, func() any { return map[string]int{"here": 7} })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := d.Close(context.Background()); err != nil {
			t.Error(err)
		}
		if _, err := os.Stat(filepath.Join(dir, "door.json")); !errors.Is(err, os.ErrNotExist) {
			t.Errorf("word of the door is left behind: %v", err)
		}
	})
	return h, dir
}

func TestThroughTheDoor(t *testing.T) {
	h, dir := open(t)
	g, err := control.Dial(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer g.Close()
	photo, _, err := g.Snap(t.Context(), strings.NewReader("picture"), "bare seats & more")
	if err != nil || string(h.photos[0]) != "picture" || h.roles[0] != "bare seats & more" {
		t.Fatalf("snap: %v, %q %q", err, h.photos, h.roles)
	}
	remark := &journal.Remark{Evidence: journal.Evidence{Note: "seen", Photos: []journal.Photo{photo}}}
	e, err := g.Append(t.Context(), journal.Draft{Subject: "job/4f7kk2m9", By: "io", Data: remark})
	if err != nil {
		t.Fatal(err)
	}
	if e.By != "io" || len(h.drafts) != 1 || !bytes.Equal(h.drafts[0].Thumbs[0], thumb) {
		t.Errorf("append: %+v, %d drafts", e, len(h.drafts))
	}
	load := *journaltest.Sample(journal.BakeStarted).Data.(*journal.BakeStart)
	load.Photos = nil
	if _, err := g.Append(t.Context(), journal.Draft{Subject: "run/proposed", By: "io", Data: &load, Begins: true}); err != nil || !h.drafts[1].Begins {
		t.Errorf("a run that begins: %v, %+v", err, h.drafts[1])
	}
	card := journal.CardState{Card: journal.Card{Card: "c1", Details: journal.Details{Name: "W. Tarn"}}, Changed: e.ID}
	if err := g.SaveCard(t.Context(), card); err != nil || h.cards[0].Card.Details.Name != "W. Tarn" {
		t.Errorf("card: %v, %+v", err, h.cards)
	}
	var status map[string]int
	if err := g.Status(t.Context(), &status); err != nil || status["here"] != 7 {
		t.Errorf("status: %v, %v", err, status)
	}
}

// TestErrorsKeepTheirCode: what is refused by the program is told by the command
// of it with the same sentence and the same exit code.
func TestErrorsKeepTheirCode(t *testing.T) {
	h, dir := open(t)
	g, err := control.Dial(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer g.Close()
	for _, refuse := range []error{journal.ErrDiskLow, journal.ErrClosed, &media.Refused{}} {
		h.refuse = refuse
		_, _, err := g.Snap(t.Context(), strings.NewReader("x"), "")
		if err == nil || err.Error() != refuse.Error() || exit.Code(err) != exit.Code(refuse) {
			t.Errorf("%v: got %v with code %d", refuse, err, exit.Code(err))
		}
	}
}

func TestOnlyTheTokenOpens(t *testing.T) {
	h, dir := open(t)
	raw, err := os.ReadFile(filepath.Join(dir, "door.json"))
	if err != nil {
		t.Fatal(err)
	}
	address := regexp.MustCompile(`127\.0\.0\.1:\d+`).FindString(string(raw))
	for _, token := range []string{"", "Bearer ", "Bearer 00000000-0000-0000-0000-000000000000"} {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, "http://"+address+"/photos", strings.NewReader("x"))
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Authorization", token)
		res, err := http.DefaultClient.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		res.Body.Close()
		if res.StatusCode != http.StatusForbidden || len(h.photos) > 0 {
			t.Errorf("token %q: status %d, %d photos", token, res.StatusCode, len(h.photos))
		}
	}
	info, err := os.Stat(filepath.Join(dir, "door.json"))
	if err != nil {
		t.Fatal(err)
	}
	if os.PathSeparator == '/' && info.Mode().Perm() != 0o600 {
		t.Errorf("door.json has mode %v", info.Mode())
	}
}

func TestNobodyIsIn(t *testing.T) {
	if _, err := control.Dial(t.TempDir()); !errors.Is(err, folder.ErrInUse) {
		t.Errorf("got %v", err)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "door.json"), []byte(`{"address":"127.0.0.1:1","token":"x"}`), 0o600); err != nil {
		t.Fatal(err)
	}
	g, err := control.Dial(dir)
	if err != nil {
		t.Fatal(err)
	}
	if err := g.Status(t.Context(), nil); !errors.Is(err, folder.ErrInUse) || exit.Code(err) != exit.Busy {
		t.Errorf("a door left by a killed program: %v", err)
	}
}

// What is written and has not gone on yet is not told as a failure, or it would be
// written again.
func TestWrittenIsNotAFailure(t *testing.T) {
	h, dir := open(t)
	g, err := control.Dial(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer g.Close()
	remark := journal.Draft{Subject: "job/4f7kk2m9", By: "io", Data: &journal.Remark{Evidence: journal.Evidence{Note: "seen"}}}
	h.after = errors.New("the stream is away")
	e, err := g.Append(t.Context(), remark)
	var after *journal.Written
	if e == nil || e.By != "io" || !errors.As(err, &after) || err.Error() != "the entry is written; the stream is away" {
		t.Errorf("written, and not gone on: %+v, %v", e, err)
	}
	h.after, h.refuse = nil, errors.New("the disk is full")
	if e, err := g.Append(t.Context(), remark); e != nil || err == nil || errors.As(err, &after) {
		t.Errorf("not written: %+v, %v", e, err)
	}
	if len(h.drafts) != 1 {
		t.Errorf("%d are written", len(h.drafts))
	}
}
