package look

import (
	"fmt"
	"time"
)

// Doubt is what may be wrong with a photograph.
type Doubt string

// The doubts.
const (
	Blurred     Doubt = "blurred"
	TooDark     Doubt = "too dark"
	BlownOut    Doubt = "blown out"
	SameAgain   Doubt = "same as another"
	CameraClock Doubt = "camera clock"
	BeforeJob   Doubt = "before the job"
)

// Finding is one doubt, said while the photograph can be taken again.
type Finding struct {
	What Doubt
	Say  string // a sentence: what is wrong and what to do
}

// Known is a photograph that is here already.
type Known struct {
	Print Fingerprint
	Where string // what it is of: "RF caliper, masked bores"
}

// Circumstances are what is known around a photograph.
type Circumstances struct {
	// Camera is when the camera says it was taken, in RFC 3339 with or without
	// a zone; "" if it says nothing. Without a zone it is taken for a time in
	// that of Now.
	Camera string
	Now    time.Time // of this device
	Began  time.Time // when the job was opened; zero if that is not known
	Others []Known
}

// Limits are from where on something is worth a word.
type Limits struct {
	Blur   float64       // at or above: blurred
	Edges  float64       // below: too plain to say anything of blur
	Dark   float64       // share of pixels nearly black
	Dim    float64       // mean brightness
	Bright float64       // share of pixels nearly white
	Same   int           // distance of fingerprints up to which two show the same
	Clock  time.Duration // between camera and device
}

// DefaultLimits are those at which the drawn pictures of this package's tests,
// and those of the demonstration, are told right; common practice has no
// figures for them.
func DefaultLimits() Limits {
	return Limits{
		Blur:   0.6, // drawn scenes have 0.2 to 0.3, blurred by two pixels of the thumbnail 0.5 to 0.7
		Edges:  0.5,
		Dark:   0.75, // a part on a dark bench leaves much black and is fine
		Dim:    38,
		Bright: 0.35, // a white wall behind the part is not
		Same:   3,    // of 64; the same picture encoded anew differs in 0 to 2
		Clock:  10 * time.Minute,
	}
}

// Judge says what is doubtful about a picture, the picture itself first.
func Judge(p Picture, c Circumstances, l Limits) []Finding {
	var list []Finding
	say := func(what Doubt, format string, args ...any) {
		list = append(list, Finding{what, fmt.Sprintf(format, args...)})
	}
	if p.Edges >= l.Edges && p.Blur >= l.Blur {
		say(Blurred, "Blurred: hold still, tap on the part to focus, and take it again.")
	}
	if p.Mean < l.Dim || p.Dark >= l.Dark {
		say(TooDark, "Too dark: bring a lamp and take it again.")
	}
	if p.Bright >= l.Bright {
		say(BlownOut, "Blown out: turn it out of the light, or step back from the lamp, and take it again.")
	}
	if k, ok := nearest(p.Print, c.Others, l.Same); ok {
		say(SameAgain, "This looks like the picture of %s: look whether it is the right part.", k.Where)
	}
	return append(list, clocks(c, l)...)
}

// nearest finds the known picture that shows the same.
func nearest(f Fingerprint, others []Known, most int) (found Known, ok bool) {
	for _, k := range others {
		if d := f.Distance(k.Print); d <= most {
			found, ok, most = k, true, d-1
		}
	}
	return found, ok
}

// clocks compares the camera's clock. A camera that says nothing is in no
// doubt.
func clocks(c Circumstances, l Limits) (list []Finding) {
	taken, ok := cameraTime(c.Camera, c.Now.Location())
	if !ok {
		return nil
	}
	off := taken.Sub(c.Now)
	if !c.Began.IsZero() && taken.Before(c.Began.Add(-l.Clock)) {
		return []Finding{{BeforeJob, fmt.Sprintf("The camera says %s, before this job was opened: an old picture, or its clock is wrong. The journal keeps both times.", stamp(taken))}}
	}
	if off.Abs() > l.Clock {
		which := "behind"
		if off > 0 {
			which = "ahead of"
		}
		return []Finding{{CameraClock, fmt.Sprintf("The camera's clock says %s, %s %s this device's. Set the camera's clock; the journal keeps both times.", stamp(taken), plain(off.Abs()), which)}}
	}
	return nil
}

func cameraTime(text string, zone *time.Location) (time.Time, bool) {
	if t, err := time.Parse(time.RFC3339Nano, text); err == nil {
		return t, true
	}
	t, err := time.ParseInLocation("2006-01-02T15:04:05.999999999", text, zone)
	return t, err == nil
}

func stamp(t time.Time) string { return t.Format("2 January 2006 15:04") }

// plain says a stretch of time in its largest unit.
func plain(d time.Duration) string {
	units := []struct {
		of   time.Duration
		name string
	}{{365 * 24 * time.Hour, "year"}, {24 * time.Hour, "day"}, {time.Hour, "hour"}, {time.Minute, "minute"}}
	for _, u := range units {
		if n := int64(d / u.of); n > 0 {
			if n > 1 {
				u.name += "s"
			}
			return fmt.Sprintf("%d %s", n, u.name)
		}
	}
	return "less than a minute"
}
