package demo

import (
	"bytes"
	"embed"
	"fmt"
	"strings"
	"time"
)

// The pictures are drawn by the program in testdata/pictures, and hold no
// photograph of anything.
//
//go:embed pictures/*.jpg
var pictures embed.FS

// undated and atUTC stand in a picture's EXIF for the time and the zone that
// it was taken at. What is put there is as long.
const (
	undated = "0001:01:01 00:00:00"
	atUTC   = "+00:00"
)

// Picture returns the picture of that name as a camera would hand it out that
// takes it now: a JPEG with its time in the EXIF. The names are those of the
// stages with a number, from 1: masked-1, masked-2.
func Picture(name string, now time.Time) ([]byte, error) {
	raw, err := pictures.ReadFile("pictures/" + name + ".jpg")
	if err != nil {
		return nil, fmt.Errorf("there is no picture %q in the demonstration", name)
	}
	for is, becomes := range map[string]string{undated: now.Format("2006:01:02 15:04:05"), atUTC: now.Format("-07:00")} {
		if bytes.Count(raw, []byte(is)) != 1 {
			return nil, fmt.Errorf("the picture %q has no place for the time that it is taken at", name)
		}
		raw = bytes.Replace(raw, []byte(is), []byte(becomes), 1)
	}
	return raw, nil
}

// Pictures lists the names of the pictures that show a stage.
func Pictures(stage string) []string {
	var names []string
	files, _ := pictures.ReadDir("pictures") // it is embedded
	for _, f := range files {
		name := strings.TrimSuffix(f.Name(), ".jpg")
		if shows, _, _ := strings.Cut(name, "-"); shows == stage {
			names = append(names, name)
		}
	}
	return names
}
