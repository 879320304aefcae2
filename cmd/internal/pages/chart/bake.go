package chart

import (
	"fmt"
	"math"
	"strings"

	"fettlebook/journal/trade/bake"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// Bake is a trace of temperatures to be drawn: the probes on parts thick, the
// oven's air dashed, with the schedule's temperatures and the line from which
// time counts.
type Bake struct {
	Title  string
	Trace  bake.Trace
	Probes []bake.Probe // channels without one are air
	// Result is what the trace was judged to be, nil without a schedule.
	Result *bake.Result
	// Name says what a part is called; nil leaves its name as it is.
	Name func(part string) string
	// In is the unit of temperatures; without it they are in °C.
	In unit.TemperatureUnit
	// Writing is that of the figures.
	Writing words.Writing
}

// at is °C on the chart's axis.
func (b Bake) at(celsius float64) float64 { return unit.Convert(celsius, unit.Celsius, b.unit()) }

func (b Bake) unit() unit.TemperatureUnit {
	if b.In == 0 {
		return unit.Celsius
	}
	return b.In
}

// Draw draws the bake, and lists what each channel adds up to. Errors are
// those of the trace.
func (b Bake) Draw() (Drawing, error) {
	curves := Curves{Up: b.unit().String(), Writing: b.Writing}
	channels := b.Trace.Channels()
	for _, channel := range channels {
		curves.Lines = append(curves.Lines, b.line(channel))
	}
	samples := 0
	for s, err := range b.Trace.Samples() {
		if err != nil {
			return Drawing{}, fmt.Errorf("draw the trace: %w", err)
		}
		for i, celsius := range s.Celsius {
			l := &curves.Lines[i]
			l.Points = append(l.Points, Point{s.Second / 60, b.at(celsius)})
		}
		samples++
	}
	if b.Result != nil {
		curves.Levels, curves.Band = b.levels(*b.Result), b.band(*b.Result)
		curves.Gap = b.Result.LongestGap / 60
	}
	curves.Title = b.title(curves, samples)
	d := Drawing{Head: []string{"Channel", "Where", "Peak", "at"}}
	if b.Result != nil {
		d.Head = append(d.Head, "Strict", "Lenient", "Longest hold", "Gaps")
	}
	for i, l := range curves.Lines {
		d.Rows = append(d.Rows, b.row(channels[i], i, l))
	}
	return d.of(curves), nil
}

// Key says how the picture of a bake is read.
func (b Bake) Key() string {
	text := "Thick: a probe on a part. Dashed: air. Nothing is drawn where nothing was logged."
	if b.Result != nil {
		text += " Strict and lenient are fractions of the schedule, which is met in total at 1; that is not a degree of cure."
	}
	return text
}

// probe returns where a channel's sensor sits; without a probe it is air.
func (b Bake) probe(channel string) bake.Probe {
	for _, p := range b.Probes {
		if p.Channel == channel {
			return p
		}
	}
	return bake.Probe{Channel: channel}
}

func (b Bake) line(channel string) Line {
	p := b.probe(channel)
	if p.On == "" {
		return Line{Label: strings.TrimSpace(channel + " " + or(p.Place, "air")), Stroke: Dashed}
	}
	return Line{Label: channel + " " + b.name(p.On), Stroke: Thick}
}

func (b Bake) name(part string) string {
	if b.Name == nil {
		return part
	}
	return b.Name(part)
}

func (b Bake) levels(r bake.Result) (levels []Level) {
	short := func(celsius float64) string { return b.Writing.Number(unit.Short(celsius, unit.Celsius, b.unit(), 1)) }
	for _, p := range r.Schedule {
		metal := p.Metal.In(unit.Celsius)
		levels = append(levels, Level{b.Writing.Sprintf("%s for %s", short(metal), p.Hold), b.at(metal)})
	}
	return append(levels, Level{"time counts from " + short(r.StrictFrom), b.at(r.StrictFrom)})
}

// band is from the least to the greatest temperature of the schedule.
func (b Bake) band(r bake.Result) *Band {
	is := Band{math.Inf(1), math.Inf(-1)}
	for _, p := range r.Schedule {
		metal := b.at(p.Metal.In(unit.Celsius))
		is.Low, is.High = min(is.Low, metal), max(is.High, metal)
	}
	if !(is.Low < is.High) {
		return nil
	}
	return &is
}

func (b Bake) title(c Curves, samples int) string {
	_, hottest := peak(nil)
	for _, l := range c.Lines {
		if _, most := peak(l.Points); !(hottest >= most) {
			hottest = most
		}
	}
	text := b.Title + ": temperatures over time"
	if p, ok := c.extent(); ok {
		text += fmt.Sprintf(", %s with %s over %.0f min, up to %s", words.Count(len(c.Lines), "channel"), words.Count(samples, "reading")+words.If(len(c.Lines) > 1, " each"), p.x1-p.x0, b.Writing.Number(unit.Format(hottest, b.unit(), 1)))
	}
	return text + ". The table has the figures."
}

// peak returns the highest reading and when it came first; not a number
// without any.
func peak(points []Point) (minute, highest float64) {
	minute, highest = math.NaN(), math.NaN()
	for _, p := range points {
		if finite(p.Y) && !(highest >= p.Y) {
			minute, highest = p.X, p.Y
		}
	}
	return minute, highest
}

// row is a channel's line in the table.
func (b Bake) row(channel string, i int, l Line) []string {
	p := b.probe(channel)
	where := or(p.Place, "air")
	if p.On != "" {
		where = words.Commas(b.name(p.On), p.Place)
	}
	row := []string{channel, where, "no reading", "–"}
	if minute, most := peak(l.Points); finite(most) {
		row[2], row[3] = b.Writing.Number(unit.Format(most, b.unit(), 1)), b.Writing.Number(unit.Format(minute, unit.Minute, 1))
	}
	if b.Result == nil || i >= len(b.Result.Channels) {
		return row
	}
	c := b.Result.Channels[i]
	gaps := "none"
	if c.Gaps.Count > 0 {
		gaps = fmt.Sprintf("%d, %s", c.Gaps.Count, b.Writing.Number(unit.Format(c.Gaps.Seconds/60, unit.Minute, 1)))
	}
	if c.On == "" {
		// What the air had says nothing about a part.
		return append(row, "–", "–", "–", gaps)
	}
	return append(row, b.Writing.Number(bake.Hundredths(c.Strict)), b.Writing.Number(bake.Hundredths(c.Lenient)), b.held(c), gaps)
}

// held is the plain rule: the longest unbroken time at the point of the
// schedule that it comes nearest to.
func (b Bake) held(c bake.Channel) string {
	if len(c.Holds) == 0 {
		return "–"
	}
	best := c.Best()
	return b.Writing.Number(fmt.Sprintf("%s from %s, asked %s", unit.Format(best.Longest, unit.Minute, 1), unit.Printed(best.Point.Metal, b.In, 1), best.Point.Hold))
}

func or(text, otherwise string) string {
	if text == "" {
		return otherwise
	}
	return text
}
