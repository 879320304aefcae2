// The draw program draws the pictures of the demonstration, which the program
// carries as they are:
//
//	go run ./testdata/pictures/draw cmd/internal/demo/pictures
//
// A picture is drawn again when its line in the album or the drawing changes;
// tests in cmd/internal/demo hold the files against the drawing.
package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"

	"fettlebook/testdata/pictures/scene"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: draw <folder>")
		os.Exit(2)
	}
	if err := draw(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func draw(folder string) error {
	album, err := scene.Album()
	if err != nil {
		return err
	}
	for _, p := range album {
		var b bytes.Buffer
		if err := p.JPEG(&b); err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(folder, p.Name+".jpg"), b.Bytes(), 0o644); err != nil {
			return err
		}
	}
	return nil
}
