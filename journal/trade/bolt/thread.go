// Package bolt estimates what a tightened bolt does: the clamp that a torque gives, the
// share of the bolt's proof load that it takes, and the clamp that is lost when a film
// of powder creeps away under the head.
//
// It promises ranges where friction is unknown, as it nearly always is: the same torque
// gives a dry bolt half the clamp of an oiled one. Its figures explain a specification
// and never replace one; the vehicle maker's torque wins.
//
//	thread, err := bolt.ParseThread("M12x1.25")
//	clamp, err := bolt.ClampOf(bolt.Bolt{Thread: thread, Class: bolt.Class10_9}, torque, bolt.DrySteel())
//	clamp.Say() // "105 N.m on M12x1.25 of class 10.9 clamps with about 32.4 to 48.6 kN …"
//
// A thread is written M12x1.25, or M12 for the coarse pitch, with x or ×.
package bolt

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// Thread is an ISO metric thread, both figures in mm. Make one with ParseThread.
type Thread struct {
	Diameter float64
	Pitch    float64
}

// Error says why figures cannot be used.
type Error = sheet.Error

// pitches returns the pitches of a diameter in mm, the coarse one first (ISO 261, from
// memory), or nothing for a diameter that has none between M3 and M39.
func pitches(diameter float64) []float64 {
	switch diameter {
	case 3:
		return []float64{0.5, 0.35}
	case 3.5:
		return []float64{0.6, 0.35}
	case 4:
		return []float64{0.7, 0.5}
	case 5:
		return []float64{0.8, 0.5}
	case 6, 7:
		return []float64{1, 0.75}
	case 8, 9:
		return []float64{1.25, 1, 0.75}
	case 10:
		return []float64{1.5, 1.25, 1, 0.75}
	case 11:
		return []float64{1.5, 1, 0.75}
	case 12:
		return []float64{1.75, 1.5, 1.25, 1}
	case 14:
		return []float64{2, 1.5, 1.25, 1}
	case 16:
		return []float64{2, 1.5, 1}
	case 18, 20, 22:
		return []float64{2.5, 2, 1.5, 1}
	case 24, 27:
		return []float64{3, 2, 1.5, 1}
	case 30:
		return []float64{3.5, 3, 2, 1.5, 1}
	case 33:
		return []float64{3.5, 3, 2, 1.5}
	case 36, 39:
		return []float64{4, 3, 2, 1.5}
	}
	return nil
}

// ParseThread reads a thread such as "M12x1.25" or "M10". Errors are of type *Error.
func ParseThread(text string) (Thread, error) {
	refuse := func(format string, args ...any) (Thread, error) {
		quoted := strings.TrimSpace(text)
		if runes := []rune(quoted); len(runes) > 20 {
			quoted = string(runes[:20]) + "…"
		}
		return Thread{}, sheet.Refuse("the thread", strconv.Quote(quoted), fmt.Sprintf(format, args...))
	}
	bare, isMetric := strings.CutPrefix(strings.ToUpper(strings.Join(strings.Fields(text), "")), "M")
	if !isMetric {
		return refuse("write an ISO metric thread such as M12x1.25, or M10 for the coarse pitch")
	}
	first, second, pitched := strings.Cut(strings.ReplaceAll(bare, "×", "X"), "X")
	diameter, ok := readNumber(first)
	if !ok {
		return refuse("the diameter after M is not a number: write for example M12x1.25")
	}
	known := pitches(diameter)
	if known == nil {
		return refuse("there is no thread of this diameter between M3 and M39: measure again across the thread")
	}
	if !pitched {
		return Thread{diameter, known[0]}, nil
	}
	pitch, ok := readNumber(second)
	if !ok {
		return refuse("the pitch after x is not a number: write for example M12x1.25")
	}
	if !slices.Contains(known, pitch) {
		return refuse("M%g has a pitch of %s mm", diameter, list(known))
	}
	return Thread{diameter, pitch}, nil
}

// readNumber takes a number without a sign.
func readNumber(text string) (float64, bool) {
	value, err := unit.Number(text)
	return value, err == nil && '0' <= text[0] && text[0] <= '9'
}

func list(values []float64) string {
	texts := make([]string, len(values))
	for i, v := range values {
		texts[i] = fmt.Sprint(v)
	}
	return words.Or(texts...)
}

// String returns the thread with its pitch: "M12x1.25".
func (t Thread) String() string { return fmt.Sprintf("M%gx%g", t.Diameter, t.Pitch) }

// check refuses no thread, and one that was made up instead of parsed.
func (t Thread) check() error {
	switch {
	case t.IsZero():
		return sheet.Refuse("the thread", "not entered", "write for example M12x1.25")
	case !slices.Contains(pitches(t.Diameter), t.Pitch):
		return sheet.Refuse("the thread", t.String(), "there is no such thread between M3 and M39: check diameter and pitch")
	}
	return nil
}

// IsZero reports whether there is no thread.
func (t Thread) IsZero() bool { return t == Thread{} }

// MarshalText returns what String does, or nothing for no thread.
func (t Thread) MarshalText() ([]byte, error) {
	if t.IsZero() {
		return nil, nil
	}
	return []byte(t.String()), nil
}

// UnmarshalText does what ParseThread does, except that empty text stands for no thread.
func (t *Thread) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*t = Thread{}
		return nil
	}
	got, err := ParseThread(string(text))
	if err != nil {
		return err
	}
	*t = got
	return nil
}

// pitchDiameter and rootDiameter are d2 and d3 of ISO 724 and ISO 898-1, in mm.
func (t Thread) pitchDiameter() float64 { return t.Diameter - 0.6495*t.Pitch }
func (t Thread) rootDiameter() float64  { return t.Diameter - 1.2269*t.Pitch }

// StressArea returns the nominal stress area in mm², π/4·((d2 + d3)/2)² (ISO 898-1), from
// the geometry of ISO 724.
func (t Thread) StressArea() float64 {
	return circle((t.pitchDiameter() + t.rootDiameter()) / 2)
}

func circle(diameter float64) float64 { return math.Pi / 4 * diameter * diameter }
