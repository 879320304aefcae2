package evidence

import (
	"bytes"
	"context"
	"errors"
	"fmt"

	"fettlebook/journal/bag"
	"fettlebook/journal/words"
	"fettlebook/media"
	"fettlebook/media/alike"
)

// copies looks at the copies of photographs. Nothing but the shop's word says
// that a copy was made of the original whose hash an entry cites. But the entry
// cites the thumbnail too, which is here: a copy has to show what that shows.
type copies struct {
	*reading
	looker alike.Looker
	seen   map[media.Ref]looked // by the original
	buffer bytes.Buffer         // of one copy
	alike  int                  // copies that show what their thumbnails show
}

// looked is a copy that was looked at.
type looked struct {
	alike.Sight
	err error
}

// compare compares a copy with its thumbnail, if both are here as they were
// packed and the entries cite them together.
func (c *copies) compare(ctx context.Context, a *Answer, p *Photo, cited bool) error {
	switch {
	case p.Copy.IsZero():
		return nil
	case !p.Thumbnail:
		a.add(Finding{CopyAlone, Unknown, fmt.Sprintf("A copy is here of %s, and no thumbnail, so nothing shows that it is the same picture.", c.photo(p)), p.Cited, paths(CopyPath(p.Ref, p.Ext))})
		return nil
	case !cited || c.files.Hashes[CopyPath(p.Ref, p.Ext)] != bag.Hash(p.Copy) || c.files.Hashes[ThumbPath(p.Thumb)] != bag.Hash(p.Thumb):
		return nil // which is found elsewhere
	}
	same, err := c.same(ctx, p)
	where := paths(CopyPath(p.Ref, p.Ext), ThumbPath(p.Thumb))
	switch {
	case errors.Is(err, alike.ErrPicture):
		a.add(Finding{NotAPhoto, No, fmt.Sprintf("The copy of %s cannot be read as the picture that it was made of.", c.photo(p)), p.Cited, where})
	case errors.Is(err, alike.ErrThumb):
		a.add(Finding{CopyNoted, Unknown, fmt.Sprintf("The thumbnail of %s cannot be read, so nothing shows that the copy is the same picture.", c.photo(p)), p.Cited, where})
	case errors.Is(err, alike.ErrKind):
		a.add(Finding{CopyNoted, Unknown, fmt.Sprintf("The copy of %s was not compared with its thumbnail: it is of a kind for which that would take too much, or of which a thumbnail shows too little. Look at both.", c.photo(p)), p.Cited, where})
	case err != nil:
		return err
	case !same:
		a.add(Finding{CopyOther, No, fmt.Sprintf("The copy of %s shows another picture than the thumbnail that the entry cites.", c.photo(p)), p.Cited, where})
	default:
		c.alike++
	}
	return nil
}

// same reports whether a copy shows what its thumbnail shows. Each copy is read
// once, however many thumbnails are said to be of it.
func (c *copies) same(ctx context.Context, p *Photo) (bool, error) {
	raw, err := c.load(ThumbPath(p.Thumb), int(media.MaxBytes))
	if err != nil {
		return false, err
	}
	small, err := c.looker.Thumb(ctx, raw)
	if err != nil {
		return false, err
	}
	is, known := c.seen[p.Ref]
	if !known {
		err := c.bag.Into(&c.buffer, CopyPath(p.Ref, p.Ext), int(media.MaxBytes))
		switch {
		case errors.Is(err, bag.ErrBroken): // it is larger than any photograph
			is.err = alike.ErrKind
		case err != nil:
			return false, err
		default:
			is.Sight, is.err = c.looker.Copy(ctx, c.buffer.Bytes())
		}
		c.seen[p.Ref] = is
	}
	if is.err != nil {
		return false, is.err
	}
	return is.Like(small)
}

// says says what was found of those that are alike.
func (c *copies) says() string {
	if c.alike == 0 {
		return ""
	}
	return fmt.Sprintf(" %s, compared in %d squares; whether a smaller part was changed is not shown.",
		words.Either(c.alike, "copy without location shows what the thumbnail beside it shows", "copies without location show what the thumbnails beside them show"), alike.Squares)
}
