// The draw program draws the pictures of the demonstration, which the program
// carries as they are:
//
//	go run ./testdata/pictures/draw cmd/internal/demo/pictures cmd/internal/demo/darkroom/plates
//
// The first folder gets the album of the day, the second the plates of which
// the photographs of a year are made.
//
// A picture is drawn again when its line in the album or the drawing changes;
// tests in cmd/internal/demo hold the files against the drawing.
package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"fettlebook/testdata/pictures/scene"
)

func main() {
	if len(os.Args) != 3 {
		fmt.Fprintln(os.Stderr, "usage: draw <folder of the album> <folder of the plates>")
		os.Exit(2)
	}
	if err := errors.Join(album(os.Args[1]), plates(os.Args[2])); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func album(folder string) error {
	list, err := scene.Album()
	if err != nil {
		return err
	}
	for _, p := range list {
		if err := draw(folder, p.Name, p); err != nil {
			return err
		}
	}
	return nil
}

func plates(folder string) error {
	for _, p := range scene.Plates() {
		if err := draw(folder, p.Name, p); err != nil {
			return err
		}
	}
	return nil
}

// picture is what can be drawn.
type picture interface{ JPEG(w io.Writer) error }

func draw(folder, name string, p picture) error {
	var b bytes.Buffer
	if err := p.JPEG(&b); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(folder, name+".jpg"), b.Bytes(), 0o644)
}
