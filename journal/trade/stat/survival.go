package stat

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fettlebook/journal/words"
)

// Life is how long one part was watched, and whether the defect ended that or nothing did:
// of a part that was good when it was last seen nobody knows how long it stays so.
type Life struct {
	Time float64 `json:"time"`
	Seen bool    `json:"seen"` // the defect came at that time
}

// Survival is the share of parts that stay good, over time.
type Survival struct {
	Basis
	Parts int     `json:"parts"`
	Seen  int     `json:"defects"`
	Level float64 `json:"level"`
	Steps []Step  `json:"steps"` // at each time at which a part had the defect or was last seen
}

// Step is what one time does to the share.
type Step struct {
	Time          float64 `json:"time"`
	AtRisk        int     `json:"at_risk"` // parts still watched just before
	Defects       int     `json:"defects"`
	LastSeen      int     `json:"last_seen"` // good, and not seen after that
	Good          float64 `json:"good"`      // share that is good after that
	StandardError float64 `json:"standard_error"`
	Low           float64 `json:"low"`
	High          float64 `json:"high"`
}

// KaplanMeier estimates the share of parts that stay good from lives of which some were
// not watched to their end. The standard error is Greenwood's, and the interval is that of
// the logarithm, cut at 1. Errors are of type *Error.
func KaplanMeier(lives []Life, level float64) (Survival, error) {
	if err := checkLevel(level); err != nil {
		return Survival{}, err
	}
	if len(lives) == 0 {
		return Survival{}, refuse(ErrTooFew, "no part")
	}
	s := Survival{Parts: len(lives), Level: level, Basis: Basis{
		Method: "Kaplan-Meier product-limit estimate with Greenwood’s standard error and log interval",
		Source: "Kaplan and Meier, J. Am. Statist. Assoc. 53 (1958) 457-481; Greenwood 1926",
	}}
	lives = slices.Clone(lives)
	for _, l := range lives {
		if err := checkAmount("time", l.Time); err != nil {
			return Survival{}, err
		}
	}
	slices.SortFunc(lives, func(a, b Life) int { return cmp.Compare(a.Time, b.Time) })
	good, sum, z := 1.0, 0.0, twoSided(level)
	for i := 0; i < len(lives); {
		step := Step{Time: lives[i].Time, AtRisk: len(lives) - i}
		for ; i < len(lives) && lives[i].Time == step.Time; i++ {
			if lives[i].Seen {
				step.Defects++
			} else {
				step.LastSeen++
			}
		}
		s.Seen += step.Defects
		n, d := float64(step.AtRisk), float64(step.Defects)
		good *= 1 - d/n
		if d < n {
			sum += d / (n * (n - d))
		}
		step.Good, step.StandardError = good, good*math.Sqrt(sum)
		reach := math.Exp(z * math.Sqrt(sum))
		step.Low, step.High = good/reach, min(1, good*reach)
		s.Steps = append(s.Steps, step)
	}
	if last := s.Steps[len(s.Steps)-1]; last.LastSeen > 0 && last.Good > 0 {
		s.guard(fmt.Sprintf("nobody knows what comes after %s: no part was watched for longer", figure(last.Time)))
	}
	return s, nil
}

// At returns the share that is good at a time.
func (s Survival) At(time float64) Step {
	at := Step{AtRisk: s.Parts, Good: 1, Low: 1, High: 1}
	for _, step := range s.Steps {
		if step.Time > time {
			at.AtRisk = step.AtRisk
			return at
		}
		at = step
		at.AtRisk -= step.Defects + step.LastSeen
	}
	return at
}

// Say returns the last figure that still rests on many parts as one sentence.
func (s Survival) Say() string { return s.Written(words.Writing{}) }

// Written is Say in a way of writing.
func (s Survival) Written(in words.Writing) string {
	shown := s.Steps[0]
	for _, step := range s.Steps {
		if step.AtRisk >= fewWatched {
			shown = step
		}
	}
	switch last := in.Sprintf("%v", days(s.Steps[len(s.Steps)-1].Time)); {
	case s.Parts == 1:
		return words.Choose(s.Seen == 1, "the only part that was seen again had the defect", "the only part that was seen again, after "+last+", was without the defect")
	case s.Seen == 0:
		return in.Sprintf("none of %d parts that were seen again had the defect, the last of them after %s", s.Parts, last)
	case s.Parts < fewWatched:
		return in.Sprintf("%d of %d parts that were seen again had the defect, too few to say how it goes over time", s.Seen, s.Parts)
	}
	return in.Sprintf("after %s %s of the parts are still good, %s to %s with %s, by %d parts that were seen again, %d with the defect",
		days(shown.Time), percent(shown.Good), percent(shown.Low), percent(shown.High), confidence(s.Level), s.Parts, s.Seen)
}

// days writes a time in days.
func days(t float64) figured {
	return figure(t) + figured(words.Choose(t == 1, " day", " days"))
}

// fewWatched is how many parts a share should rest on to be said by itself. Common
// practice, no source.
const fewWatched = 10
