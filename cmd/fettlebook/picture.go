package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"fettlebook/cmd/internal/exit"
	"fettlebook/journal"
	"fettlebook/media"
	"fettlebook/media/thumb"
)

// photosField is where every kind's data has its photos.
const photosField = "photos"

// picture is a file with a photograph, and what it shows: "torque.jpg" or
// "torque.jpg:torque line".
type picture struct{ file, shows string }

// UnmarshalText reads FILE or FILE:WHAT. The colon of a drive is part of the
// file's name, and so is any in the name of a file that is there.
func (p *picture) UnmarshalText(text []byte) error {
	*p = picture{file: string(text)}
	if len(p.file) < 3 {
		return nil
	}
	if _, err := os.Stat(p.file); err == nil {
		return nil
	}
	if i := strings.IndexByte(p.file[2:], ':'); i >= 0 {
		p.file, p.shows = string(text[:2+i]), strings.TrimSpace(string(text[2+i+1:]))
	}
	return nil
}

func (p picture) open() (*os.File, error) {
	f, err := os.Open(p.file)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &exit.Error{Status: exit.NotFound, Sentence: fmt.Sprintf("there is no photograph %s", p.file), Err: err}
	}
	if err != nil {
		return nil, fmt.Errorf("open photo: %w", err)
	}
	info, err := f.Stat()
	if err == nil && !info.Mode().IsRegular() {
		err = &exit.Error{Status: exit.Refused, Sentence: fmt.Sprintf("%s is not a file with a photograph in it", p.file)}
	}
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return f, nil
}

// look says how an entry will name the photo, and gives its thumbnail. It
// judges the file as the gate will and keeps nothing, so that of several photos
// none is kept if one is bad.
func (p picture) look(ctx context.Context) (journal.Photo, []byte, error) {
	f, err := p.open()
	if err != nil {
		return journal.Photo{}, nil, err
	}
	defer f.Close()
	photo, err := media.Inspect(ctx, f, media.DefaultLimits())
	if err != nil {
		return journal.Photo{}, nil, fmt.Errorf("photo %s: %w", p.file, err)
	}
	small, err := thumb.Make(ctx, f, photo)
	if err != nil && ctx.Err() == nil {
		err = &exit.Error{Status: exit.Refused, Err: err,
			Sentence: fmt.Sprintf("photo %s: the picture in it cannot be made out; copy it from the camera again or take it again", p.file)}
	}
	if err != nil {
		return journal.Photo{}, nil, err
	}
	camera, err := thumb.Camera(f, photo.Format)
	return journal.Photo{Ref: photo.Ref, Thumb: small.Ref, Role: p.shows, Taken: journal.CameraTime(camera.Taken)}, small.Bytes, err
}

// snap takes the photo in.
func (p picture) snap(ctx context.Context, w writer) (journal.Photo, []byte, error) {
	f, err := p.open()
	if err != nil {
		return journal.Photo{}, nil, err
	}
	defer f.Close()
	photo, small, err := w.Snap(ctx, f, p.shows)
	if err != nil {
		return journal.Photo{}, nil, fmt.Errorf("photo %s: %w", p.file, err)
	}
	return photo, small, nil
}
