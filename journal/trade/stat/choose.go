package stat

import (
	"fmt"

	"fettlebook/journal/trade/sheet"
)

// Watched says what is counted or measured.
type Watched int

// What can be watched.
const (
	PartsJudged    Watched = iota + 1 // each part has the defect or not, and all parts are counted
	DefectsCounted                    // several defects on a part, always the same amount inspected
	DefectsPerArea                    // several defects on a part, the amount inspected varies
	TimesOnly                         // when a defect came is known, but not how many parts were good
	ReadingsTaken                     // a measured value, such as a film thickness
)

// Choice is the chart that fits, and why.
type Choice struct {
	Basis
	Kind Kind   `json:"kind"`
	Also []Kind `json:"also,omitempty"` // charts that fit beside it
	Why  string `json:"why"`
}

// Rates at which one family of charts gives way to the next, in defects per period.
// Common practice, no source.
const (
	rare = 1
	few  = fewExpected
)

// ChooseChart says which chart fits when so many defects are expected in a period, such as
// a month. Errors are of type *Error.
func ChooseChart(watched Watched, defectsPerPeriod float64) (Choice, error) {
	if watched < PartsJudged || watched > ReadingsTaken {
		return Choice{}, refuse(ErrWatched, "what is watched, %d", watched)
	}
	choice := Choice{Basis: Basis{Method: "choice by defects per period", Source: sheet.ShopDefault}}
	if watched == ReadingsTaken {
		choice.Kind, choice.Also = Individuals, []Kind{MovingRanges}
		choice.Why = "single readings are charted one by one, with limits from the steps between neighbours"
		return choice, nil
	}
	if err := checkAmount("defects per period", defectsPerPeriod); err != nil {
		return Choice{}, err
	}
	counts := map[Watched]Kind{PartsJudged: P, DefectsCounted: C, DefectsPerArea: U, TimesOnly: C}
	rate := string(figure(defectsPerPeriod))
	switch {
	case defectsPerPeriod <= rare && watched == PartsJudged:
		choice.Kind, choice.Also = G, []Kind{RunningSum, T}
		choice.Why = fmt.Sprintf("at %s defects a period most periods show none and a p-chart stays silent: chart the good parts between defects, or keep a running sum", rate)
	case defectsPerPeriod <= rare:
		choice.Kind = T
		choice.Why = fmt.Sprintf("at %s defects a period most periods show none and a %s stays silent: chart the time between defects", rate, counts[watched])
	case defectsPerPeriod < few:
		choice.Kind = counts[watched]
		if watched == PartsJudged {
			choice.Also = []Kind{RunningSum}
		}
		choice.Why = fmt.Sprintf("at %s defects a period a %s works with exact limits; a longer period makes it sharper", rate, choice.Kind)
		choice.guard(fmt.Sprintf("fewer than %d defects are expected in a period, too few for three-sigma limits", few))
	default:
		choice.Kind = counts[watched]
		choice.Why = fmt.Sprintf("at %s defects a period there are enough to count: a %s fits", rate, choice.Kind)
	}
	return choice, nil
}

// Say returns the choice as one sentence.
func (c Choice) Say() string { return c.Why }
