package worktest

import (
	"bytes"
	"fmt"
	"slices"
	"time"

	"fettlebook/journal"
	routecard "fettlebook/journal/card"
	"fettlebook/journal/invented"
	"fettlebook/journal/proof"
	"fettlebook/journal/trade/unit"
)

// car is a vehicle over the years.
type car struct {
	vin, plate, looks string
	corners           []journal.Corner
	castings          map[journal.Subject]casting // of corner/LF/part/caliper
	km                int
	away              time.Time
}

// casting is what can be read on a part.
type casting struct {
	mark, pattern string
	metal         journal.Metal
}

// newCasting casts a part: most of iron, some patterns of aluminium.
func (w *work) newCasting(part journal.PartID) casting {
	w.shop.castings++
	c := casting{mark: fmt.Sprintf("%c%d-%05d", part[0]-32, w.dice.IntN(9), w.shop.castings), metal: journal.Iron}
	if c.pattern = pick(w, "B05", "B09", "B14"); part == "caliper" {
		c.pattern = pick(w, "K17", "K22", "K31", "K40", "K52")
	}
	if c.pattern == "K31" || c.pattern == "B14" {
		c.metal = journal.Aluminium
	}
	return c
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

		castings: map[journal.Subject]casting{},
	}
	c.corners = pick(w, []journal.Corner{journal.LeftFront, journal.RightFront}, []journal.Corner{journal.LeftFront}, []journal.Corner{journal.RightRear},
		[]journal.Corner{journal.LeftRear, journal.RightRear}, []journal.Corner{journal.RightFront})
	w.cast(c)
	return c
}

// cast gives the corners of a vehicle their castings.
func (w *work) cast(c *car) {
	for _, corner := range c.corners {
		for _, p := range []journal.PartID{"caliper", "bracket"} {
			c.castings[journal.About("", corner, p)] = w.newCasting(p)
		}
	}
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
		Wish: "Calipers and brackets in " + g.lot.colour + "; pads and discs stay.", Route: routecard.Usual, Edition: 1})
	g.line(j, at.Add(4*time.Minute), about, counter, &journal.Arrival{Odometer: km, Agreed: true, Evidence: g.shots(2, "as it came in"),
		Found: []string{pick(g.work, "bleeder rounded off", "boot torn", "wheel arch dented", "pads worn to 3 mm", "hose chafed"), "rust on the outside"}})
	g.line(j, at.Add(9*time.Minute), about, j.who, &journal.Raising{Points: "sills, rubber pads on the seams", Stands: 2})
	return j, nil
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
	for _, l := range j.late {
		g.step(j, at.AddDate(0, 0, 20+g.dice.IntN(160)), l.about, counter, says(g.found(l.looks, journal.AfterHandover)), nil)
	}
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
