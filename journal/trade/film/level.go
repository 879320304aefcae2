package film

import (
	"fmt"
	"strings"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// Level is a restriction level of SSPC-PA 2: how far readings, spots and areas may lie
// outside the specified range. The zero Level means that none was stated.
type Level int

// The levels, strictest first.
const (
	Level1 Level = iota + 1
	Level2
	Level3
	Level4
	Level5
)

// DefaultLevel holds when no level is stated (SSPC-PA 2, from memory).
const DefaultLevel = Level3

// The spot limits of 80 % and 120 % and five levels with the first as the strictest were
// read in articles about the standard; the rest of the table was not.
const levelSource = "SSPC-PA 2 restriction levels, the table of 2012 and later"

// band is what a level allows, as shares of the least and the greatest thickness; 0 is
// no limit.
type band struct{ least, most float64 }

func (l Level) bands() (reading, spot, area band) {
	switch l {
	case Level1:
		return band{1, 1}, band{1, 1}, band{1, 1}
	case Level2:
		return band{1, 1.2}, band{1, 1}, band{1, 1}
	case Level4:
		return band{}, band{0.8, 1.5}, band{1, 1}
	case Level5:
		return band{}, band{0.8, 0}, band{1, 0}
	default:
		return band{}, band{0.8, 1.2}, band{1, 1}
	}
}

// Violation is one clause that is broken, and where.
type Violation struct {
	Clause  string  // "reading", "spot" or "area"
	Place   string  // of the spot; empty for the area
	Reading int     // from 1; 0 for a spot or the area
	Value   float64 // µm
	Limit   float64 // µm
	Share   float64 // of the specified thickness that the limit is
	Over    bool    // above a greatest instead of below a least
}

func (r *Result) violations() (all []Violation) {
	low, high := r.Spec.Low.In(unit.Micrometre), r.Spec.High.In(unit.Micrometre)
	check := func(b band, v Violation) {
		if v.Limit, v.Share = b.least*low, b.least; b.least > 0 && sheet.Below(v.Value, v.Limit) {
			all = append(all, v)
		}
		if v.Limit, v.Share, v.Over = b.most*high, b.most, true; b.most > 0 && sheet.Above(v.Value, v.Limit) {
			all = append(all, v)
		}
	}
	reading, spot, area := r.Level.bands()
	for _, s := range r.Spots {
		for i, value := range s.Readings {
			check(reading, Violation{Clause: "reading", Place: s.Place, Reading: i + 1, Value: value})
		}
		check(spot, Violation{Clause: "spot", Place: s.Place, Value: s.Mean})
	}
	check(area, Violation{Clause: "area", Value: r.Area})
	return all
}

func (r *Result) warn() {
	if n := len(r.Spots); r.Few() {
		r.Warnings = append(r.Warnings, fmt.Sprintf("only %s: measure %d, such as flat, edge, recess, back and boss", words.Count(n, "spot"), AreaSpots))
	}
	if r.Spec.Source == "" {
		r.Warnings = append(r.Warnings, "the specified range has no source: name the data sheet")
	}
	top := r.Spec.High
	if top.IsZero() {
		top = r.Spec.Low
	}
	if limit := top.In(unit.Micrometre); r.Max > 10*limit {
		r.Warnings = append(r.Warnings, fmt.Sprintf("the highest reading, %s, is more than ten times %s: check the unit, a mil is %s", r.told(r.Max), r.told(limit), r.Spec.Writing.Number("25.4 µm")))
	}
}

// Few reports whether too few spots were measured to call the film in order.
func (r Result) Few() bool { return len(r.Spots) < AreaSpots }

// Say returns the verdict as one sentence. Of too few spots, none of which is outside, it
// says what was read and gives no verdict.
func (r Result) Say() string {
	var b strings.Builder
	spots := words.Count(len(r.Spots), "spot") + " per part"
	if r.Pass && r.Few() {
		spots = fmt.Sprintf("%d of %s", len(r.Spots), words.Count(AreaSpots, "spot"))
	}
	fmt.Fprintf(&b, "PA 2 style, %s, level %d", spots, r.Level)
	if r.Assumed {
		b.WriteString(" (none was stated)")
	}
	if r.Pass && r.Few() {
		fmt.Fprintf(&b, ": the mean so far is %s, specified is %s", r.told(r.Area), r.asked())
		return b.String()
	}
	if r.Pass {
		fmt.Fprintf(&b, ": passes: the mean is %s, specified is %s", r.told(r.Area), r.asked())
		return b.String()
	}
	b.WriteString(": fails: ")
	for i, v := range r.Broken {
		if i > 0 {
			b.WriteString("; ")
		}
		b.WriteString(r.Describe(v))
	}
	return b.String()
}

// Describe names a violation of this result.
func (r Result) Describe(v Violation) string {
	where := "the mean of all spots"
	switch v.Clause {
	case "reading":
		where = fmt.Sprintf("reading %d at spot %s", v.Reading, v.Place)
	case "spot":
		where = "spot " + v.Place
	}
	side, end := "below", "the least"
	if v.Over {
		side, end = "above", "the greatest"
	}
	if v.Share != 1 {
		end = fmt.Sprintf("%.0f %% of %s", 100*v.Share, end)
	}
	return fmt.Sprintf("%s, %s, is %s %s, %s", where, r.told(v.Value), side, r.told(v.Limit), end)
}

// asked is the specification, with what is printed beside it where the sentences are in
// another unit.
func (r Result) asked() string {
	low, high := r.Asked()
	low, high = r.Spec.Writing.Number(low), r.Spec.Writing.Number(high)
	return words.Choose(high == "", "at least "+low, low+" to "+high) + words.Fill(" (%s)", r.Spec.Writing.Number(r.Printed()))
}

// Asked is the specification in the unit of the sentences. High is empty where it has
// none.
func (r Result) Asked() (low, high string) {
	show := func(q unit.Length) string {
		if !unit.Foreign(q, r.Spec.In) {
			return q.String()
		}
		return r.Shown(q.In(unit.Micrometre))
	}
	return show(r.Spec.Low), show(r.Spec.High)
}

// Printed is the specification as it is printed, where the sentences are in another unit;
// else "". The usual range is printed nowhere.
func (r Result) Printed() string {
	if r.Spec.Source == sheet.ShopDefault || !unit.Foreign(r.Spec.Low, r.Spec.In) && !unit.Foreign(r.Spec.High, r.Spec.In) {
		return ""
	}
	if r.Spec.High.IsZero() {
		return "printed " + r.Spec.Low.String()
	}
	return "printed " + r.Spec.Low.String() + " to " + r.Spec.High.String()
}

// Unit is the unit of the sentences.
func (r Result) Unit() unit.LengthUnit { return unit.Like(r.Spec.Low, r.Spec.In) }

// Shown writes micrometres in the unit of the sentences.
func (r Result) Shown(micrometres float64) string {
	return unit.Show(micrometres, unit.Micrometre, r.Unit(), 1)
}

// told is what Shown writes, as a sentence has it.
func (r Result) told(micrometres float64) string { return r.Spec.Writing.Number(r.Shown(micrometres)) }

// shown writes micrometres in the unit of a quantity.
func shown(micrometres float64, like unit.Length) string {
	return unit.Show(micrometres, unit.Micrometre, like.Unit(), 1)
}
