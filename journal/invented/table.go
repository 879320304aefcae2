package invented

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/parts"
	"fettlebook/journal/trade/dew"
	"fettlebook/journal/trade/unit"
)

// Table returns the plan as a parts table, without the way through a journal.
// It is what the journal gives, but that the entries of defects are named only
// once they were written.
func (p *Plan) Table() *parts.Table { return p.known(p.last().AddDate(1, 0, 0)) }

// known is the table of the coats that were looked at before a moment, with the
// defects that had shown by then.
func (p *Plan) known(at time.Time) *parts.Table {
	var rows []parts.Row
	t := &tabling{plan: p, at: at, lives: p.lives(), heats: make(heats), defects: make(map[string]parts.Name)}
	for _, look := range journal.Look("").Words() {
		t.defects[look] = parts.Defect(look)
	}
	for _, j := range p.Jobs {
		for _, c := range j.Coats {
			if c.measured().Before(at) {
				rows = append(rows, t.row(c))
			}
		}
	}
	return parts.New(rows...)
}

// lives are the coats of each casting, in order.
func (p *Plan) lives() map[string][]*Coat {
	lives := make(map[string][]*Coat)
	for _, j := range p.Jobs {
		for _, c := range j.Coats {
			lives[c.Casting] = append(lives[c.Casting], c)
		}
	}
	return lives
}

// tabling makes rows of coats.
type tabling struct {
	plan  *Plan
	at    time.Time
	lives map[string][]*Coat // of a casting, in order
	heats heats
	// defects are the columns of looks.
	defects map[string]parts.Name
}

func (t *tabling) row(c *Coat) parts.Row {
	r := parts.NewRow(c.Part(), c.Number)
	r.Put(parts.Date, parts.On(c.Sprayed))
	r.Put(parts.Casting, parts.Text(c.Casting))
	t.casting(r, c)
	t.prepared(r, c)
	t.powdered(r, c)
	r.Put(parts.Bake, parts.Text(c.bake()))
	r.Put(parts.Oven, parts.Text(c.Oven))
	r.Put(parts.Place, parts.Text(c.Place))
	r.Put(parts.BakePeak, parts.Num(float64(c.BakeMetal)))
	r.Put(parts.Schedule, parts.Num(math.Round(t.heats.of(c.BakeMetal).schedule*100)/100))
	r.Put(parts.Film, parts.Num(c.Film))
	r.Put(parts.CardEdition, parts.Text(fmt.Sprintf("%s %d", card.Usual, c.Job.Card)))
	t.cameOut(r, c)
	return r
}

func (t *tabling) casting(r parts.Row, c *Coat) {
	r.Put(parts.Pattern, parts.Text(c.Pattern))
	r.Put(parts.What, parts.Text(c.What))
	r.Put(parts.Metal, parts.Text(c.Metal))
	r.Put(parts.Corner, parts.Text(c.Corner))
	r.Put(parts.Source, parts.Text(map[bool]string{true: "brought by the customer", false: "off the vehicle"}[c.Brought]))
	lives := t.lives[c.Casting]
	before, minutes := slices.Index(lives, c), c.soakHeat()
	for _, o := range lives[:before] {
		minutes += o.soakHeat() + t.heats.of(o.BakeMetal).minutes
	}
	r.Put(parts.CoatsBefore, parts.Num(float64(before)))
	r.Put(parts.HeatMinutes, parts.Num(math.Round(minutes)))
}

func (t *tabling) prepared(r parts.Row, c *Coat) {
	r.Put(parts.Degreaser, parts.Text(c.Degreaser))
	r.Put(parts.BlastMedia, parts.Text(c.Media))
	r.Put(parts.BlastBar, parts.Num(c.Bar))
	r.Put(parts.MediaHours, parts.Num(c.MediaHours))
	r.Put(parts.BlastToPowder, parts.Num(float64(c.BlastMinutes)))
	r.Put(parts.SoakMetal, parts.Num(float64(c.SoakMetal)))
	r.Put(parts.SoakOverBake, parts.Num(float64(c.SoakMetal-c.BakeMetal)))
	r.Put(parts.SoakMinutes, parts.Num(float64(c.SoakMinutes)))
	r.Put(parts.SoakToPowder, parts.Num(float64(c.SoakToPowder)))
}

func (t *tabling) powdered(r parts.Row, c *Coat) {
	r.Put(parts.PowderLot, parts.Text(c.Lot.ID))
	r.Put(parts.Chemistry, parts.Text(c.Lot.Chemistry))
	r.Put(parts.Colour, parts.Text(c.Lot.Colour))
	r.Put(parts.OpenedDays, parts.Num(float64(days(c.Lot.Opened, c.Day))))
	r.Put(parts.Reclaimed, parts.Num(float64(c.Reclaimed)))
	r.Put(parts.Air, parts.Num(c.Air))
	r.Put(parts.Humidity, parts.Num(float64(c.Humidity)))
	r.Put(parts.DewMargin, margin(c))
	r.Put(parts.FilterDays, parts.Num(float64(days(lastOf(t.plan.FilterChanged, c.Sprayed), c.Sprayed))))
	r.Put(parts.Charge, parts.Num(float64(c.Charge)))
	r.Put(parts.Earth, parts.Num(c.Earth))
	r.Put(parts.Person, parts.Text(strings.ToUpper(string(c.Person))))
	r.Put(parts.Weekday, parts.Text(c.Sprayed.Weekday().String()))
	r.Put(parts.Rack, parts.Text(c.Rack))
	r.Put(parts.Hook, parts.Text(c.Hook))
}

// cameOut says how a coat came out, as far as that had shown.
func (t *tabling) cameOut(r parts.Row, c *Coat) {
	look := c.Look
	if c.LateDays > 0 && !c.Job.days(c.LateDays).Before(t.at) {
		look = ""
	}
	r.Put(parts.Looked, parts.Yes(true))
	for is, column := range t.defects {
		r.Put(column, parts.Yes(is == look))
	}
	r.Put(parts.Reworked, parts.Yes(c.Stripped))
	if !c.Stripped {
		r.Put(parts.HandedBack, parts.On(c.Job.Back))
		if heard := max(c.Job.Heard, t.here(c)); heard > 0 {
			r.Put(parts.DaysFollowed, parts.Num(float64(heard)))
		}
	}
	if look == "" {
		return
	}
	r.Put(parts.Seen, parts.Text(c.seen()))
	r.Put(parts.Face, parts.Text(c.Face))
	if !c.Entry.IsZero() {
		r.Put(parts.Entry, parts.Text(c.Entry.String()))
	}
	for _, s := range c.thought() {
		r.Put(parts.Cause, parts.Text(s.Cause))
		r.Put(parts.CauseKnown, parts.Text(s.Sure))
	}
	if slices.Contains(spots(), c.Face) {
		r.Put(parts.FilmAtDefect, parts.Num(c.Film))
	}
	if c.LateDays > 0 {
		r.Put(parts.DaysToDefect, parts.Num(float64(c.LateDays)))
	}
}

// here is how many days after its handover the casting was in the shop again
// with the coat on: until it was washed. It is 0 if it was not.
func (t *tabling) here(c *Coat) int {
	lives := t.lives[c.Casting]
	next := slices.Index(lives, c) + 1
	if next == len(lives) || lives[next].Job == c.Job {
		return 0
	}
	return days(c.Job.Back, lives[next].washed())
}

// days are the whole days from one moment to another.
func days(from, to time.Time) int { return int(to.Sub(from).Hours() / 24) }

// lastOf is the last of some times that is not after a moment.
func lastOf(list []time.Time, moment time.Time) (last time.Time) {
	for _, t := range list {
		if !t.After(moment) {
			last = t
		}
	}
	return last
}

// margin is how far the part was above the dew point.
func margin(c *Coat) parts.Value {
	r, err := dew.Judge(dew.Reading{
		Air: q[unit.Temperature](celsius(c.Air)), Humidity: q[unit.Ratio](percent(c.Humidity)), Metal: q[unit.Temperature](celsius(c.Metalled))})
	if err != nil {
		return parts.Value{}
	}
	return parts.Num(math.Round(r.Margin*10) / 10)
}

// How figures are typed.
func celsius(of float64) string { return fmt.Sprintf("%.1f °C", of) }
func percent(of int) string     { return fmt.Sprintf("%d %%", of) }

// bake is the run in which the coat was baked.
func (c *Coat) bake() string { return fmt.Sprintf("bake-%04d", c.Bake) }

// seen is when a defect showed.
func (c *Coat) seen() journal.DefectStage {
	return cmp.Or(map[bool]journal.DefectStage{true: journal.AfterHandover}[c.LateDays > 0], journal.AfterBake)
}

// thought is where a defect was thought to come from.
func (c *Coat) thought() []journal.Suspicion {
	if c.Look == string(journal.Pinhole) && c.Face != "" {
		return []journal.Suspicion{{Cause: journal.GasFromCasting, Sure: journal.CauseSuspected}}
	}
	return nil
}

// spots are where film is read.
func spots() []string {
	return []string{"outer face", "bridge", "lower edge", "upper boss", "inner face"}
}
