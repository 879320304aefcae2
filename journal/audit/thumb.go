package audit

import (
	"bytes"
	"context"
	"fmt"
	"maps"
	"slices"

	"fettlebook/journal"
	"fettlebook/media"
)

// photo is what entries say of an original.
type photo struct {
	at        Where // the first entry that names it; no part if none does
	thumbs    []media.Ref
	own       bool // an entry of this machine names it
	withdrawn bool
	noted     bool // the database has a note of it
	confirmed bool // and says that the hub has it
}

// thumbUse is what is known of a thumbnail.
type thumbUse struct {
	photos []*photo // whose it is
	here   bool
}

// wanted reports whether a photo that was not withdrawn has the thumbnail.
func (t *thumbUse) wanted() bool {
	return slices.ContainsFunc(t.photos, func(p *photo) bool { return !p.withdrawn })
}

func (a *audit) photo(ref media.Ref) *photo {
	p := a.photos[ref]
	if p == nil {
		p = new(photo)
		a.photos[ref] = p
	}
	return p
}

// picture notes the photos that an entry names.
func (l *logAudit) picture(at int64, id journal.EntryID, photos []journal.Photo, quoted bool) {
	for _, named := range photos {
		p := l.photo(named.Ref)
		if p.at.Part == "" {
			p.at = Where{Log: l.device, Entries: &Span{at, at}, ID: id, Part: Entry}
		}
		p.own = p.own || l.own && !quoted // another machine took those that are quoted
		if slices.Contains(p.thumbs, named.Thumb) {
			continue
		}
		p.thumbs = append(p.thumbs, named.Thumb)
		use := l.thumbs[named.Thumb]
		if use == nil {
			use = new(thumbUse)
			l.thumbs[named.Thumb] = use
		}
		use.photos = append(use.photos, p)
	}
}

// checkThumbs checks every thumbnail against its name, and every name that an
// entry gives against the thumbnails.
func (a *audit) checkThumbs(ctx context.Context) error {
	for t, err := range a.Photos.RawThumbs(ctx) {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			a.damage(Where{Part: Thumbnail}, fmt.Sprintf("Some thumbnails cannot be read: %v.", err), doDatabase)
			continue
		}
		a.report.Checked.Thumbnails++
		a.checkThumb(t)
	}
	for _, ref := range sorted(a.thumbs) {
		if use := a.thumbs[ref]; !use.here && use.wanted() {
			w := use.photos[0].at
			w.Part, w.Photo = Thumbnail, ref
			a.damage(w, "This entry names the thumbnail, and it is missing.", doThumb)
		}
	}
	return nil
}

func (a *audit) checkThumb(t RawThumb) {
	if len(t.Ref) != len(media.Ref{}) {
		a.damage(Where{Part: Thumbnail}, fmt.Sprintf("A thumbnail is kept under a name of %d bytes instead of 32.", len(t.Ref)), doThumb)
		return
	}
	ref := media.Ref(t.Ref)
	at := Where{Part: Thumbnail, Photo: ref}
	use := a.thumbs[ref]
	if use != nil {
		use.here = true
		w := use.photos[0].at
		at.Log, at.Entries, at.ID = w.Log, w.Entries, w.ID
	}
	switch {
	case media.RefOf(t.Bytes) != ref:
		a.damage(at, "Its bytes are not those that its name stands for.", doThumb)
	case use == nil:
		a.remark(at, "No entry here names this thumbnail.", doNothing)
	case !use.wanted():
		a.damage(at, "Its photograph was withdrawn, and the thumbnail is still here.", doErase)
	}
}

// checkNotes compares what the database notes of originals with the entries.
func (a *audit) checkNotes(ctx context.Context) error {
	for n, err := range a.Photos.RawPhotos(ctx) {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			a.damage(Where{Part: PhotoNote}, fmt.Sprintf("The notes of originals cannot be read: %v.", err), doDatabase)
			return nil
		}
		if len(n.Ref) != len(media.Ref{}) {
			a.damage(Where{Part: PhotoNote}, fmt.Sprintf("An original is noted by a name of %d bytes instead of 32.", len(n.Ref)), doDatabase)
			continue
		}
		a.checkNote(media.Ref(n.Ref), n)
	}
	for _, ref := range sorted(a.photos) {
		if p := a.photos[ref]; !p.noted {
			w := p.at
			w.Part, w.Photo = PhotoNote, ref
			a.damage(w, "An entry names this photograph, and the database does not list it.", doDatabase)
		}
	}
	return nil
}

func (a *audit) checkNote(ref media.Ref, n RawPhoto) {
	p := a.photos[ref]
	if p == nil {
		a.remark(Where{Part: PhotoNote, Photo: ref}, "The database lists this photograph, and no entry that can be read here names it.", doNothing)
		return
	}
	p.noted, p.confirmed = true, !n.Confirmed.IsZero()
	w := p.at
	w.Part, w.Photo = PhotoNote, ref
	known := slices.ContainsFunc(p.thumbs, func(t media.Ref) bool { return bytes.Equal(t[:], n.Thumb) })
	switch {
	case n.Withdrawn != p.withdrawn:
		a.damage(w, "The database and the entries differ on whether this photograph was withdrawn.", doDatabase)
	case p.own && !n.Own:
		a.damage(w, "This photograph is not listed as this machine’s own, so the hub would never get it.", doDatabase)
	case !known && (len(n.Thumb) > 0 || !p.withdrawn): // a withdrawal that came first knows none
		a.damage(w, "The database lists another thumbnail for this photograph than the entries name.", doDatabase)
	}
}

// sorted returns the names in ascending order.
func sorted[V any](m map[media.Ref]V) []media.Ref {
	return slices.SortedFunc(maps.Keys(m), func(x, y media.Ref) int { return bytes.Compare(x[:], y[:]) })
}
