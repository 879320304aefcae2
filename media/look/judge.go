package look

import (
	"fmt"
	"strings"
	"time"

	"fettlebook/media"
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
	Blur   float64       // Picture.Blur at or above: blurred
	Edges  float64       // Picture.Edges below: too plain to say anything of blur
	Dark   float64       // Picture.Dark at or above: too dark
	Dim    float64       // Picture.Mean below: too dark
	Bright float64       // Picture.Bright at or above: blown out
	Same   int           // distance of fingerprints up to which two show the same
	Clock  time.Duration // between two clocks: more is worth a word
}

// DefaultLimits are those at which drawn pictures of workshop scenes and a few
// dozen photographs by real cameras are told right. There is no published figure
// for any of them but Clock.
func DefaultLimits() Limits {
	return Limits{
		// Sharp scenes measure 0.21 to 0.32, sharp photographs 0.13 to 0.42;
		// both measure 0.51 to 0.72 once blurred by a sigma of two pixels, a smear
		// of about a hundredth of the picture's width.
		Blur: 0.5,

		// Sharp pictures have 1.8 and more, and even a scene blurred by a sigma
		// of twelve pixels 0.32. An unevenly lit wall has up to 0.21.
		Edges: 0.25,

		// A part on a dark bench leaves much black and is fine, so most of the
		// picture must be black, or the whole of it dim. Scenes have a mean of 82
		// and more, nearly all of the photographs 47 and more.
		Dark: 0.75,
		Dim:  38,

		// A lamp in the picture or a bright sheet of paper burns out less than an
		// eighth of it. From a third on, the part is in it.
		Bright: 0.35,

		// Of 64. A picture encoded anew or made a little brighter differs in 0 or
		// 1, rarely in up to 3. Scenes of the same work at two corners of a car
		// differ in 3 and more, so 3 would warn without reason.
		Same: 2,

		// The journal allows as much between two devices.
		Clock: 10 * time.Minute,
	}
}

// Judge says what is doubtful about a picture, the picture itself first.
func Judge(p Picture, c Circumstances, l Limits) []Finding {
	var list []Finding
	say := func(what Doubt, format string, args ...any) {
		list = append(list, Finding{what, fmt.Sprintf(format, args...)})
	}
	if p.Edges >= l.Edges && p.Blur >= l.Blur {
		say(Blurred, "Blurred: hold still, tap the part on the screen to focus, and take it again.")
	}
	if p.Mean < l.Dim || p.Dark >= l.Dark {
		say(TooDark, "Too dark: bring a lamp and take it again.")
	}
	if p.Bright >= l.Bright {
		say(BlownOut, "Blown out: turn it out of the light, or step back from the lamp, and take it again.")
	}
	if k, ok := nearest(p.Print, c.Others, l.Same); ok && p.Edges >= l.Edges { // plain pictures all look the same
		say(SameAgain, "Looks like the photograph already taken of %s. Check that this is the right part.", k.Where)
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
// doubt. A time before the job is one doubt, not two: one wrong clock, or one
// old picture.
func clocks(c Circumstances, l Limits) []Finding {
	zone := c.Now.Location()
	taken, ok := media.CameraTime(c.Camera, zone)
	if !ok {
		return nil
	}
	stamp := func(t time.Time) string { return t.In(zone).Format("2 January 2006 15:04") }
	if early := c.Began.Sub(taken); !c.Began.IsZero() && early > l.Clock {
		return []Finding{{BeforeJob, fmt.Sprintf(
			"Taken before this job began, by the camera’s clock: at %s; the job was opened %s later, at %s. Take a new one, or set the camera’s clock.",
			stamp(taken), plain(early), stamp(c.Began))}}
	}
	off := taken.Sub(c.Now)
	if off.Abs() <= l.Clock {
		return nil
	}
	which := "behind"
	if off > 0 {
		which = "ahead"
	}
	return []Finding{{CameraClock, fmt.Sprintf(
		"The camera says %s and this device %s, so the camera’s clock is %s %s. If the photograph was taken just now, set the camera’s clock.",
		stamp(taken), stamp(c.Now), plain(off.Abs()), which)}}
}

// plain says a stretch of time in its largest unit and, if there is some left,
// the next: "1 hour 50 minutes".
func plain(d time.Duration) string {
	const day = 24 * time.Hour
	units := []struct {
		of   time.Duration
		name string
	}{{365 * day, "year"}, {day, "day"}, {time.Hour, "hour"}, {time.Minute, "minute"}}
	var said []string
	for _, u := range units {
		n := d / u.of
		d -= n * u.of
		switch {
		case n == 0 && len(said) > 0:
			return said[0]
		case n == 0:
			continue
		case n == 1:
			said = append(said, "1 "+u.name)
		default:
			said = append(said, fmt.Sprintf("%d %ss", n, u.name))
		}
		if len(said) == 2 {
			return strings.Join(said, " ")
		}
	}
	if len(said) == 0 {
		return "less than a minute"
	}
	return said[0]
}
