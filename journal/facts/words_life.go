package facts

import (
	"cmp"
	"fmt"

	"fettlebook/journal/words"
)

// lifeWords says what is known of a casting as a whole.
func (s Statement) lifeWords() string {
	switch s.Quantity {
	case HeatOfRun:
		in := words.Choose(s.Of == "", "the soak", "run "+s.Of)
		switch {
		case s.Because == NotOnRecord:
			return fmt.Sprintf("nobody has written how long %s lasted, so its heat is not known", in)
		case s.Sure == AtMost:
			return fmt.Sprintf("at most %s above %s in %s", s.Figure(), s.Has("above"), in)
		case s.Value == "0":
			return fmt.Sprintf("not above %s in %s", s.Has("above"), in)
		}
		return fmt.Sprintf("%s above %s in %s, by a probe on the part", s.Figure(), s.Has("above"), in)
	case LifeBefore:
		return fmt.Sprintf("what was done to it before %s, when it first came here, is not on record, nor what heat it had had by then", cmp.Or(s.when, s.Value))
	case CastingTold:
		if s.Value == "" {
			return "the shop put no number into it, so other jobs of it may not have been known again"
		}
		return fmt.Sprintf("the shop put no number into it; it is told by the cast mark %s, which other castings may bear too", s.Value)
	case CastingMetal:
		return "nobody has written of what metal it is"
	case HeardSince:
		if days := s.Has("days"); days != "" {
			return fmt.Sprintf("it was last heard of %s after it was handed back on %s; how it has been since is not known", count(days, "day"), cmp.Or(s.when, s.Value))
		}
		return fmt.Sprintf("nothing has been heard of it since it was handed back on %s", cmp.Or(s.when, s.Value))
	}
	return ""
}

// missingWords says what nobody wrote of a coat.
func (s Statement) missingWords() string {
	if s.Because != NotOnRecord {
		return ""
	}
	switch s.Quantity {
	case Degreaser:
		return "no degreasing before the powder is on record"
	case BlastMedia:
		return "no blast before the powder is on record"
	case Soak:
		return "no soak before the powder is on record"
	case Schedule:
		return "no bake after the powder is on record"
	case FilmMean:
		return "no reading of the film is on record"
	}
	return ""
}
