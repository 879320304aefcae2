package recur

import (
	"fmt"
	"math"
	"strconv"

	"fettlebook/journal/parts"
	"fettlebook/journal/trade/stat"
	"fettlebook/journal/words"
)

// SayAccused says what the defect goes with, and what cannot be told from it, in a way of
// writing.
func (s *Study) SayAccused(a Accused, in words.Writing) []string {
	f := s.Of(a.Name)
	f.Split = a.Split
	text := words.Choose(a.fewer(), "it is rarer with ", "it goes with ") + fmt.Sprintf("%s: %s against %s of the others", f.Where(in), share(a.Pair.First, in), share(a.Pair.Second, in))
	if a.Effect != nil {
		text += ", " + apart(a.Effect.Size, in)
	}
	text += "; with " + s.held(a.Held) + " held equal"
	if a.Odds != nil {
		text += fmt.Sprintf(" the odds of it are %s times as high (%s to %s)", in.Number(ratio(a.Odds.Value)), in.Number(ratio(a.Odds.Low)), in.Number(ratio(a.Odds.High)))
	}
	said := []string{text + words.If(a.Odds != nil, ",") + " and all tries counted, " + in.Number(Chance(a.Adjusted))}
	if f.Pooled != nil && f.Pooled.Disagree() {
		said = append(said, "it does not go with that alike in all kinds of part: "+f.Pooled.Written(in))
	}
	var together, along []string
	for _, o := range s.Factors {
		switch {
		case o.Because == Together && o.Of == a.Name:
			together = append(together, o.Where(in))
		case o.Because == GoesAlong && o.Of == a.Name:
			along = append(along, o.Where(in))
		}
	}
	if len(together) > 0 {
		said = append(said, fmt.Sprintf("the same parts had %s, so these records cannot tell which of them it is", words.And(together...))+s.part(a, in))
	}
	if len(along) > 0 {
		said = append(said, fmt.Sprintf("%s only %s along: once that is held equal, %s out any more", words.And(along...),
			words.Choose(len(along) == 1, "goes", "go"), words.Choose(len(along) == 1, "it does not stand", "they do not stand")))
	}
	return said
}

// held names what is held equal.
func (s *Study) held(list []parts.Name) string {
	var said []string
	for _, name := range list {
		said = append(said, s.Of(name).Says)
	}
	return words.And(said...)
}

// part says which trial would part what cannot be told apart.
func (s *Study) part(a Accused, in words.Writing) string {
	if a.Trial == nil {
		return "; what is past cannot be tried again: only more work can tell"
	}
	var again []string
	for _, name := range a.Trial.Of {
		f := s.Of(name)
		if name == a.Name {
			f.Split = a.Split
		}
		again = append(again, f.Where(in))
	}
	n := in.Count(a.Trial.Each.PartsEach, "part")
	elsewhere := words.If(len(again) <= len(a.Together), " on another day")
	switch {
	case len(again) == 1:
		return fmt.Sprintf("; to tell, coat %s with %s%s, and %s without it", n, again[0], elsewhere, n)
	case len(again) == 2 && elsewhere == "":
		return fmt.Sprintf("; to tell, coat %s with %s and without the other, and %s the other way round", n, again[0], n)
	}
	return fmt.Sprintf("; to tell, coat %s with each of %s%s, but without the others, and %s with none of them", n, words.And(again...), elsewhere, n)
}

// apart reads "20 to 50 percentage points more".
func apart(i stat.Interval, in words.Writing) string {
	percent := func(share float64) string { return in.Number(Percent(share)) }
	switch {
	case i.Low >= 0:
		return fmt.Sprintf("%s to %s percentage points more", percent(i.Low), percent(i.High))
	case i.High <= 0:
		return fmt.Sprintf("%s to %s percentage points fewer", percent(-i.High), percent(-i.Low))
	}
	return fmt.Sprintf("between %s percentage points fewer and %s more", percent(-i.Low), percent(i.High))
}

// ratio writes a ratio with two digits that count.
func ratio(v float64) string {
	switch {
	case v >= 10:
		return digits(math.Round(v))
	case v < 0.01:
		return "below 0.01"
	}
	return strconv.FormatFloat(v, 'g', 2, 64)
}
