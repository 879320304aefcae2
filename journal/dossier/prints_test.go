package dossier_test

import (
	"bytes"

	"fettlebook/journal"
	"fettlebook/media"
	"fettlebook/media/mediatest"
	"fettlebook/media/thumb"
)

// prints are the photographs that were taken so far, in whichever office: the
// n-th is the same in each.
var prints = struct {
	*mediatest.Memory
	taken  map[int]journal.Photo
	number map[media.Ref]int // of an original
	thumbs map[media.Ref][]byte
}{mediatest.NewMemory(), make(map[int]journal.Photo), make(map[media.Ref]int), make(map[media.Ref][]byte)}

// shoot takes the n-th photograph, with a location in every second.
func (o *office) shoot(n int) journal.Photo {
	if p, ok := prints.taken[n]; ok {
		return p
	}
	picture, turned := mediatest.Fields(48, 36, uint64(n)), 1+n%8
	var exif []byte
	if n%2 == 0 {
		exif = mediatest.Exif(mediatest.ExifTags{Orientation: turned, DateTimeOriginal: "2026:03:02 08:12:44", Location: true})
		picture = mediatest.Stored(picture, turned)
	}
	original := mediatest.JPEG(picture, 85, exif)
	taken, err := media.Inspect(o.ctx, bytes.NewReader(original), media.DefaultLimits())
	o.must(err)
	made, err := thumb.Make(o.ctx, bytes.NewReader(original), taken)
	o.must(err)
	p := journal.Photo{Ref: taken.Ref, Thumb: made.Ref}
	d, err := prints.Create(o.ctx)
	o.must(err)
	_, err = d.Write(original)
	o.must(err)
	o.must(d.Commit(o.ctx, p.Ref))
	prints.taken[n], prints.number[p.Ref], prints.thumbs[p.Thumb] = p, n, made.Bytes
	return p
}

// photograph takes a photograph that nobody took before, and returns its
// thumbnail too.
func (o *office) photograph() (journal.Photo, [][]byte) {
	p := o.shoot(len(prints.taken) + 100000)
	return p, [][]byte{prints.thumbs[p.Thumb]}
}
