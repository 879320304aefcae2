package dossier

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/bag"
	"fettlebook/journal/evidence"
	"fettlebook/journal/record"
	"fettlebook/media"
	"fettlebook/media/thumb"
	"fettlebook/media/until"
)

// pair is what tells photographs apart: entries cite both hashes.
type pair struct{ ref, thumb media.Ref }

// original is what the chosen entries say of a photograph, whatever its
// thumbnail.
type original struct {
	withdrawn bool
	others    string // why it may show another customer's car; "" if it does not
}

// cites notes that an entry cites a photograph. One entry that may show
// somebody else's car is enough to leave it out.
func (b *build) cites(at evidence.At, p journal.Photo, l *record.Line) {
	k := pair{p.Ref, p.Thumb}
	s := b.shots[k]
	if s == nil {
		s = &evidence.Photo{Ref: p.Ref, Thumb: p.Thumb}
		b.shots[k] = s
		b.order = append(b.order, k)
	}
	if n := len(s.Cited); n == 0 || s.Cited[n-1] != at {
		s.Cited = append(s.Cited, at)
	}
	is := b.originals[p.Ref]
	is.others = cmp.Or(is.others, b.ofOthers(l))
	if l != nil {
		is.withdrawn = is.withdrawn || slices.ContainsFunc(l.Photos, func(shown record.Photo) bool { return shown.Ref == p.Ref && !shown.Withdrawn.IsZero() })
	}
	b.originals[p.Ref] = is
}

// unshown says why a photograph must not be shown; "" of one that may. Papers ask,
// too.
func (b *build) unshown(ref media.Ref) string {
	why := func(because string) string {
		return fmt.Sprintf("This photograph is left out: %s. Its hash stays in the record.", because)
	}
	is, known := b.originals[ref]
	switch {
	case !known:
		return why("the entry that shows it is not in this dossier")
	case is.withdrawn:
		return why(evidence.Withdrawn.Says())
	case is.others != "":
		return why(evidence.OfOthers.Says())
	case b.asked.Photos == evidence.NoPhotos:
		return "No photographs were asked for."
	}
	return ""
}

// packPhotos writes the photographs, each read once.
func (b *build) packPhotos(out *bag.Writer) error {
	p := &packing{build: b, out: out, packed: make(map[string]bool), became: make(map[media.Ref]became)}
	for _, k := range b.order {
		s := b.shots[k]
		if err := p.photo(s); err != nil {
			return err
		}
		if why := p.originals[s.Ref].others; s.Missing == evidence.OfOthers {
			b.leave("photographs", why)
		}
		b.d.Photos = append(b.d.Photos, *s)
	}
	return nil
}

// weigh adds up the originals that are to be packed, and refuses what no bag
// holds before the first of them is read.
func (b *build) weigh(*bag.Writer) error {
	if b.asked.Photos != evidence.Originals {
		return nil
	}
	seen := make(map[media.Ref]bool)
	for _, k := range b.order {
		if seen[k.ref] || b.unshown(k.ref) != "" {
			continue
		}
		seen[k.ref] = true
		in, size, err := b.Originals.Open(b.ctx, k.ref)
		if errors.Is(err, media.ErrNotHere) {
			continue
		}
		if err != nil {
			return fmt.Errorf("look for photograph %s: %w", k.ref, err)
		}
		if err := in.Close(); err != nil {
			return fmt.Errorf("look for photograph %s: %w", k.ref, err)
		}
		b.weight += size
	}
	if b.weight > mostWeight {
		return &TooLarge{Sentence: fmt.Sprintf("The photographs come to %.1f GB, and a dossier takes at most %.1f GB of them. Ask for thumbnails, or build one for each job.", math.Ceil(float64(b.weight)/1e8)/10, math.Floor(mostWeight/1e8)/10)}
	}
	return nil
}

// mostWeight leaves room for all else in a dossier. What does not fit all the
// same is found when it is packed.
const mostWeight = bag.MaxBytes - 256<<20

// packing writes photographs. Two entries may cite one with two thumbnails.
type packing struct {
	*build
	out    *bag.Writer
	done   int64
	packed map[string]bool      // paths
	became map[media.Ref]became // originals that were packed
	buffer bytes.Buffer         // of one original
}

// became is what became of an original.
type became struct {
	ext      evidence.Ext
	original bool
	copied   media.Ref
	missing  evidence.Missing
}

func (p *packing) photo(s *evidence.Photo) error {
	if err := p.ctx.Err(); err != nil {
		return err
	}
	switch is := p.originals[s.Ref]; {
	case is.withdrawn:
		s.Missing = evidence.Withdrawn
		return nil
	case is.others != "":
		s.Missing = evidence.OfOthers
		return nil
	}
	if p.asked.Photos == evidence.NoPhotos {
		return nil
	}
	if err := p.thumb(s); err != nil || p.asked.Photos != evidence.Originals {
		return err
	}
	got, known := p.became[s.Ref]
	if !known {
		var err error
		if got, err = p.original(s.Ref); err != nil {
			return fmt.Errorf("photograph %s: %w", s.Ref, err)
		}
		p.became[s.Ref] = got
	}
	s.Ext, s.Original, s.Copy, s.Missing = got.ext, got.original, got.copied, got.missing
	return nil
}

// thumb packs a thumbnail, if it is here and is the one that was cited.
func (p *packing) thumb(s *evidence.Photo) error {
	raw, err := p.Thumbs.Thumb(p.ctx, s.Thumb)
	if errors.Is(err, media.ErrNotHere) || err == nil && media.RefOf(raw) != s.Thumb {
		return nil
	}
	if err != nil {
		return fmt.Errorf("thumbnail %s: %w", s.Thumb, err)
	}
	if path := evidence.ThumbPath(s.Thumb); !p.packed[path] {
		p.packed[path] = true
		if _, err := p.out.AddBytes(p.ctx, path, raw); err != nil {
			return err
		}
	}
	s.Thumbnail = true
	return nil
}

// original packs an original as it is, or a copy of it without location. One
// that holds nothing but the picture is its own copy.
func (p *packing) original(ref media.Ref) (is became, err error) {
	raw, err := p.read(ref)
	switch {
	case errors.Is(err, media.ErrNotHere):
		return became{missing: evidence.NotYetHere}, nil
	case err != nil:
		return is, err
	case media.RefOf(raw) != ref:
		return became{missing: evidence.Spoilt}, nil
	}
	format, err := media.FormatOf(raw[:min(len(raw), media.HeadLen)])
	if err != nil {
		return became{missing: evidence.Unreadable}, nil
	}
	is.ext = evidence.ExtOf(format)
	if p.asked.Location {
		is.original = true
		_, err = p.out.AddBytes(p.ctx, evidence.OriginalPath(ref, is.ext), raw)
		return is, err
	}
	parts, bare, err := strip(raw, format)
	switch {
	case err != nil:
		return became{missing: evidence.Unreadable}, nil
	case bare:
		is.original = true
		_, err = p.out.AddBytes(p.ctx, evidence.OriginalPath(ref, is.ext), raw)
	default:
		var hash bag.Hash
		hash, err = p.out.Add(p.ctx, evidence.CopyPath(ref, is.ext), parts)
		is.copied = media.Ref(hash)
	}
	return is, err
}

// strip takes everything out of a photograph but the picture and how it is to
// be turned.
func strip(raw []byte, format media.Format) (parts io.Reader, bare bool, err error) {
	notes, err := thumb.Camera(bytes.NewReader(raw), format)
	if err != nil {
		return nil, false, err
	}
	return media.Strip(raw, format, int(notes.Orientation))
}

// read reads an original into the buffer, and tells how far it is.
func (p *packing) read(ref media.Ref) (raw []byte, err error) {
	in, size, err := p.Originals.Open(p.ctx, ref)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, in.Close()) }()
	p.buffer.Reset()
	p.buffer.Grow(int(min(size, media.MaxBytes)) + bytes.MinRead)
	if _, err := p.buffer.ReadFrom(io.LimitReader(until.Done(p.ctx, in), media.MaxBytes+1)); err != nil {
		return nil, err
	}
	p.done += int64(p.buffer.Len())
	p.tell(Photographing, p.done, p.weight)
	return p.buffer.Bytes(), nil
}
