package bake

import (
	"fmt"
	"iter"
	"math"
	"strings"

	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// Scale is the unit of a trace's readings.
type Scale string

// The scales.
const (
	Celsius    Scale = "°C"
	Fahrenheit Scale = "°F"
)

// Celsius returns a reading of this scale in °C.
func (s Scale) Celsius(reading float64) float64 {
	if s == Fahrenheit {
		return unit.Convert(reading, unit.Fahrenheit, unit.Celsius)
	}
	return reading
}

// Reading returns °C as a reading of this scale.
func (s Scale) Reading(celsius float64) float64 {
	if s == Fahrenheit {
		return unit.Convert(celsius, unit.Celsius, unit.Fahrenheit)
	}
	return celsius
}

// ChannelSeries is one channel's readings as text.
type ChannelSeries struct {
	Channel  string
	Readings string // decimals or Lost with one space between, one for each time
}

// Lost stands for a reading that the recorder did not get.
const Lost = "-"

// SeriesError says which number of a series cannot be used.
type SeriesError struct {
	Series  string // "seconds" or the channel's name
	Number  int    // from 1; 0 when it is about the series as a whole
	Text    string // the number, as written
	Problem string // what is wrong and what to do, as one sentence
}

// Error returns the problem behind what it is about.
func (e *SeriesError) Error() string {
	if e.Number == 0 {
		return fmt.Sprintf("series %s: %s", e.Series, e.Problem)
	}
	return fmt.Sprintf("series %s, number %d (%.40q): %s", e.Series, e.Number, e.Text, e.Problem)
}

// Series is a trace from texts in memory.
type Series struct {
	seconds  string
	channels []ChannelSeries
	scale    Scale
}

// NewSeries returns the trace of seconds and readings in °C or °F, each a text of
// decimals with one space between, as a journal holds them; a reading may be Lost. Errors, also those of
// Samples, are of type *SeriesError.
func NewSeries(seconds string, scale Scale, channels ...ChannelSeries) (*Series, error) {
	s := &Series{seconds: seconds, channels: channels, scale: scale}
	if scale != Celsius && scale != Fahrenheit {
		return nil, &SeriesError{Series: "readings", Problem: fmt.Sprintf("%q is not a unit of a reading: say °C or °F", scale)}
	}
	if len(channels) == 0 {
		return nil, &SeriesError{Series: "readings", Problem: "there is no channel: a trace needs at least one"}
	}
	want := count(seconds)
	if want == 0 {
		return nil, &SeriesError{Series: "seconds", Problem: "there are no times: a trace needs at least one"}
	}
	for _, c := range channels {
		if got := count(c.Readings); got != want {
			return nil, &SeriesError{Series: c.Channel, Problem: fmt.Sprintf("it has %s for %s: give one for each", words.Count(got, "reading"), words.Count(want, "time"))}
		}
	}
	return s, nil
}

func count(series string) int {
	if series == "" {
		return 0
	}
	return strings.Count(series, " ") + 1
}

// Channels returns the channels' names.
func (s *Series) Channels() []string {
	names := make([]string, len(s.channels))
	for i, c := range s.channels {
		names[i] = c.Channel
	}
	return names
}

// Samples yields the samples. Their seconds are as given, and must rise.
func (s *Series) Samples() iter.Seq2[Sample, error] {
	return func(yield func(Sample, error) bool) {
		seconds, rest := s.seconds, make([]string, len(s.channels))
		for i, c := range s.channels {
			rest[i] = c.Readings
		}
		sample := Sample{Second: math.Inf(-1), Celsius: make([]float64, len(rest))}
		for number := 1; seconds != ""; number++ {
			var word string
			word, seconds, _ = strings.Cut(seconds, " ")
			second, ok := unit.Decimal(word)
			switch {
			case !ok:
				yield(Sample{}, &SeriesError{"seconds", number, word, "this is not a plain decimal number"})
				return
			case second <= sample.Second:
				yield(Sample{}, &SeriesError{"seconds", number, word, "this time is not later than the one before it: put the readings in order, each time once"})
				return
			}
			sample.Second = second
			for i := range rest {
				word, rest[i], _ = strings.Cut(rest[i], " ")
				if word == Lost {
					sample.Celsius[i] = math.NaN()
					continue
				}
				reading, ok := unit.Decimal(word)
				if !ok {
					yield(Sample{}, &SeriesError{s.channels[i].Channel, number, word, "this is not a plain decimal number"})
					return
				}
				sample.Celsius[i] = s.scale.Celsius(reading)
			}
			if !yield(sample, nil) {
				return
			}
		}
	}
}
