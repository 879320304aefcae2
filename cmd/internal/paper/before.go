package paper

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/words"
)

// beforeAndAfter shows each corner as it was and as it is.
func (t *told) beforeAndAfter() ([]Block, error) {
	corners := t.shownPlaces()
	of := Pictures{Across: 2, Tall: 0.64}
	if len(corners) > 2 {
		of.Across, of.Tall = 4, 0.75
	}
	any := false
	for _, c := range corners {
		events := c.Events()
		for _, side := range []struct {
			kinds []journal.Kind
			last  bool
			says  string
		}{{facts.CameIn(), false, "before the work"}, {facts.WentBack(), true, "after the work"}} {
			one, err := t.showing(c.Subject, facts.Shown(events, side.kinds, side.last), side.says)
			if err != nil {
				return nil, err
			}
			any = any || one.JPEG != nil || !one.none
			of.Of = append(of.Of, one.Picture)
		}
	}
	if !any {
		if len(corners) == 0 {
			return nil, nil
		}
		return []Block{say("No photograph shows the parts before and after the work.")}, nil
	}
	return []Block{of}, nil
}

// mostShown is of how many parts that came loose each is shown.
const mostShown = 4

// shownPlaces are the corners that something was done at, or the parts themselves if they
// came without their vehicle.
func (t *told) shownPlaces() []*facts.Site {
	corners := slices.DeleteFunc(slices.Clone(t.corners()), (*facts.Site).Untouched)
	if len(corners) > 0 {
		return corners
	}
	parts := t.parts()
	return parts[:min(len(parts), mostShown)]
}

// shown is a picture; none is whether nobody took one.
type shown struct {
	Picture
	none bool
}

func (t *told) showing(at journal.Subject, s *facts.Picture, says string) (shown, error) {
	what := words.Capital(t.thing(at)) + ", " + says
	if s == nil {
		return shown{Picture{Shows: what, Caption: strong(what), Missing: "Nobody took a photograph here."}, true}, nil
	}
	caption := Text{{what, Bold}, {": " + words.Commas(s.Role, day(s.Line.Clocks.Device), t.who(s.Line.By)), Plain}}
	p, err := picture(t.ctx, t.ask.Photos, s.Photo, what, caption)
	return shown{p, false}, err
}
