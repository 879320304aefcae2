package recur

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"fettlebook/journal/parts"
	"fettlebook/journal/trade/stat"
	"fettlebook/journal/words"
)

// Say returns what the study found, a sentence each, in a way of writing. The conditions
// of its question stay as they are typed.
func (s *Study) Say(in words.Writing) []string {
	switch {
	case s.Parts == 0:
		return []string{"No coat of a part is on record" + words.If(len(s.Filter) > 0, " that meets "+words.And(s.Filter...)) + "."}
	case s.Looked == 0:
		return []string{in.Sprintf("Of %s none was looked at after its bake yet, so nothing can be said.", in.Count(s.Parts, "coat"))}
	case s.Defect == "":
		return []string{in.Sprintf("Of %s that were looked at none had a defect.", in.Count(s.Looked, "coat"))}
	}
	said := s.SayRate(in)
	said = append(said, s.Course.Say(in)...)
	for _, a := range s.Accused {
		said = append(said, s.SayAccused(a, in)...)
	}
	said = append(said, s.SaySearch(in)...)
	for _, n := range s.Named {
		said = append(said, n.Say(in))
	}
	if s.Place != nil {
		said = append(said, s.Place.Say(in))
	}
	if s.Late != nil {
		said = append(said, s.Late.Say(s.Defect, in))
	}
	for i := range said {
		said[i] = words.Sentence(said[i])
	}
	return said
}

// SayRate says how often the defect was seen. Of parts whose customer nobody
// reached nothing is known after handover: where others had it then, that is
// said too.
func (s *Study) SayRate(in words.Writing) []string {
	said := []string{fmt.Sprintf("%s: %s", words.Capital(s.Defect), s.rate().Written(in))}
	if l := s.Late; l != nil && l.Found() > 0 && l.HandedBack > l.Heard {
		said = append(said, in.Sprintf("%d of these showed after handover, and %s without it here", l.Found(),
			in.Either(l.HandedBack-l.Heard, "coat of which nothing was heard since counts as", "coats of which nothing was heard since count as")))
	}
	return said
}

// rate is how often the defect was seen.
func (s *Study) rate() stat.Proportion {
	for _, r := range s.Rates {
		if r.Defect == s.Defect {
			return r.Rate
		}
	}
	return stat.Proportion{}
}

// Of returns a factor, the zero one if it was not asked for.
func (s *Study) Of(name parts.Name) Factor {
	for _, f := range s.Factors {
		if f.Name == name {
			return f
		}
	}
	return Factor{}
}

// Where reads "powder lot L017" or "soak to powder above 90 min".
func (f Factor) Where(in words.Writing) string {
	return strings.TrimSpace(f.Says + " " + f.Called(f.Split, in))
}

// Called is one of the factor's values, or a span of its numbers, in a way of writing.
// Words are names and stay as they are.
func (f Factor) Called(value string, in words.Writing) string {
	switch {
	case f.Number:
		return in.Number(value)
	case f.Name == SameDay:
		return DayIn(value, in)
	}
	return value
}

// DayIn is a day, or a month, of the parts table in a way of writing.
func DayIn(day string, in words.Writing) string {
	if at, err := time.Parse(time.DateOnly, day); err == nil {
		return in.Day(at)
	}
	if at, err := time.Parse(monthForm, day); err == nil {
		return in.Month(at)
	}
	return day
}

// ShortIn does what DayIn does, where there is little room.
func ShortIn(day string, in words.Writing) string {
	if at, err := time.Parse(monthForm, day); err == nil {
		return in.ShortMonth(at)
	}
	return DayIn(day, in)
}

const monthForm = "2006-01"

// Say says what the factor goes with by itself, a clause each.
func (f Factor) Say(defect string, in words.Writing) []string {
	switch {
	case f.Known == 0:
		return []string{"nobody wrote this down of a part that was looked at, so nothing can be said"}
	case f.Split == "":
		return []string{"all parts of which this was written down are alike in it, so there is nothing to compare"}
	}
	said := fmt.Sprintf("%s shows most at %s: %s, against %s elsewhere", defect, f.Where(in), share(f.Pair.First, in), share(f.Pair.Second, in))
	if f.Effect != nil {
		said += ", " + apart(f.Effect.Size, in)
	}
	said += fmt.Sprintf("; "+f.held()+" held equal, and this and all other factors counted at all of their values and cuts, %s", in.Number(Chance(f.Adjusted)))
	list := []string{said}
	switch {
	case f.Because == "" && !f.Stands && f.More > 0:
		list = append(list, fmt.Sprintf("that does not stand out: these are not enough parts to tell. If it is as it seems, %s would show it four times in five", f.SayMore(in)))
	case !f.Stands:
		list = append(list, "that does not stand out")
	}
	return list
}

// Standing says in a few words how a factor stands; "" if there is nothing to say.
func (s *Study) Standing(f Factor, in words.Writing) string {
	switch {
	case f.Because == GoesAlong:
		return "only goes along with " + s.Of(f.Of).Where(in)
	case f.Because == Together:
		return "cannot be told from " + s.Of(f.Of).Where(in)
	case f.Stands:
		return "stands out"
	case f.Split == "":
		return "alike in all parts"
	}
	return ""
}

// held names what is held equal while the factor is tried by itself.
func (f Factor) held() string {
	return words.Choose(f.Name == parts.What, "metal", words.Choose(f.Name == parts.Metal, "kind of part", "kind of part and metal"))
}

// SayMore says how many more parts it would take: "12 parts more on the smaller
// side".
func (f Factor) SayMore(in words.Writing) string {
	text := in.Count(f.More, "part") + " more on the smaller side"
	if f.MoreOther > 0 {
		text += in.Sprintf(" and %d on the other", f.MoreOther)
	}
	return text
}

// SaySearch says what the search as a whole was worth.
func (s *Study) SaySearch(in words.Writing) []string {
	tried := fmt.Sprintf("%s tried at %s", in.Count(s.Tested, "factor"), in.Either(s.Tries, "value or cut", "values and cuts"))
	if len(s.Accused) > 0 {
		return []string{fmt.Sprintf("of %s, all counted, at most 5 %% of such finds are false on average; a find says what goes with a defect, not what makes it", tried)}
	}
	said := []string{fmt.Sprintf("of %s none stands out", tried)}
	if least := s.least(in); least != "" {
		said = append(said, least)
	}
	return said
}

// least says what would have shown, and what it would take for the strongest of
// the factors to show.
func (s *Study) least(in words.Writing) string {
	half := s.rate().Sample
	half.Parts, half.Defects = half.Parts/2, (half.Defects+1)/2
	if d, err := stat.Detect(stat.Pair{First: half, Second: half}, 1-allowed/float64(max(1, s.Tested))); err == nil && d.Possible() && half.Parts > 0 {
		text := in.Sprintf("with these parts a factor that half of them have would show only if it took the rate from %s to %s %% (four times in five)", in.Number(Percent(d.From)), in.Number(Percent(d.To)))
		for _, f := range s.Factors {
			if f.More > 0 {
				return text + fmt.Sprintf("; if %s is as it seems, it would take %s", f.Where(in), f.SayMore(in))
			}
		}
		return text
	}
	return "these are not enough parts to tell anything from"
}

// Say says how the defect went over time.
func (c *Course) Say(in words.Writing) (said []string) {
	if c.Chart == nil {
		said = append(said, "no chart over time can be drawn yet: "+c.Why)
	} else {
		said = append(said, "over time, "+c.named(in).Written(in))
	}
	for _, ch := range c.Changes {
		why := ""
		if ch.Because != nil {
			why = fmt.Sprintf(", out of the investigation of %s", words.Quoted(ch.Because.Says))
		}
		text := fmt.Sprintf("route card %s came in on %s%s: %s before, %s since", ch.Card, DayIn(ch.Day, in), why, share(ch.Before, in), share(ch.After, in))
		if ch.Effect != nil {
			text += fmt.Sprintf(", a change of %s to %s percentage points", in.Number(Signed(ch.Effect.Size.Low)), in.Number(Signed(ch.Effect.Size.High)))
		}
		said = append(said, text)
	}
	return said
}

// named is the chart with its points called in a way of writing.
func (c *Course) named(in words.Writing) stat.Chart {
	chart := *c.Chart
	chart.Points = slices.Clone(chart.Points)
	for i := range chart.Points {
		chart.Points[i].Name = DayIn(chart.Points[i].Name, in)
	}
	return chart
}

// Say names a pattern and what it points to. Common practice, no source.
func (n Named) Say(in words.Writing) string {
	points := map[Pattern]string{
		CastingAgain: "that points to gas from the casting itself",
		OneDay:       "that points to the air, the oven or the powder of the day",
		OneFace:      "that points to how it was sprayed",
		AfterChange:  "that points to the change",
	}[n.Pattern]
	text := fmt.Sprintf("%s, %s: %s, against %s elsewhere", n.Pattern, n.Place(in), share(n.Pair.First, in), share(n.Pair.Second, in))
	if n.Effect != nil {
		text += ", " + apart(n.Effect.Size, in)
	}
	return text + "; " + points
}

// Place is where the pattern is, in a way of writing.
func (n Named) Place(in words.Writing) string {
	switch n.Pattern {
	case OneDay:
		return DayIn(n.Where, in)
	case AfterChange: // the young side of a cut
		return in.Number(n.Where)
	}
	return n.Where
}

// Say says what is known of defects after handover.
func (l *Late) Say(defect string, in words.Writing) string {
	if l.Heard == 0 {
		return fmt.Sprintf("after handover: nobody was heard of again of %s, so nothing is known of late ones", in.Count(l.HandedBack, "coat"))
	}
	text := fmt.Sprintf("after handover: of %s handed back, %s heard of again; of the others nothing is known", in.Count(l.HandedBack, "coat"), in.Either(l.Heard, "was", "were"))
	if l.Good != nil {
		text += "; " + l.Good.Written(in)
	}
	return text
}

// share reads "18 of 56 (32 %)".
func share(s stat.Sample, in words.Writing) string {
	if s.Parts == 0 {
		return "none"
	}
	return in.Sprintf("%d of %d (%s %%)", s.Defects, s.Parts, in.Number(Percent(s.Rate())))
}

// Percent is a share in per cent, with a decimal where it is small.
func Percent(share float64) string {
	v := 100 * share
	if a := math.Abs(v); a >= 10 || a == math.Trunc(a) {
		return digits(math.Round(v))
	}
	return digits(math.Round(v*10) / 10)
}

// Signed is a difference of shares in percentage points, with its sign.
// What rounds to nothing has none.
func Signed(share float64) string {
	switch text := Percent(share); {
	case text == "-0":
		return "0"
	case share > 0 && text != "0":
		return "+" + text
	default:
		return text
	}
}

// Chance reads "p 0.012". It never stands without the rates and their interval.
func Chance(p float64) string {
	if p < 0.001 {
		return "p below 0.001"
	}
	return fmt.Sprintf("p %.2g", p)
}
