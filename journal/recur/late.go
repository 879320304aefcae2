package recur

import (
	"math"

	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/trade/stat"
)

// Late is what is known of defects that come after the car was handed back. Of
// a part of which nobody heard again nothing is known: silence is not success.
type Late struct {
	HandedBack int              `json:"handed_back"`
	Heard      int              `json:"heard_of"` // whose customer was reached, or that came back
	Rate       *stat.Proportion `json:"rate,omitempty"`
	Good       *stat.Survival   `json:"good,omitempty"` // share still good, over days
}

// Found is how many had the defect after handover.
func (l *Late) Found() int {
	if l.Rate == nil {
		return 0
	}
	return l.Rate.Sample.Defects
}

// late follows the parts that went out without the defect.
func late(t *parts.Table, defect string) *Late {
	back, days, followed := t.Numbers(parts.HandedBack), t.Numbers(parts.DaysToDefect), t.Numbers(parts.DaysFollowed)
	seen, _ := t.Words(parts.Defect(defect))
	stages, stage := t.Words(parts.Seen)
	l := &Late{}
	var lives []stat.Life
	found := 0
	for i := range t.Len() {
		if math.IsNaN(back[i]) {
			continue
		}
		came := seen[i] == yes && !math.IsNaN(days[i])
		if first := stages[i]; came && first > 0 && stage[first-1] != string(journal.AfterHandover) {
			// Something was seen before that. If that was nothing else, it was this.
			looks, _ := t.Defects(i)
			came = len(looks) > 1
		}
		if seen[i] == yes && !came {
			continue // it went out with it, known to all
		}
		l.HandedBack++
		switch {
		case came:
			found++
			lives = append(lives, stat.Life{Time: days[i], Seen: true})
		case !math.IsNaN(followed[i]):
			lives = append(lives, stat.Life{Time: followed[i]})
		case !math.IsNaN(days[i]): // it came back with another defect
			lives = append(lives, stat.Life{Time: days[i]})
		}
	}
	if l.HandedBack == 0 {
		return nil
	}
	l.Heard = len(lives)
	if rate, err := stat.Wilson(stat.Sample{Defects: found, Parts: l.Heard}, level); err == nil {
		l.Rate = &rate
	}
	if good, err := stat.KaplanMeier(lives, level); err == nil {
		l.Good = &good
	}
	return l
}
