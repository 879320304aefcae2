package media

import (
	"bufio"
	"bytes"
)

// WalkJPEG and WalkPNG open the walkers to the fuzz targets.
func WalkJPEG(b []byte, maxPixels int64) (width, height int, err error) {
	f, err := walkJPEG(bufio.NewReader(bytes.NewReader(b)), maxPixels)
	return f.width, f.height, err
}

func WalkPNG(b []byte, maxPixels int64) (width, height int, err error) {
	f, err := walkPNG(bufio.NewReader(bytes.NewReader(b)), maxPixels)
	return f.width, f.height, err
}
