package invented

import (
	"fmt"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/trade/bake"
	"fettlebook/journal/trade/unit"
)

// A recorder reads once a minute: the metal is warmed steadily, is held at its
// peak, and cools.
const (
	warming = 30 // minutes
	holding = 22
	cooling = 8
	cold    = 25 // °C
	cooled  = 90 // °C, when the recorder is taken off
)

// seconds are when a recorder reads.
func seconds() string {
	var list []string
	for minute := range warming + holding + cooling + 1 {
		list = append(list, fmt.Sprint(60*minute))
	}
	return strings.Join(list, " ")
}

// readings are those of a part that gets as hot as its peak.
func readings(peak int) string {
	var list []string
	for minute := range warming + holding + cooling + 1 {
		metal := float64(peak)
		switch {
		case minute < warming:
			metal = cold + float64((peak-cold)*minute)/warming
		case minute > warming+holding:
			metal -= float64((peak-cooled)*(minute-warming-holding)) / cooling
		}
		list = append(list, fmt.Sprintf("%.1f", metal))
	}
	return strings.Join(list, " ")
}

// heat is what a bake comes to.
type heat struct {
	minutes  float64 // of the casting's heat
	schedule float64 // share of the powder's schedule
}

// heats works out bakes by their peaks.
type heats map[int]heat

func (h heats) of(peak int) heat {
	if known, ok := h[peak]; ok {
		return known
	}
	h[peak] = bakedTo(peak)
	return h[peak]
}

// bakedTo is what a bake comes to. What cannot be worked out is nothing, which
// no journal gives.
func bakedTo(peak int) (h heat) {
	series, err := bake.NewSeries(seconds(), bake.Celsius, bake.ChannelSeries{Channel: "1", Readings: readings(peak)})
	if err != nil {
		return h
	}
	if minutes, err := bake.MinutesAbove(series, bake.DefaultHeatLimit().Above.Value); err == nil {
		h.minutes = minutes[0]
	}
	var points []bake.Point
	for _, p := range sheet() {
		points = append(points, bake.Point{Metal: p.Metal, Hold: p.Hold})
	}
	schedule, err := bake.NewSchedule(points...)
	if err != nil {
		return h
	}
	result, err := bake.Judge(series, schedule, bake.DefaultRules(), []bake.Probe{{Channel: "1", On: "part"}})
	if err == nil {
		h.schedule = result.On("part").Strict
	}
	return h
}

// sheet is the schedule of every powder of the shop.
func sheet() []journal.BakePoint {
	return []journal.BakePoint{
		{Metal: q[unit.Temperature]("180 °C"), Hold: q[unit.Duration]("20 min")},
		{Metal: q[unit.Temperature]("200 °C"), Hold: q[unit.Duration]("10 min")},
	}
}

// soakHeat is how much heat of a casting its soak was, in minutes.
func (c *Coat) soakHeat() float64 {
	if float64(c.SoakMetal) > bake.DefaultHeatLimit().Above.Value {
		return float64(c.SoakMinutes)
	}
	return 0
}

// q reads a quantity. The texts are this package's own: one that cannot be read
// is a mistake in it.
func q[Q interface{ unit.Of[D] }, D unit.Dimension](text string) Q {
	quantity, err := unit.Parse[Q](text)
	if err != nil {
		panic(err)
	}
	return quantity
}
