package recur

import (
	"fmt"
	"math"

	"fettlebook/journal/parts"
	"fettlebook/journal/trade/stat"
	"fettlebook/journal/words"
)

// Place is the film where the defect was, beside the film of the whole coat. Only coats
// that have the defect have such a place, so it cannot be compared with other coats as
// factors are; each coat is compared with itself, which holds all else equal.
type Place struct {
	Coats   int            `json:"coats"` // whose film was read there
	Thicker int            `json:"thicker_there"`
	Thinner int            `json:"thinner_there"`
	Mean    *stat.Interval `json:"difference_um,omitempty"` // there less the coat's mean, on average
}

// place compares the film of coats that have the defect and no other, since the place
// is that of the first one that was seen; nil if it was read on none.
func place(t *parts.Table, defect string) *Place {
	seen, _ := t.Words(parts.Defect(defect))
	there, whole := t.Numbers(parts.FilmAtDefect), t.Numbers(parts.Film)
	p := &Place{}
	var apart []float64
	for i := range t.Len() {
		if seen[i] != yes || math.IsNaN(there[i]) || math.IsNaN(whole[i]) {
			continue
		}
		if looks, _ := t.Defects(i); len(looks) > 1 {
			continue
		}
		d := there[i] - whole[i]
		switch {
		case d > 0:
			p.Thicker++
		case d < 0:
			p.Thinner++
		}
		apart = append(apart, d)
	}
	if p.Coats = len(apart); p.Coats == 0 {
		return nil
	}
	if mean, err := stat.MeanDifference(apart, level); err == nil {
		p.Mean = &mean.Mean
	}
	return p
}

// Say says whether the film was another one where the defect was.
func (p *Place) Say(in words.Writing) string {
	text := fmt.Sprintf("film where it was: read there on %s, ", in.Count(p.Coats, "coat"))
	if p.Thicker+p.Thinner == 0 {
		return text + "as thick there as on the coat as a whole"
	}
	text += in.Sprintf("thicker there than on the coat as a whole on %d and thinner on %d", p.Thicker, p.Thinner)
	if p.Mean == nil {
		return text
	}
	return text + fmt.Sprintf("; the difference is %s µm on average, %s to %s µm with 95 %% confidence", in.Number(micrometres(p.Mean.Value)), in.Number(micrometres(p.Mean.Low)), in.Number(micrometres(p.Mean.High))) +
		words.If(p.Mean.Contains(0), ", so this does not show that the film there is another one")
}

// micrometres writes a difference of film with its sign, and without decimals that no
// gauge has.
func micrometres(v float64) string {
	if v = math.Round(v); v > 0 {
		return "+" + digits(v)
	}
	return digits(v + 0) // and not -0
}
