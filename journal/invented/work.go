package invented

import (
	"fmt"
	"math"
	"time"

	"fettlebook/journal"
)

// usualBatch is about how many parts are sprayed on one day. A shop that has more
// to do than days sprays more on each.
const usualBatch = 12

// weather is what the air of a day was.
type weather struct {
	air      float64
	humidity int
}

// work fills the days on which is sprayed.
func (m *maker) work() {
	p := m.plan
	days := min(max(1, p.Parts/usualBatch), p.Days)
	batch := max(usualBatch, p.Parts/days)
	m.aim(days)
	for made, i := 0, 0; made < p.Parts || len(m.again) > 0; i++ {
		day := i * p.Days / days
		at := p.Begun.AddDate(0, 0, day)
		season := math.Sin(2 * math.Pi * float64(at.YearDay()) / 365)
		air := weather{math.Round((17-6*season+2*m.r.Float64())*10) / 10, m.between(40, 70)}
		coats := m.again
		m.again = nil
		for n := m.between(batch-4, batch+4); made < p.Parts && len(coats) < n; {
			job := m.job(at)
			p.Jobs = append(p.Jobs, job)
			coats = append(coats, job.Coats...)
		}
		m.spray(coats, day, air)
		m.bake(coats)
		for _, c := range coats {
			m.turnOut(c, i)
			c.Job.Back = at.AddDate(0, 0, 1).Add(toHandover)
		}
		made += len(coats)
	}
}

// From the beginning of a day to what is done on it.
const (
	toWash     = 30 * time.Minute
	toPowder   = 6*time.Hour + 30*time.Minute
	toBake     = 8 * time.Hour
	toHandover = 8*time.Hour + 30*time.Minute
)

// aim chooses what the cause is about: something that a fair share of the parts
// has.
func (m *maker) aim(days int) {
	lots := m.plan.Lots
	m.bad.lot = lots[len(lots)/4+m.r.IntN(max(1, len(lots)/2))].ID
	m.bad.pattern = pick(m.r, "K22", "B09", "K40")
	m.bad.day = days/4 + m.r.IntN(max(1, days/2))
	m.bad.place = pick(m.r, places()...)
	said := map[Cause]string{
		OneLot: "the powder lot " + string(m.bad.lot), CoolSoak: "a soak cooler than the bake", OnePattern: "the pattern " + m.bad.pattern,
		OneDay: "the air of one day", OnePlace: "the oven’s place " + m.bad.place,
	}
	for _, cause := range []Cause{m.plan.Cause, m.plan.Also} {
		if is, ok := said[cause]; ok {
			m.plan.Planted = append(m.plan.Planted, is)
		}
	}
}

func places() []string {
	return []string{"by the door, low", "by the door, high", "middle, low", "middle, high", "back, low", "back, high"}
}

// job takes in a car: one corner, an axle, or all of it.
func (m *maker) job(at time.Time) *Job {
	j := &Job{ID: m.id(), Number: len(m.plan.Jobs) + 1, Day: at, Card: 1}
	if r := m.plan.revised(); !r.IsZero() && !j.opened().Before(r) {
		j.Card = 2
	}
	corners := pick(m.r, []journal.Corner{journal.LeftFront}, []journal.Corner{journal.LeftFront, journal.RightFront}, []journal.Corner{journal.LeftFront, journal.RightFront}, []journal.Corner{journal.LeftRear, journal.RightRear}, journal.OnVehicle())
	if m.r.IntN(5) < 3 {
		j.Heard = m.between(2, 150)
	}
	caliper, bracket := m.pattern("caliper"), m.pattern("bracket")
	for _, corner := range corners {
		for _, of := range []pattern{caliper, bracket} {
			c := &Coat{Job: j, Number: 1, Corner: corner, What: of.what, Pattern: of.mark, Metal: of.metal, Brought: m.r.IntN(12) == 0}
			if again := m.back(at, of); again != "" {
				c.Casting = again
			} else {
				m.castings++
				c.Casting = fmt.Sprintf("F%05d", m.castings)
			}
			j.Coats = append(j.Coats, c)
		}
	}
	return j
}

// opened is when the car came in.
func (j *Job) opened() time.Time { return j.Day.AddDate(0, 0, -1) }

// revised is when the second edition of the route card came into force; zero if
// none did.
func (p *Plan) revised() time.Time {
	if p.Revised == 0 {
		return time.Time{}
	}
	return p.Begun.AddDate(0, 0, p.Revised)
}

// id draws a job's id.
func (m *maker) id() journal.JobID {
	const letters = "23456789abcdefghjkmnpqrstuvwxyz"
	id := make([]byte, 8)
	for i := range id {
		id[i] = letters[m.r.IntN(len(letters))]
	}
	return journal.JobID(id)
}

func (m *maker) pattern(what string) pattern {
	sum := 0
	for _, p := range m.patterns {
		if p.what == what {
			sum += p.share
		}
	}
	at := m.r.IntN(sum)
	for _, p := range m.patterns {
		if p.what != what {
			continue
		}
		if at -= p.share; at < 0 {
			return p
		}
	}
	return pattern{}
}

// back returns a casting that was here two months before or longer, now and
// then.
func (m *maker) back(at time.Time, of pattern) string {
	if m.r.IntN(25) > 0 {
		return ""
	}
	for i, c := range m.out {
		if c.Pattern == of.mark && c.Metal == of.metal && at.Sub(c.Day) > 60*24*time.Hour {
			m.out = append(m.out[:i:i], m.out[i+1:]...)
			return c.Casting
		}
	}
	return ""
}

// spray prepares and sprays the parts of a day.
func (m *maker) spray(coats []*Coat, day int, air weather) {
	lot := m.plan.Lots[0]
	for _, l := range m.plan.Lots {
		if l.FirstDay <= day {
			lot = l
		}
	}
	degreaser := pick(m.r, "alkaline bath", "alkaline bath", "neutral cleaner")
	at := m.plan.Begun.AddDate(0, 0, day)
	changed := m.plan.MediaChanged[0]
	for _, c := range m.plan.MediaChanged {
		if !c.After(at) {
			changed = c
		}
	}
	for k, c := range coats {
		c.Day, c.Sprayed = at, at.Add(toPowder+time.Duration(2*k)*time.Minute)
		c.Degreaser = degreaser
		c.Media, c.Bar = pick(m.r, "glass bead 90-150 µm", "aluminium oxide 120 grit"), float64(m.between(25, 50))/10
		c.BlastMinutes = m.between(190, 330)
		c.MediaHours = math.Round(c.blasted().Sub(changed).Hours())
		c.BakeMetal = m.between(188, 202)
		c.SoakMinutes = pick(m.r, 30, 45, 60, 60)
		c.SoakMetal = c.BakeMetal + m.between(5, 30)
		if m.r.IntN(8) == 0 {
			c.SoakMetal = c.BakeMetal - m.between(8, 30)
		}
		c.SoakToPowder = m.between(25, 110)
		c.Lot, c.Reclaimed = lot, m.between(0, 6)*5
		c.Air, c.Humidity = air.air, air.humidity
		c.Metalled = air.air + float64(m.between(10, 60))/10
		c.Charge, c.Earth = m.between(50, 80), float64(m.between(1, 8))/10
		c.Person = pick[journal.PersonID](m.r, "io", "mo", "ty")
		c.Rack, c.Hook = fmt.Sprint(1+k/6), fmt.Sprint(1+k%6)
		c.Film = float64(m.between(62, 96))
	}
}

// bake fills ovens with the parts of a day.
func (m *maker) bake(coats []*Coat) {
	const load = 6
	for from := 0; from < len(coats); from += load {
		m.bakes++
		oven := pick(m.r, "oven-1", "oven-1", "oven-2")
		hung := m.r.Perm(load)
		for k, c := range coats[from:min(from+load, len(coats))] {
			c.Bake, c.Oven, c.Place = m.bakes, oven, places()[hung[k]]
		}
	}
}

// turnOut says how a coat came out.
func (m *maker) turnOut(c *Coat, i int) {
	rate := usualRate
	for _, cause := range []Cause{m.plan.Cause, m.plan.Also} {
		if m.has(cause, c, i) {
			c.Planted, rate = true, max(rate, map[bool]float64{true: airRate, false: plantedRate}[cause == OneDay])
		}
	}
	if m.plan.Mixed {
		c.Person = pick[journal.PersonID](m.r, "io", "mo", "ty", "ty")
		if c.Planted && m.r.IntN(100) < 80 {
			c.Person = "mo"
		}
	}
	switch u := m.r.Float64(); {
	case u < rate:
		c.Look = string(journal.Pinhole)
	case u < rate+otherRate:
		c.Look = string(pick(m.looks, journal.OrangePeelLook, journal.OrangePeelLook, journal.Run))
	case u < rate+2*otherRate:
		c.Look = string(pick(m.looks, journal.InclusionLook, journal.InclusionLook, journal.Crater, journal.Blister))
	}
	if c.Look != "" {
		c.Face = pick(m.r, "outer face", "bridge", "by the bleeder", "lower edge")
		if m.r.IntN(8) == 0 && c.Job.Heard > 20 {
			c.LateDays = m.between(5, c.Job.Heard)
		}
	}
	if c.Look == "" || c.LateDays > 0 || c.Number > 1 || m.r.IntN(3) > 0 {
		m.out = append(m.out, c)
		return
	}
	c.Stripped = true
	next := &Coat{Job: c.Job, Number: c.Number + 1, Corner: c.Corner, What: c.What, Pattern: c.Pattern, Metal: c.Metal, Casting: c.Casting, Brought: c.Brought}
	c.Job.Coats, m.again = append(c.Job.Coats, next), append(m.again, next)
}

// has reports whether a coat has a cause, of those that were sprayed in one go.
func (m *maker) has(cause Cause, c *Coat, i int) bool {
	switch cause {
	case OneLot:
		return c.Lot.ID == m.bad.lot
	case CoolSoak:
		return c.SoakMetal < c.BakeMetal
	case OnePattern:
		return c.Pattern == m.bad.pattern
	case OneDay:
		return i == m.bad.day
	case OnePlace:
		return c.Place == m.bad.place
	}
	return false
}

// When the coat's other work was done.
func (c *Coat) washed() time.Time { return c.Day.Add(toWash) }
func (c *Coat) blasted() time.Time {
	return c.Sprayed.Add(-time.Duration(c.BlastMinutes) * time.Minute)
}
func (c *Coat) measured() time.Time { return c.Day.AddDate(0, 0, 1) }
func (c *Coat) soaked() time.Time {
	return c.Sprayed.Add(-time.Duration(c.SoakToPowder) * time.Minute)
}
