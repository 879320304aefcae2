package darkroom

import (
	"bytes"
	"embed"
	"fmt"
	"image"
	"image/draw"
	"strings"
	"sync"

	"fettlebook/journal/invented"

	"github.com/gen2brain/jpegn"
	"golang.org/x/image/font/gofont/gomonobold"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
)

//go:embed plates/*.jpg
var plates embed.FS

// Room makes prints. It may be used by several goroutines.
type Room struct {
	tones *tones
	hand  *sfnt.Font // of what is written
	names []string

	mu     sync.Mutex
	opened map[string]*plate
}

// plate is a drawn picture, opened.
type plate struct {
	pixels *image.NRGBA
	exif   []byte // of a print: its time is to be put in
}

// Open opens the room.
func Open() (*Room, error) {
	r := &Room{tones: newTones(), opened: make(map[string]*plate)}
	var err error
	if r.hand, err = opentype.Parse(gomonobold.TTF); err != nil {
		return nil, fmt.Errorf("read the letters of a slip: %w", err)
	}
	files, err := plates.ReadDir("plates")
	if err != nil {
		return nil, fmt.Errorf("list the plates: %w", err)
	}
	for _, f := range files {
		r.names = append(r.names, strings.TrimSuffix(f.Name(), ".jpg"))
	}
	return r, nil
}

// choose names the plate of a shot: the one with as many defects as were
// counted, or any of those that show the same.
func (r *Room) choose(s invented.Shot) (string, error) {
	shows := strings.ReplaceAll(string(s.Shows), " ", "-")
	if s.Shows == invented.CloseUp {
		shows = strings.ReplaceAll(s.Look, " ", "-")
	}
	var list []string
	for _, name := range r.names {
		if i := strings.LastIndexByte(name, '-'); name[:i] == shows {
			list = append(list, name)
		}
	}
	switch {
	case len(list) == 0:
		return "", fmt.Errorf("no plate shows %q", shows)
	case s.Count > 0 && s.Count <= len(list):
		return list[s.Count-1], nil
	}
	return list[s.Seed%uint64(len(list))], nil
}

func (r *Room) plate(name string) (*plate, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if p := r.opened[name]; p != nil {
		return p, nil
	}
	p, err := open(name)
	if err != nil {
		return nil, fmt.Errorf("open the plate %s: %w", name, err)
	}
	r.opened[name] = p
	return p, nil
}

func open(name string) (*plate, error) {
	raw, err := plates.ReadFile("plates/" + name + ".jpg")
	if err != nil {
		return nil, err
	}
	img, err := jpegn.Decode(bytes.NewReader(raw), &jpegn.Options{ToRGBA: true})
	if err != nil {
		return nil, err
	}
	p := &plate{pixels: image.NewNRGBA(img.Bounds())}
	draw.Draw(p.pixels, p.pixels.Rect, img, img.Bounds().Min, draw.Src)
	if p.exif, err = jpegn.RawExif(bytes.NewReader(raw)); err != nil {
		return nil, err
	}
	p.exif, err = sized(p.exif, p.pixels.Rect.Size(), image.Pt(Width, Height))
	return p, err
}
