// Package media says what a photo is and lets photos in.
//
// [Receive] is the only gate. It reads a picture from any stream, and either
// refuses it with a [Refused] that says what to do, or keeps its original bytes
// in an [Originals] store, untouched and safe on the disk, and hands back a
// [Photo]:
//
//	photo, err := media.Receive(ctx, originals, upload, media.DefaultLimits())
//	var no *media.Refused
//	switch {
//	case errors.As(err, &no):
//		show(no.Error()) // "this is a TIFF picture; save it as JPEG or PNG and add that"
//	case err != nil:
//		return err // the network or the disk
//	}
//
// The gate never decodes a picture. It walks over the markers of a JPEG (ITU-T
// T.81, annex B) or the chunks of a PNG (W3C PNG, third edition, section 5),
// stops at the first byte over a limit, and so needs the same few kilobytes of
// memory for any file. What it lets through is complete: a JPEG reaches its end
// marker, and every chunk of a PNG has the right checksum up to its last one.
//
// A photo is named by its [Ref], the SHA-256 of its original bytes. Journal
// entries hold Refs; the bytes may be on this machine, on another, or withdrawn.
package media

import "fmt"

// Format is how a picture is written. The zero value is not a format. The numbers
// may be stored: never change their order.
type Format uint8

// The formats that the gate lets in.
const (
	JPEG Format = 1
	PNG  Format = 2
)

// String is the name that a person knows the format by.
func (f Format) String() string {
	switch f {
	case JPEG:
		return "JPEG"
	case PNG:
		return "PNG"
	default:
		return fmt.Sprintf("Format(%d)", uint8(f))
	}
}

// MediaType is the registered media type, such as "image/jpeg"; "" for a format
// that is not one.
func (f Format) MediaType() string {
	switch f {
	case JPEG:
		return "image/jpeg"
	case PNG:
		return "image/png"
	default:
		return ""
	}
}

// A Photo is what the gate found out about an original.
type Photo struct {
	Ref    Ref
	Bytes  int64 // length of the original
	Format Format

	// Width and Height in pixels as stored, before the camera's note about how
	// it was held is followed: an upright phone photo is usually stored lying.
	Width, Height int

	// Progressive is set of a JPEG whose picture comes in passes over the whole
	// of it: whoever decodes it holds all of it, at whatever size it is wanted.
	Progressive bool

	// PerPixel is how many bytes of memory a decoder takes for each pixel, at most.
	PerPixel int
}

// Memory is how much memory decoding the picture takes, at most: a few kilobytes of a file
// may unfold to hundreds of megabytes.
func (p Photo) Memory() int64 {
	return p.Bytes + int64(p.Width)*int64(p.Height)*int64(p.PerPixel)
}
