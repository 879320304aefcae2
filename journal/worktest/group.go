package worktest

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"slices"
	"time"

	"fettlebook/journal"
	routecard "fettlebook/journal/card"
	"fettlebook/journal/invented"
	"fettlebook/journal/proof"
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
}

// job is one vehicle in the shop.
type job struct {
	id     journal.JobID
	car    *car
	bench  journal.DeviceID
	who    journal.PersonID
	second journal.PersonID
	raw    map[journal.EntryID][]byte
}

// car is a vehicle over the years.
type car struct {
	vin, plate, looks string
	corners           []journal.Corner
	marks             map[journal.Subject]string // corner/LF/part/caliper → what is punched into it
	km                int
	away              time.Time
}

// planGroup plans the two days of a group that begins in the morning, and
// what comes after handover.
func (w *work) planGroup(morning time.Time) error {
	w.shop.groups++
	g := &group{work: w, number: w.shop.groups}
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

func (w *work) minutes(from, to int) time.Duration {
	return time.Duration(from)*time.Minute + time.Duration(w.dice.Int64N(int64(to-from)*60))*time.Second
}

// newCar invents a vehicle, or takes one that was here a year ago or more.
func (w *work) newCar(now time.Time) *car {
	if len(w.shop.gone) > 0 && w.shop.gone[0].away.Before(now.AddDate(-1, 0, 0)) && w.dice.IntN(6) == 0 {
		c := w.shop.gone[0]
		w.shop.gone = w.shop.gone[1:]
		c.km += 9000 + w.dice.IntN(9000)
		return c
	}
	w.shop.cars++
	called := invented.Vehicle(w.shop.cars)
	c := &car{
		vin: called.VIN, plate: called.Plate,
		looks: pick(w, "moss-green estate", "grey two-door", "white van", "blue hatchback", "black saloon"),
		km:    20000 + w.dice.IntN(150000),
		marks: map[journal.Subject]string{},
	}
	c.corners = pick(w, []journal.Corner{journal.LeftFront, journal.RightFront}, []journal.Corner{journal.LeftFront}, []journal.Corner{journal.RightRear},
		[]journal.Corner{journal.LeftRear, journal.RightRear}, []journal.Corner{journal.RightFront})
	for _, corner := range c.corners {
		for _, p := range []journal.PartID{"caliper", "bracket"} {
			w.shop.marks++
			c.marks[journal.About("", corner, p)] = fmt.Sprintf("%c%d-%05d", p[0]-32, w.dice.IntN(9), w.shop.marks)
		}
	}
	return c
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

// open plans the entries at the counter.
func (g *group) open(at time.Time) (*job, error) {
	id, err := journal.NewJobID(g.rand)
	if err != nil {
		return nil, err
	}
	j := &job{id: id, car: g.newCar(at), raw: map[journal.EntryID][]byte{}, bench: "bench-1", who: mk, second: jr}
	if g.dice.IntN(2) == 0 {
		j.bench, j.who, j.second = "bench-2", jr, mk
	}
	name, err := journal.NewCardID(g.rand)
	if err != nil {
		return nil, err
	}
	card, err := journal.NewCard(name, journal.Details{
		Name:    pick(g.work, "Wilma", "Odo", "Tessa", "Bran", "Ilse", "Jory") + " " + pick(g.work, "Tarn", "Quill", "Marrow", "Fenn", "Ashby", "Holt"),
		Phone:   fmt.Sprintf("00 555 %04d", g.dice.IntN(10000)),
		Address: fmt.Sprintf("%d Candle Row", 1+g.dice.IntN(90)),
	}, g.rand)
	if err != nil {
		return nil, err
	}
	commitment, err := card.Commitment()
	if err != nil {
		return nil, err
	}
	g.add(&step{at: at, on: "counter", by: counter, about: journal.Of("card", string(name)),
		data: says(&journal.CardWriting{Card: name, Commitment: commitment}), wrote: func(e *journal.Entry, _ []byte) {
			if card.Written = e.ID; g.opts.Card != nil {
				g.opts.Card(journal.CardState{Card: card, Changed: e.ID})
			}
		}})
	about := journal.About(id, "", "")
	km := q[unit.Distance](fmt.Sprintf("%d km", j.car.km))
	g.line(j, at.Add(time.Minute), about, counter, &journal.Job{
		Vehicle: journal.Vehicle{VIN: j.car.vin, Plate: j.car.plate, Looks: j.car.looks}, Odometer: km,
		Customer: &journal.Citation{Card: name, Commitment: commitment}, Corners: j.car.corners,
		Wish: "Calipers and brackets in " + g.shop.colour + "; pads and discs stay.", Route: routecard.Usual, Edition: 1})
	g.line(j, at.Add(4*time.Minute), about, counter, &journal.Arrival{Odometer: km, Agreed: true, Evidence: g.shots(2, "as it came in"),
		Found: []string{pick(g.work, "bleeder rounded off", "boot torn", "wheel arch dented", "pads worn to 3 mm", "hose chafed"), "rust on the outside"}})
	g.line(j, at.Add(9*time.Minute), about, j.who, &journal.Raising{Points: "sills, rubber pads on the seams", Stands: 2})
	return j, nil
}

// takeOff plans a job's morning: off the vehicle and bare.
func (g *group) takeOff(j *job, at time.Time) {
	then := func(about journal.Subject, p journal.Payload) {
		g.line(j, at, about, j.who, p)
		at = at.Add(g.minutes(2, 6))
	}
	for _, corner := range j.car.corners {
		g.parts = append(g.parts, journal.About(j.id, corner, "caliper"), journal.About(j.id, corner, "bracket"))
	}
	g.bench(j, then).TakeOff(func(p journal.Subject) *journal.Removal {
		if p.Part() == "bracket" {
			return &journal.Removal{Condition: "rust, pins move"}
		}
		return &journal.Removal{Condition: pick(g.work, "rust on the outside, boot torn", "old paint flaking, no leak", "dry, pins move"), Evidence: g.shots(1, "as it came off")}
	}, func(p journal.Subject, i int) *journal.Tagging {
		return &journal.Tagging{Tag: fmt.Sprintf("%s-%d", p.Corner(), i), Mark: j.car.marks[journal.About("", p.Corner(), p.Part())], Metal: journal.Iron}
	})
}

// bench is the work at the corners of a job.
func (g *group) bench(j *job, then func(journal.Subject, journal.Payload)) *invented.Bench {
	small := journal.ToolID("tw-2")
	if j.bench == "bench-2" {
		small = "tw-3"
	}
	return &invented.Bench{Job: j.id, Corners: j.car.corners, Fluid: g.shop.fluid, Small: small, Dice: g.dice, Shots: g.shots, Then: then}
}

// run plans an entry of a run, by whoever stands at the booth.
func (g *group) run(at time.Time, what string, p journal.Payload) {
	g.add(&step{at: at, on: "bench-1", by: mk, about: journal.Of("run", fmt.Sprintf("%s-%d", what, g.number)), data: says(p),
		wrote: func(_ *journal.Entry, raw []byte) { g.runs = append(g.runs, raw) }})
}

// coat plans the afternoon: washed, blasted, masked, soaked, powdered.
func (g *group) coat(morning time.Time) {
	at := func(hours, minutes int) time.Time {
		return morning.Add(time.Duration(hours)*time.Hour + time.Duration(minutes)*time.Minute + g.minutes(0, 9))
	}
	rack := journal.Rack{Parts: g.parts}
	g.run(at(4, 30), "wash", &journal.Degreasing{Rack: rack, Agent: "alkaline bath, rinsed and dried"})
	g.run(at(5, 0), "blast", &journal.Blasting{Rack: rack, Media: "fine glass bead", Pressure: q[unit.Pressure]("4.1 bar"), Took: q[unit.Duration]("25 min"), Evidence: g.shots(1, "bare metal")})
	for _, j := range g.jobs {
		when := at(5, 40)
		for _, corner := range j.car.corners {
			for _, part := range []journal.PartID{"caliper", "bracket"} {
				masked := invented.Masked(part)
				masked.Evidence = g.shots(1, "masked bores and seats")
				g.line(j, when, journal.About(j.id, corner, part), j.who, &masked)
				when = when.Add(g.minutes(3, 8))
			}
		}
	}
	g.run(at(6, 40), "soak", &journal.Soaking{Rack: rack, Oven: "ov-1", Set: q[unit.Temperature]("230 °C"), Metal: q[unit.Temperature]("214 °C"),
		Held: q[unit.Duration]("35 min"), Rag: journal.RagClean, Evidence: g.shots(1, "outgas soak, plugs in")})
	g.run(at(8, 0), "coat", &journal.Coating{Rack: rack, Lot: g.shop.lot, Coat: 1, Metal: q[unit.Temperature]("28 °C"), Air: q[unit.Temperature]("21 °C"),
		Humidity: q[unit.Ratio](fmt.Sprintf("%d %%", 35+g.dice.IntN(25))), Charge: q[unit.Voltage]("60 kV"), Earth: q[unit.Resistance]("0.4 Mohm"), Evidence: g.shots(1, "powder on")})
}

// bake plans the next morning: baked, cooled, unmasked, measured.
func (g *group) bake(morning time.Time) {
	at := func(minutes int) time.Time { return morning.Add(time.Duration(minutes)*time.Minute + g.minutes(0, 5)) }
	first := g.parts[0]
	g.run(at(15), "bake", &journal.BakeStart{Rack: journal.Rack{Parts: g.parts}, Oven: "ov-1", Set: q[unit.Temperature]("200 °C"),
		Load: q[unit.Mass](fmt.Sprintf("%d kg", 3*len(g.parts))), Evidence: g.shots(2, "in the oven"),
		Probes: []journal.Probe{{Channel: "1", Place: "thick section by the pin bore", On: first, Tool: "tc-1"}, {Channel: "2", Place: "oven air", Tool: "tc-2"}}})
	g.run(at(80), "bake", g.trace())
	g.run(at(90), "bake", &journal.Cure{Metal: q[unit.Temperature]("196 °C"), Held: q[unit.Duration]("45 min"), By: journal.ProbeOnPart})
	g.run(at(150), "bake", &journal.Cooling{Rack: journal.Rack{Parts: g.parts}, To: q[unit.Temperature]("31 °C"), How: "on the rack, still air", Evidence: g.shots(1, "out of the oven")})
	for _, j := range g.jobs {
		when := at(165)
		for _, corner := range j.car.corners {
			for _, part := range []journal.PartID{"caliper", "bracket"} {
				about := journal.About(j.id, corner, part)
				g.line(j, when, about, j.who, &journal.Unmasking{Plugs: invented.Masked(part).Plugs, Evidence: g.shots(1, "all plugs out")})
				g.line(j, when.Add(5*time.Minute), about, j.who, g.film())
				if g.dice.IntN(25) == 0 {
					g.defect(j, when.Add(9*time.Minute), about)
				}
				when = when.Add(g.minutes(6, 14))
			}
		}
	}
}

// defect plans a defect and what is done about it.
func (g *group) defect(j *job, at time.Time, about journal.Subject) {
	of := new(journal.EntryID)
	g.step(j, at, about, j.who, says(&journal.Defect{Looks: pick(g.work, journal.Pinhole, journal.InclusionLook, journal.ThinSpot, journal.OrangePeelLook),
		Face: pick(g.work, "back, by the upper boss", "outer face by the bridge", "inner face"), Count: 1 + g.dice.IntN(3), Size: q[unit.Length]("0.3 mm"),
		Seen: journal.AfterBake, Run: journal.RunID(fmt.Sprintf("bake-%d", g.number)), Evidence: g.shots(1, "the defect, scale beside")}), of)
	g.step(j, at.Add(2*time.Minute), about, j.who, func() (journal.Payload, error) {
		return &journal.Rework{Of: *of, Decision: journal.TouchIn, Reason: "hidden face, far from any seat; the customer agreed"}, nil
	}, nil)
}

// trace is two channels of a recorder, a reading every thirty seconds: the
// part follows the air with a lag (first order, time constant ten minutes).
func (g *group) trace() *journal.ProbeTrace {
	var seconds, part, air bytes.Buffer
	metal := 20 + 3*g.dice.Float64()
	for i := range 99 {
		if i > 0 {
			for _, b := range []*bytes.Buffer{&seconds, &part, &air} {
				b.WriteByte(' ')
			}
		}
		hot := 199 + 3*g.dice.Float64() - 60/float64(i+2)
		fmt.Fprint(&seconds, 30*i)
		fmt.Fprintf(&part, "%.1f", metal)
		fmt.Fprintf(&air, "%.1f", hot)
		metal += (hot - metal) * 30 / 600
	}
	return &journal.ProbeTrace{Unit: journal.UnitCelsius, Seconds: journal.Series(seconds.String()), Channels: []journal.Channel{
		{Channel: "1", Readings: journal.Readings(part.String())}, {Channel: "2", Readings: journal.Readings(air.String())}}}
}

func (g *group) film() *journal.FilmReadings {
	f := &journal.FilmReadings{Gauge: "fg-1", Base: q[unit.Length]("8 µm"), Low: q[unit.Length]("60 µm"), High: q[unit.Length]("100 µm"), Evidence: g.shots(1, "gauge on the part")}
	for _, place := range []string{"flat", "edge", "recess", "back", "boss"} {
		s := journal.Spot{Place: place}
		for range 3 {
			s.Readings = append(s.Readings, q[unit.Length](fmt.Sprintf("%d µm", 70+g.dice.IntN(24))))
		}
		f.Spots = append(f.Spots, s)
	}
	return f
}

// putBack plans the last afternoon: on the vehicle, bled, driven, handed
// over, and asked about two weeks later.
func (g *group) putBack(j *job, at time.Time) {
	about := journal.About(j.id, "", "")
	then := func(about journal.Subject, p journal.Payload) {
		g.line(j, at, about, j.who, p)
		at = at.Add(g.minutes(1, 4))
	}
	g.bench(j, then).PutBack()
	if g.dice.IntN(4) == 0 {
		then(about, &journal.Remark{Evidence: journal.Evidence{Note: pick(g.work, "Pads have 7 mm left; told the customer by telephone.", "Disc has a lip on its rim.",
			"One wheel stud was stiff and was cleaned.", "Hose clip replaced from the drawer.")}})
	}
	g.handOver(j, at, about)
}

func (g *group) handOver(j *job, at time.Time, about journal.Subject) {
	road := new(journal.EntryID)
	g.step(j, at.Add(6*time.Minute), about, counter, says(&journal.RoadTest{Distance: q[unit.Distance]("6 km"), Result: "brakes straight, no noise, pedal firm"}), road)
	g.step(j, at.Add(8*time.Minute), about, j.second, func() (journal.Payload, error) {
		return &journal.SecondCheck{Of: *road, Finds: journal.FoundRight}, nil
	}, nil)
	g.step(j, at.Add(20*time.Minute), about, counter, says(&journal.Release{Odometer: q[unit.Distance](fmt.Sprintf("%d km", j.car.km+6)),
		Told: []string{"wheel nuts again after 50 km", "pads need bedding in"}}), nil)
	g.add(&step{at: at.Add(21 * time.Minute), on: Office, by: "hub", about: about, data: func() (journal.Payload, error) {
		entries := slices.Clone(g.runs)
		for _, raw := range j.raw {
			entries = append(entries, raw)
		}
		slices.SortFunc(entries, bytes.Compare) // ids are the first that differs
		if g.opts.Covers {
			return g.seal(entries)
		}
		return &journal.Seal{Root: proof.Seal(entries), Entries: len(entries)}, nil
	}})
	g.step(j, at.AddDate(0, 0, 14), about, counter, says(&journal.Contact{How: journal.ByTelephone, About: "wheel nuts and first brakings", Reached: g.dice.IntN(4) > 0, Answer: "all well"}), nil)
	j.car.away = at
	g.shop.gone = append(g.shop.gone, j.car)
}

// seal seals those of the entries that the hub holds, and says which they are.
func (w *work) seal(entries [][]byte) (journal.Payload, error) {
	var held [][]byte
	var at []journal.Position
	for _, raw := range entries {
		if p := w.lies[string(raw)]; p.Index < w.devices[p.Device].sent {
			held, at = append(held, raw), append(at, p)
		}
	}
	return &journal.Seal{Root: proof.Seal(held), Entries: len(held), Covers: journal.Stretches(at)}, nil
}
