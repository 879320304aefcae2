package paper

import (
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/words"
)

// beforeAndAfter shows each corner as it was and as it is.
func (t *told) beforeAndAfter() ([]Block, error) {
	if t.facts == nil {
		return nil, nil
	}
	pairs := t.facts.Pairs()
	of := Pictures{Across: 2, Tall: 0.64}
	if len(pairs) > 2 {
		of.Across, of.Tall = 4, 0.75
	}
	any := false
	for _, p := range pairs {
		for _, side := range []struct {
			of   *facts.Sight
			says string
		}{{p.Before, "before the work"}, {p.After, "after the work"}} {
			one, err := t.showing(p.About, side.of, side.says)
			if err != nil {
				return nil, err
			}
			any = any || one.JPEG != nil || !one.none
			of.Of = append(of.Of, one.Picture)
		}
	}
	if !any {
		if len(pairs) == 0 {
			return nil, nil
		}
		return []Block{say("No photograph shows the parts before and after the work.")}, nil
	}
	return []Block{of}, nil
}

// shown is a picture; none is whether nobody took one.
type shown struct {
	Picture
	none bool
}

func (t *told) showing(at journal.Subject, s *facts.Sight, says string) (shown, error) {
	what := words.Capital(t.thing(at)) + ", " + says
	if s == nil {
		return shown{Picture{Shows: what, Caption: strong(what), Missing: "Nobody took a photograph here."}, true}, nil
	}
	caption := Text{{what, Bold}, {": " + words.Commas(s.Role, t.day(s.Line.Clocks.Device), t.who(s.Line.By)), Plain}}
	p, err := picture(t.ctx, t.ask.Photos, s.Photo, what, caption)
	return shown{p, false}, err
}
