package stat

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fettlebook/journal/words"
)

// Cause is one thing that was tried as an explanation, with its p value.
type Cause struct {
	Name string  `json:"name"`
	P    float64 `json:"p"`
}

// Finding is a cause with what the search as a whole makes of it.
type Finding struct {
	Cause
	Rank      int     `json:"rank"`      // 1 is the smallest p value
	Threshold float64 `json:"threshold"` // rank/tested · rate
	Adjusted  float64 `json:"adjusted"`  // p value that counts the search
	Kept      bool    `json:"kept"`      // the cause stands (its null hypothesis is rejected)
}

// Search is a search over many causes in which chance finds were held down.
type Search struct {
	Basis
	Tested   int       `json:"tested"`   // every cause looked at, shown or not
	Rate     float64   `json:"rate"`     // expected share of false finds among those kept
	Findings []Finding `json:"findings"` // by rising p value
}

// BenjaminiHochberg judges the causes at a false discovery rate such as 0.05. Tested is the
// number of all causes that were looked at, listed or not; those not listed count as if
// they had shown nothing. Errors are of type *Error.
func BenjaminiHochberg(causes []Cause, tested int, rate float64) (Search, error) {
	if err := checkChance("false discovery rate", rate); err != nil {
		return Search{}, err
	}
	if err := checkCount("causes tested", tested); err != nil {
		return Search{}, err
	}
	if len(causes) == 0 {
		return Search{}, refuse(ErrTooFew, "no cause")
	}
	if tested < len(causes) {
		return Search{}, refuse(ErrTested, "%d tested, %d listed", tested, len(causes))
	}
	search := Search{
		Basis: Basis{
			Method: "Benjamini-Hochberg step-up procedure",
			Source: "Benjamini and Hochberg, J. R. Statist. Soc. B 57 (1995) 289-300",
		},
		Tested: tested,
		Rate:   rate,
	}
	for _, cause := range causes {
		switch {
		case math.IsNaN(cause.P):
			return Search{}, refuse(ErrNotANumber, "%s: p value %v", cause.Name, cause.P)
		case cause.P < 0 || cause.P > 1:
			return Search{}, refuse(ErrProbability, "%s: p value %v", cause.Name, cause.P)
		}
		search.Findings = append(search.Findings, Finding{Cause: cause})
	}
	slices.SortStableFunc(search.Findings, func(a, b Finding) int { return cmp.Compare(a.P, b.P) })

	m, adjusted, kept := float64(tested), 1.0, false
	for i := len(search.Findings) - 1; i >= 0; i-- {
		finding, rank := &search.Findings[i], float64(i+1)
		finding.Rank = i + 1
		finding.Threshold = rank / m * rate
		adjusted = min(adjusted, finding.P*(m/rank))
		finding.Adjusted = adjusted
		kept = kept || finding.P <= finding.Threshold
		finding.Kept = kept
	}
	if tested > len(causes) {
		search.guard(fmt.Sprintf("%d of the %d causes tested %s all the same", tested-len(causes), tested, words.Choose(tested-len(causes) == 1, "is not listed; it counts", "are not listed; they count")))
	}
	return search, nil
}

// Kept returns the causes that stand, by rising p value.
func (s Search) Kept() []Finding {
	end := slices.IndexFunc(s.Findings, func(f Finding) bool { return !f.Kept })
	if end < 0 {
		end = len(s.Findings)
	}
	return s.Findings[:end]
}

// Say returns the result as one sentence.
func (s Search) Say() string {
	kept := s.Kept()
	if len(kept) == 0 {
		return fmt.Sprintf("of %s none stands out: in so many tries chance alone gives p values as small as these",
			words.Either(s.Tested, "cause tested", "causes tested"))
	}
	names := make([]string, len(kept))
	for i, finding := range kept {
		names[i] = fmt.Sprintf("%s (adjusted %s)", finding.Name, chance(finding.Adjusted))
	}
	return fmt.Sprintf("of %s, %s: %s; on average at most %s of finds made this way are false",
		words.Either(s.Tested, "cause tested", "causes tested"), words.Either(len(kept), "stands out", "stand out"), words.And(names...), percent(s.Rate))
}
