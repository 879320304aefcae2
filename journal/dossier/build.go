package dossier

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/bag"
	"fettlebook/journal/evidence"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/witnessed"
	"fettlebook/media"

	"golang.org/x/mod/sumdb/tlog"
)

type (
	// Log is where the entries lie, with what proves them.
	Log interface {
		Pick(ctx context.Context, at []journal.Position) ([]journal.Logged, error)
		// Hashes reads the stored tree hashes of a log.
		Hashes(ctx context.Context, device journal.DeviceID) (tlog.HashReader, error)
		States
	}

	// States are the signed states of the logs.
	States interface {
		Head(ctx context.Context, device journal.DeviceID) (journal.Head, error)
		CountersignedSince(ctx context.Context, device journal.DeviceID, size int64, most int) ([]journal.Countersigned, error)
		LastCountersigned(ctx context.Context, device journal.DeviceID) (journal.Countersigned, error)
	}

	// Thumbs keeps thumbnails. None is media.ErrNotHere.
	Thumbs interface {
		Thumb(ctx context.Context, ref media.Ref) ([]byte, error)
	}

	// Originals keeps photographs. None is media.ErrNotHere.
	Originals interface {
		Open(ctx context.Context, ref media.Ref) (io.ReadSeekCloser, int64, error)
	}

	// Cards keeps the cards of customers and people. What is not here is an
	// error that is no trouble, such as journal.ErrCardErased.
	Cards interface {
		Card(ctx context.Context, card journal.CardID) (journal.Card, error)
	}

	// Papers writes what people and other programs read: files that nothing is
	// proven by, such as the report.
	Papers interface {
		Write(ctx context.Context, of *Told, add Add) error
	}
)

// Add puts a paper into the dossier, at one of the paths that package evidence
// names for them.
type Add func(ctx context.Context, path string, write func(io.Writer) error) error

// Asked is what is asked for.
type Asked struct {
	evidence.Asked
	// Broken builds it although a seal does not fit, or entries are not those
	// that were signed. Whoever checks it finds that out.
	Broken bool
}

// Builder builds dossiers.
type Builder struct {
	Log       Log
	Thumbs    Thumbs
	Originals Originals
	Cards     Cards
	Papers    []Papers
	Witnessed Witnessed // nil if nobody outside was ever asked
	// Progress is told what is being done, and so much of how much; nil to
	// tell nobody.
	Progress func(Progress)
}

// Progress is how far a build is.
type Progress struct {
	Doing    Doing
	Done, Of int64 // bytes of photographs; entries else
}

// Doing is what a build does, as words for people.
type Doing string

// What a build does, in its order.
const (
	Choosing      Doing = "choosing the entries"
	Proving       Doing = "proving the entries"
	Writing       Doing = "writing the papers"
	Photographing Doing = "packing the photographs"
)

// Broken says that what would leave the shop is not what was sealed or signed.
type Broken struct{ Sentence string }

func (e *Broken) Error() string { return e.Sentence }

// TooLarge says that a dossier would hold more than one may.
type TooLarge struct {
	Sentence string
	Err      error // may be nil
}

func (e *TooLarge) Error() string { return e.Sentence }

// Unwrap returns what did not fit.
func (e *TooLarge) Unwrap() error { return e.Err }

// build is a dossier in the making.
type build struct {
	*Builder
	ctx   context.Context
	view  *shop.View
	asked Asked
	d     *evidence.Dossier
	jobs  []*record.Job

	picked map[journal.Position]*pick
	seals  []*shop.Sealing // of the jobs whose seal can be shown
	looked []*record.Line  // what was looked into because of the complaint
	run    []shared
	items  []*item // sorted by place
	logs   map[journal.DeviceID]*log
	shots  map[pair]*evidence.Photo
	order  []pair            // of the photographs, as entries cite them first
	routes map[string]string // text by path
	cards  []cardFile
	hidden bool // an entry of a run is withheld, which names others
	left   []evidence.Left

	kept      witnessed.Kept // the state that somebody outside spoke of
	originals map[media.Ref]original
	weight    int64 // of the originals that go in
}

// Build writes the dossier of a subject into w. It stops at once when ctx is
// done; what was written is then of no use. A seal that does not fit is a
// *[Broken] error before anything is written, unless it is asked for all the
// same. What was written is returned as it is described there.
func (b Builder) Build(ctx context.Context, v *shop.View, of Subject, asked Asked, w io.Writer) (*evidence.Dossier, error) {
	now := &build{Builder: &b, ctx: ctx, view: v, asked: asked,
		picked: make(map[journal.Position]*pick), logs: make(map[journal.DeviceID]*log), shots: make(map[pair]*evidence.Photo), routes: make(map[string]string), originals: make(map[media.Ref]original)}
	err := now.build(of, w)
	if errors.Is(err, bag.ErrFull) {
		err = &TooLarge{"This would be a dossier of more than 4 GB, or of more files than one may have. Ask for thumbnails, or build one for each job.", err}
	}
	if err != nil {
		return nil, fmt.Errorf("build the dossier: %w", err)
	}
	return now.d, nil
}

func (b *build) build(of Subject, w io.Writer) error {
	founded := b.view.Shop.Founded
	if founded == nil {
		return errors.Join(b.view.Err(), fmt.Errorf("%w: the entry that founds the shop has not come yet, so nothing can be proven; build the dossier at the hub", ErrNothing))
	}
	b.d = &evidence.Dossier{Form: evidence.Form, Edition: evidence.Edition, Shop: b.view.Shop.ID, Hub: founded.Position().Device, About: of.About, Asked: b.asked.Asked}
	b.left = append(b.left, of.Left...)
	b.tell(Choosing, 0, 0)
	for _, step := range []func() error{b.choose, b.view.Err, b.prove} {
		if err := b.ctx.Err(); err != nil {
			return err
		}
		if err := step(); err != nil {
			return err
		}
	}
	out, err := bag.NewWriter(w, Name(of.About))
	if err != nil {
		return err
	}
	for _, step := range []func(*bag.Writer) error{b.packEntries, b.packLogs, b.packCards, b.weigh, b.packPapers, b.packPhotos, b.pack} {
		if err := step(out); err != nil {
			return err
		}
	}
	return out.Close([2]string{"Source-Organization", b.view.Shop.Name}, [2]string{"External-Identifier", Name(of.About)},
		[2]string{"Internal-Sender-Identifier", string(b.view.Shop.ID)})
}

// pack writes the description, which is last since the photographs' hashes are
// in it.
func (b *build) pack(out *bag.Writer) error {
	b.d.Left = b.left
	raw, err := b.d.Encode()
	if errors.Is(err, evidence.ErrTooMuch) {
		return &TooLarge{"This would be a dossier of more entries, states or photographs than one may describe. Build one for each job.", err}
	}
	if err != nil {
		return err
	}
	_, err = out.AddBytes(b.ctx, evidence.DossierPath, raw)
	return err
}

func (b *build) tell(doing Doing, done, of int64) {
	if b.Progress != nil {
		b.Progress(Progress{doing, done, of})
	}
}

// leave notes what is left out on purpose, or one more of the same.
func (b *build) leave(what, why string) {
	for i := range b.left {
		if b.left[i].What == what && b.left[i].Why == why {
			b.left[i].Count++
			return
		}
	}
	b.left = append(b.left, evidence.Left{What: what, Count: 1, Why: why})
}

// Name is what a dossier is called: its folder, and its file without the end.
func Name(of evidence.About) string {
	name := string(of.Jobs[0])
	switch {
	case of.Vehicle != "":
		name = "vehicle-" + of.Vehicle
	case !of.Claim.IsZero():
		name = "complaint-" + of.Claim.String()
	}
	return "dossier-" + plain(name)
}

// plain is a name as a bag takes it.
func plain(name string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' {
			return r
		}
		return '_'
	}, name)
}
