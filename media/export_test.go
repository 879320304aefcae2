package media

import (
	"bufio"
	"bytes"
)

// WalkJPEG and WalkPNG open the walkers to the fuzz targets.
func WalkJPEG(b []byte, maxPixels int64) (width, height int, err error) {
	return walkJPEG(bufio.NewReader(bytes.NewReader(b)), maxPixels)
}

func WalkPNG(b []byte, maxPixels int64) (width, height int, err error) {
	return walkPNG(bufio.NewReader(bytes.NewReader(b)), maxPixels)
}
