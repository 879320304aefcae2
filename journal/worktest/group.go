package worktest

import (
	"encoding/binary"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
	"fettlebook/media"
)

// group is two or three jobs whose parts share their runs.
type group struct {
	*work
	number int
	jobs   []*job
	parts  []journal.Subject
	runs   [][]byte // entries of the runs
	lot    lot
	booth  journal.PersonID // who stands at it
	oven   journal.ToolID
	soaked int // °C of the metal
}

// job is one vehicle in the shop.
type job struct {
	id     journal.JobID
	car    *car
	bench  journal.DeviceID
	who    journal.PersonID
	second journal.PersonID
	raw    map[journal.EntryID][]byte
	late   []late
}

// late is a defect that shows after the vehicle was handed back.
type late struct {
	about journal.Subject
	looks journal.Look
}

// planGroup plans the two days of a group that begins in the morning, and
// what comes after handover.
func (w *work) planGroup(morning time.Time, l lot) error {
	g := w.newGroup(l)
	for range 2 + w.dice.IntN(2) {
		j, err := g.open(morning.Add(w.minutes(5, 40)))
		if err != nil {
			return err
		}
		g.jobs = append(g.jobs, j)
	}
	for _, j := range g.jobs {
		g.takeOff(j, morning.Add(w.minutes(50, 80)))
	}
	g.coat(morning)
	next := morning.AddDate(0, 0, 1)
	if next.Weekday() == time.Saturday {
		next = next.AddDate(0, 0, 2)
	}
	g.bake(next)
	for _, j := range g.jobs {
		g.putBack(j, next.Add(4*time.Hour+w.minutes(0, 20)))
	}
	return nil
}

func (w *work) newGroup(l lot) *group {
	w.shop.groups++
	return &group{work: w, number: w.shop.groups, lot: l}
}

func (w *work) minutes(from, to int) time.Duration {
	return time.Duration(from)*time.Minute + time.Duration(w.dice.Int64N(int64(to-from)*60))*time.Second
}

// line plans one entry of a job. Now and then it is a slip, which is struck
// through some minutes later.
func (g *group) line(j *job, at time.Time, about journal.Subject, by journal.PersonID, p journal.Payload) {
	wrong := slip(p)
	if wrong == nil || g.dice.IntN(16) != 0 {
		g.step(j, at, about, by, says(p), nil)
		return
	}
	of := new(journal.EntryID)
	g.step(j, at, about, by, says(wrong), of)
	g.step(j, at.Add(g.minutes(2, 6)), about, by, func() (journal.Payload, error) {
		data, err := journal.MarshalPayload(p)
		return &journal.Correction{Of: *of, Reason: pick(g.work, "a slip of the finger", "read off wrong", "the other corner"), Data: data}, err
	}, nil)
}

func (g *group) step(j *job, at time.Time, about journal.Subject, by journal.PersonID, data func() (journal.Payload, error), id *journal.EntryID) {
	on := j.bench
	if by == counter {
		on = "counter"
	}
	g.add(&step{at: at, on: on, by: by, about: about, data: data, wrote: func(e *journal.Entry, raw []byte) {
		j.raw[e.ID] = raw
		if id != nil {
			*id = e.ID
		}
	}})
}

// slip returns the payload with a mistake in it, or nil where the shop makes
// none.
func slip(p journal.Payload) journal.Payload {
	switch p := p.(type) {
	case *journal.Torque:
		w := *p
		w.Torque = q[unit.Torque]("220 N.m")
		return &w
	case *journal.Tagging:
		w := *p
		w.Mark += "0"
		return &w
	case *journal.Job:
		w := *p
		w.Vehicle.Plate = w.Vehicle.Plate[1:]
		return &w
	case *journal.WheelFit:
		w := *p
		w.Nuts = 4
		return &w
	case *journal.Bleed:
		w := *p
		w.Drawn = q[unit.Volume]("12 mL")
		return &w
	case *journal.Masking:
		w := *p
		w.Plugs++
		return &w
	}
	return nil
}

// shots are n photographs.
func (w *work) shots(n int, role string) journal.Evidence {
	var e journal.Evidence
	for range n {
		if w.opts.Photo != nil {
			p := w.opts.Photo(w.shop.shots)
			p.Role = role
			e.Photos = append(e.Photos, p)
			w.shop.shots++
			continue
		}
		var p [2]media.Ref
		for i := range p {
			for k := 0; k < len(p[i]); k += 8 {
				binary.LittleEndian.PutUint64(p[i][k:], w.dice.Uint64())
			}
		}
		e.Photos = append(e.Photos, journal.Photo{Ref: p[0], Thumb: p[1], Role: role})
	}
	return e
}
