package invented

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/trade/dew"
	"fettlebook/journal/trade/unit"
)

// Table returns the plan as a parts table, without the way through a journal.
func (p *Plan) Table() *parts.Table {
	var rows []parts.Row
	seen := make(map[string]int)
	for _, j := range p.Jobs {
		for _, c := range j.Coats {
			rows = append(rows, p.row(c, seen[c.Casting]))
			seen[c.Casting]++
		}
	}
	return parts.New(rows...)
}

func (p *Plan) row(c *Coat, before int) parts.Row {
	r := parts.NewRow(journal.About(c.Job.ID, c.Corner, journal.PartID(c.What)), 1)
	r.Put(parts.Date, parts.On(c.Job.Day))
	r.Put(parts.Casting, parts.Text(c.Casting))
	r.Put(parts.Pattern, parts.Text(c.Pattern))
	r.Put(parts.What, parts.Text(c.What))
	r.Put(parts.Metal, parts.Text(c.Metal))
	r.Put(parts.Corner, parts.Text(c.Corner))
	r.Put(parts.CoatsBefore, parts.Num(float64(before)))
	r.Put(parts.Degreaser, parts.Text(c.Degreaser))
	r.Put(parts.BlastMedia, parts.Text(c.Media))
	r.Put(parts.BlastBar, parts.Num(c.Bar))
	r.Put(parts.MediaHours, parts.Num(c.MediaHours))
	r.Put(parts.BlastToPowder, parts.Num(float64(c.BlastMinutes)))
	r.Put(parts.SoakMetal, parts.Num(float64(c.SoakMetal)))
	r.Put(parts.SoakOverBake, parts.Num(float64(c.SoakMetal-c.BakeMetal)))
	r.Put(parts.SoakMinutes, parts.Num(float64(c.SoakMinutes)))
	r.Put(parts.SoakToPowder, parts.Num(float64(c.SoakToPowder)))
	r.Put(parts.PowderLot, parts.Text(c.Lot.ID))
	r.Put(parts.Chemistry, parts.Text(c.Lot.Chemistry))
	r.Put(parts.Colour, parts.Text(c.Lot.Colour))
	r.Put(parts.OpenedDays, parts.Num(float64(int(c.Job.Day.Sub(c.Lot.Opened).Hours()/24))))
	r.Put(parts.Reclaimed, parts.Num(float64(c.Reclaimed)))
	r.Put(parts.Air, parts.Num(c.Air))
	r.Put(parts.Humidity, parts.Num(float64(c.Humidity)))
	r.Put(parts.DewMargin, margin(c))
	r.Put(parts.Charge, parts.Num(float64(c.Charge)))
	r.Put(parts.Earth, parts.Num(c.Earth))
	r.Put(parts.Person, parts.Text(c.Person))
	r.Put(parts.Weekday, parts.Text(c.Job.Day.Weekday().String()))
	r.Put(parts.Rack, parts.Text(c.Rack))
	r.Put(parts.Hook, parts.Text(c.Hook))
	r.Put(parts.Bake, parts.Text(fmt.Sprintf("bake-%04d", c.Bake)))
	r.Put(parts.Oven, parts.Text(c.Oven))
	r.Put(parts.Place, parts.Text(c.Place))
	r.Put(parts.BakePeak, parts.Num(float64(c.BakeMetal)))
	r.Put(parts.Film, parts.Num(c.Film))
	r.Put(parts.Looked, parts.Yes(true))
	for _, look := range journal.Look("").Words() {
		r.Put(parts.Defect(look), parts.Yes(look == c.Look))
	}
	r.Put(parts.HandedBack, parts.On(c.Job.Day.AddDate(0, 0, 1)))
	if c.Job.Heard > 0 {
		r.Put(parts.DaysFollowed, parts.Num(float64(c.Job.Heard)))
	}
	if c.LateDays > 0 {
		r.Put(parts.DaysToDefect, parts.Num(float64(c.LateDays)))
	}
	if c.Look != "" {
		r.Put(parts.Face, parts.Text(c.Face))
	}
	return r
}

// margin is how far the part was above the dew point.
func margin(c *Coat) parts.Value {
	air, err := unit.Parse[unit.Temperature](fmt.Sprintf("%.1f °C", c.Air))
	if err != nil {
		return parts.Value{}
	}
	humidity, err := unit.Parse[unit.Ratio](fmt.Sprintf("%d %%", c.Humidity))
	if err != nil {
		return parts.Value{}
	}
	metal, err := unit.Parse[unit.Temperature](fmt.Sprintf("%.1f °C", c.Metalled))
	if err != nil {
		return parts.Value{}
	}
	r, err := dew.Judge(dew.Reading{Air: air, Humidity: humidity, Metal: metal})
	if err != nil {
		return parts.Value{}
	}
	return parts.Num(float64(int(r.Margin*10+0.5)) / 10)
}
