package recorder

import (
	"fmt"

	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// OddityKind says what is odd about a log.
type OddityKind string

// The kinds of oddity.
const (
	FewSamples    OddityKind = "few samples"    // fewer than two
	FarApart      OddityKind = "far apart"      // the usual interval is above a minute
	Gap           OddityKind = "gap"            // a long time without a reading
	NoReading     OddityKind = "no reading"     // a channel that is empty
	MissingSample OddityKind = "missing sample" // a channel that is empty in some samples
	NeverHot      OddityKind = "never hot"      // a channel that was hardly in an oven
)

// What is odd (shop default): a bake is minutes long, and no powder flows
// below 80 °C.
const (
	slowest = 60  // seconds between readings
	gap     = 120 // seconds without one
	cold    = 80  // °C
)

// Oddity is something that a person should look at before a log is filed. It refuses
// nothing.
type Oddity struct {
	Kind    OddityKind `json:"kind"`
	Channel string     `json:"channel,omitzero"`
	Samples int        `json:"samples,omitzero"` // that lack a reading
	Of      int        `json:"of,omitzero"`      // samples in all
	Seconds float64    `json:"seconds,omitzero"`
	Celsius float64    `json:"celsius,omitzero"` // the channel's peak
}

// Oddities returns what is odd about the log.
func (l *Log) Oddities() (list []Oddity) {
	if l.Samples < 2 {
		return []Oddity{{Kind: FewSamples, Of: l.Samples}}
	}
	if l.Interval > slowest {
		list = append(list, Oddity{Kind: FarApart, Seconds: l.Interval})
	}
	if l.Longest > gap && l.Longest > 3*l.Interval {
		list = append(list, Oddity{Kind: Gap, Seconds: l.Longest})
	}
	for _, c := range l.Channels {
		switch {
		case c.Missing == l.Samples:
			list = append(list, Oddity{Kind: NoReading, Channel: c.Name, Samples: c.Missing, Of: l.Samples})
		case c.Missing > 0:
			list = append(list, Oddity{Kind: MissingSample, Channel: c.Name, Samples: c.Missing, Of: l.Samples})
		case c.Peak < cold:
			list = append(list, Oddity{Kind: NeverHot, Channel: c.Name, Celsius: c.Peak})
		}
	}
	return list
}

// Say is the oddity as one or two sentences, in the unit of a shop or in °C.
func (o Oddity) Say(in unit.TemperatureUnit) string {
	switch o.Kind {
	case FewSamples:
		return "There are fewer than two readings, so nothing can be told from them."
	case FarApart:
		return fmt.Sprintf("There is only one reading every %s. Set the recorder to a minute or less.", words.Lasting(o.Seconds))
	case Gap:
		return fmt.Sprintf("The longest time without a reading is %s; nothing is credited for it.", words.Lasting(o.Seconds))
	case NoReading:
		return fmt.Sprintf("%s has no readings at all. Leave it out.", o.Channel)
	case MissingSample:
		return fmt.Sprintf("%s has no readings in %s; nothing is credited there.", o.Channel, words.Of(o.Samples, o.Of, "sample"))
	case NeverHot:
		return fmt.Sprintf("%s never got above %s. Was it in the oven?", o.Channel, unit.Show(o.Celsius, unit.Celsius, in, 0))
	}
	return string(o.Kind)
}
