package media

import "fmt"

// Reason is why a picture was refused: a small fixed set, safe to store, to
// count and to switch on.
type Reason string

// The reasons. Their text is stable.
const (
	Empty         Reason = "empty"           // no bytes at all
	NotAPhoto     Reason = "not-a-photo"     // text, a film, a document, anything else
	WrongFormat   Reason = "wrong-format"    // a picture, but none that this program can show
	TooManyBytes  Reason = "too-many-bytes"  // over Limits.Bytes
	TooManyPixels Reason = "too-many-pixels" // over Limits.Pixels or MaxSide
	Truncated     Reason = "truncated"       // the end is missing
	Damaged       Reason = "damaged"         // complete, but its parts contradict each other
)

// Refused is the error for a picture that the gate does not let in. Its text is
// one sentence for the person who added it. Nothing of the picture was kept.
type Refused struct {
	Reason Reason
	What   string // what is wrong, such as "this is a TIFF picture"
	Do     string // what to do, such as "save it as JPEG or PNG and add that"
}

func (r *Refused) Error() string { return r.What + "; " + r.Do }

const (
	doSave     = "save it as JPEG or PNG and add that"
	doChoose   = "choose a photograph, JPEG or PNG"
	doRetake   = "take the photograph again or choose another file"
	doCopy     = "copy it from the camera again or take it again"
	doLowerRes = "set the camera to a smaller picture, or save it smaller and add that"
)

func empty() *Refused { return &Refused{Empty, "this file is empty", doRetake} }

func tooManyBytes(limit int64) *Refused {
	return &Refused{TooManyBytes, fmt.Sprintf("this file is bigger than %s", megabytes(limit)), doLowerRes}
}

func tooManyPixels(width, height uint32, limit int64) *Refused {
	what := fmt.Sprintf("this picture has %d × %d pixels, more than %d million", width, height, limit/1_000_000)
	if limit < 1_000_000 {
		what = fmt.Sprintf("this picture has %d × %d pixels, more than %d in all", width, height, limit)
	}
	if width > MaxSide || height > MaxSide {
		what = fmt.Sprintf("this picture has %d × %d pixels, and neither side may have more than %d", width, height, MaxSide)
	}
	return &Refused{TooManyPixels, what, doLowerRes}
}

// TooHeavy refuses a picture whose decoding would take more than [MaxMemory].
func TooHeavy(p Photo) *Refused {
	return &Refused{TooManyPixels, fmt.Sprintf("this %s has %d × %d pixels and would take %s of memory to be shown, more than %s", p.Format, p.Width, p.Height, megabytes(p.Memory()), megabytes(MaxMemory)),
		"save it smaller, or as an ordinary JPEG, and add that"}
}

func truncated(f Format) *Refused {
	return &Refused{Truncated, fmt.Sprintf("the end of this %s is missing", f), doCopy}
}

func damaged(f Format, how string) *Refused {
	return &Refused{Damaged, fmt.Sprintf("this %s is damaged: %s", f, how), doCopy}
}

func unusualJPEG(kind string) *Refused {
	return &Refused{WrongFormat, "this is a JPEG of a rare kind (" + kind + ")", "save it as an ordinary JPEG or as PNG and add that"}
}

// megabytes writes a limit as a person would set it.
func megabytes(n int64) string {
	switch {
	case n >= 1<<20:
		return fmt.Sprintf("%d MB", n>>20)
	case n >= 1<<10:
		return fmt.Sprintf("%d kB", n>>10)
	default:
		return fmt.Sprintf("%d bytes", n)
	}
}
