// Package film judges readings of a coating's thickness.
//
// It promises that a spot is the mean of at least three readings and an area the mean
// of its spots; that one or two readings are refused instead of averaged; and that a
// verdict names every clause that is broken and the place that breaks it. A brake
// caliper has about 0.1 m², far less than the 10 m² of an area in SSPC-PA 2, so a
// verdict says "PA 2 style, 5 spots per part" and never that the part conforms.
//
//	result, err := film.Judge(film.Survey{
//		Base: base, // mean reading on the bare blasted metal, "8 µm"
//		Spots: []film.Spot{{Place: "flat", Readings: readings}, …},
//	}, film.Spec{Low: low, High: high, Source: "data sheet"}, film.Level3)
//	result.Say() // "PA 2 style, 5 spots per part, level 3: fails: spot …"
//
// Figures in results are in micrometres; sentences are in the unit that the
// specification names for them, or in its own. A figure that equals its limit is inside.
package film

import (
	"fmt"
	"math"
	"slices"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

const (
	// SpotReadings is the least number of readings in a spot (SSPC-PA 2).
	SpotReadings = 3
	// AreaSpots is the number of spots in an area (SSPC-PA 2), and here on a part.
	AreaSpots = 5
)

type (
	// Spot is the readings within one small circle, 4 cm across in SSPC-PA 2.
	Spot struct {
		Place    string // flat, edge, recess, back, boss …
		Readings []unit.Length
	}

	// Survey is what was read on one part. Base, the mean reading on the bare blasted
	// metal, is subtracted from each reading; leave it empty if the gauge was set to
	// zero on that metal.
	Survey struct {
		Spots []Spot
		Base  unit.Length
	}

	// Spec is the range that was asked for. High may be left empty at level 5.
	Spec struct {
		Low, High unit.Length
		Source    string          // where it is printed, such as "data sheet"
		In        unit.LengthUnit // of the sentences
		Writing   words.Writing   // of the figures in them
	}

	// SpotMean is one spot after the base reading was subtracted, in µm.
	SpotMean struct {
		Place          string
		Readings       []float64
		Mean, Min, Max float64
	}

	// Result is a verdict with all of its figures, in µm.
	Result struct {
		Spec     Spec
		Level    Level
		Assumed  bool // no level was stated, so the default was taken
		Base     float64
		Spots    []SpotMean
		Readings int
		Area     float64 // mean of the spot means
		Min, Max float64 // of all readings
		Broken   []Violation
		Pass     bool
		Source   string // of the rule
		Warnings []string
	}
)

// Error says why readings cannot be judged.
type Error = sheet.Error

// DefaultSpec is a usual range for a single coat on calipers and brackets. It is common
// practice without a source, for a shop to change; the powder's data sheet wins.
func DefaultSpec() (Spec, error) {
	low, err := unit.Parse[unit.Length]("60 µm")
	if err != nil {
		return Spec{}, err
	}
	high, err := unit.Parse[unit.Length]("100 µm")
	return Spec{Low: low, High: high, Source: sheet.ShopDefault}, err
}

// Judge compares a survey with a specification at a restriction level. Level 0 means
// that none was stated, and takes level 3. Errors are of type *Error.
func Judge(s Survey, spec Spec, level Level) (Result, error) {
	r := Result{Spec: spec, Level: level, Source: levelSource}
	if level == 0 {
		r.Level, r.Assumed = DefaultLevel, true
	}
	if err := r.checkSpec(); err != nil {
		return Result{}, err
	}
	if err := r.read(s); err != nil {
		return Result{}, err
	}
	r.Broken = r.violations()
	r.Pass = len(r.Broken) == 0
	r.warn()
	return r, nil
}

func (r *Result) checkSpec() error {
	low, high := r.Spec.Low, r.Spec.High
	reading, spot, area := r.Level.bands()
	needsHigh := reading.most > 0 || spot.most > 0 || area.most > 0
	switch {
	case r.Level < Level1 || r.Level > Level5:
		return sheet.Refuse("the restriction level", fmt.Sprint(int(r.Level)), "there are levels 1 to 5; leave it out for level 3")
	case !(low.In(unit.Micrometre) > 0):
		return sheet.Refuse("the least thickness", sheet.Typed(low), "a specification needs a least thickness above zero: take it from the powder’s data sheet")
	case high.IsZero() && needsHigh:
		return sheet.Refuse("the greatest thickness", sheet.Typed(high), fmt.Sprintf("level %d needs one: take it from the powder’s data sheet, or judge at level 5", r.Level))
	case !high.IsZero() && high.In(unit.Micrometre) <= low.In(unit.Micrometre):
		return sheet.Refuse("the greatest thickness", sheet.Typed(high), "it must be above the least, "+sheet.Typed(low)+": check both figures and their units")
	}
	return nil
}

// read subtracts the base reading and takes the means.
func (r *Result) read(s Survey) error {
	if len(s.Spots) == 0 {
		return sheet.Refuse("the survey", "no spot", fmt.Sprintf("nothing was measured: take %d readings at each of %d spots", SpotReadings, AreaSpots))
	}
	if !s.Base.IsZero() {
		r.Base = s.Base.In(unit.Micrometre)
	}
	r.Min, r.Max = math.Inf(1), math.Inf(-1)
	for i, spot := range s.Spots {
		if spot.Place == "" {
			spot.Place = fmt.Sprint(i + 1)
		}
		mean, err := spot.mean(s.Base)
		if err != nil {
			return err
		}
		r.Spots = append(r.Spots, mean)
		r.Readings += len(mean.Readings)
		r.Area += mean.Mean / float64(len(s.Spots))
		r.Min, r.Max = min(r.Min, mean.Min), max(r.Max, mean.Max)
	}
	return nil
}

func (s Spot) mean(base unit.Length) (SpotMean, error) {
	if n := len(s.Readings); n < SpotReadings {
		return SpotMean{}, sheet.Refuse("spot "+s.Place, words.Count(n, "reading"), fmt.Sprintf("a spot is the mean of at least %d readings: take %d more within 4 cm", SpotReadings, SpotReadings-n))
	}
	film, err := subtract(s.Readings, base, "spot "+s.Place)
	if err != nil {
		return SpotMean{}, err
	}
	return SpotMean{Place: s.Place, Readings: film, Mean: mean(film), Min: slices.Min(film), Max: slices.Max(film)}, nil
}

// subtract returns the film under each reading, in µm.
func subtract(readings []unit.Length, base unit.Length, where string) ([]float64, error) {
	bare := 0.0
	if !base.IsZero() {
		bare = base.In(unit.Micrometre)
	}
	film := make([]float64, len(readings))
	for i, reading := range readings {
		what := fmt.Sprintf("%s, reading %d", where, i+1)
		film[i] = reading.In(unit.Micrometre) - bare
		switch {
		case reading.IsZero():
			return nil, sheet.Refuse(what, sheet.Typed(reading), "a reading is missing: write it, or leave its line out")
		case film[i] < 0:
			return nil, sheet.Refuse(what, sheet.Typed(reading), "it is below the base metal reading "+sheet.Typed(base)+": check the probe, its zero and the base reading")
		}
	}
	return film, nil
}

func mean(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}
