package demo

import (
	"embed"
	"fmt"
	"time"

	"fettlebook/cmd/internal/demo/darkroom"
)

// The pictures are drawn by the program in testdata/pictures, and hold no
// photograph of anything.
//
//go:embed pictures/*.jpg
var pictures embed.FS

// Picture returns the picture of that name as a camera would hand it out that
// takes it now: a JPEG with its time in the EXIF. The names are those of the
// stages with a number, from 1: masked-1, masked-2.
func Picture(name string, now time.Time) ([]byte, error) {
	raw, err := pictures.ReadFile("pictures/" + name + ".jpg")
	if err != nil {
		return nil, fmt.Errorf("there is no picture %q in the demonstration", name)
	}
	dated, err := darkroom.Dated(raw, now)
	if err != nil {
		return nil, fmt.Errorf("take the picture %q: %w", name, err)
	}
	return dated, nil
}
