package journal

import "fettlebook/journal/trade/unit"

// earlier returns an empty payload of a type that an earlier program wrote, or
// nil if there is none. Once read it is turned into what the same would be
// today (present), so nothing else has to know that there were others.
func (t Type) earlier() func() Payload {
	switch t {
	case Type{PowderReceived, 1}:
		return as[powderLot1]()
	case Type{BakeStarted, 1}:
		return as[bakeStart1]()
	case Type{ProbeLogged, 1}:
		return as[probeTrace1]()
	case Type{PartStripped, 1}:
		return as[stripping1]()
	case Type{BoreUnmasked, 1}:
		return as[unmasking1]()
	case Type{SeatProved, 1}:
		return as[seatProof1]()
	case Type{DefectFound, 1}:
		return as[defect1]()
	}
	if s, ok := t.Kind.spec(); ok && t.Version >= 1 && t.Version < s.version {
		return s.blank // it only said less; see premature
	}
	return nil
}

// dated is a payload of an earlier version.
type dated interface{ present() Payload }

// ParseReplacement reads what a correction puts in the place of an entry: of
// the entry's own version, or of the present one.
func ParseReplacement(t Type, data []byte) (Payload, error) {
	p, err := ParsePayload(t, data)
	if now := t.Kind.Version(); err != nil && t.Version < now {
		if p, again := ParsePayload(Type{t.Kind, now}, data); again == nil {
			return p, nil
		}
	}
	return p, err
}

type (
	// powderLot1 did not know how long the sheet allows a bake to be.
	powderLot1 struct {
		Lot       LotID       `json:"lot"`
		Chemistry Chemistry   `json:"chemistry"`
		Colour    string      `json:"colour"`
		Mass      unit.Mass   `json:"mass,omitzero"`
		Schedule  []BakePoint `json:"schedule,omitempty"`
		FilmLow   unit.Length `json:"film_low,omitzero"`
		FilmHigh  unit.Length `json:"film_high,omitzero"`
		Sheet     string      `json:"sheet,omitzero"`
		UseBy     Date        `json:"use_by,omitzero"`
		Evidence
	}

	// bakeStart1 did not know that one probe may stand for several parts.
	bakeStart1 struct {
		Rack
		Oven   ToolID           `json:"oven,omitzero"`
		Set    unit.Temperature `json:"set"`
		Load   unit.Mass        `json:"load,omitzero"`
		Probes []Probe          `json:"probes,omitempty"`
		Evidence
	}

	// probeTrace1 had no place for a reading that was lost: samples that
	// lacked one were left out.
	probeTrace1 struct {
		Begun    Stamp           `json:"begun,omitzero"`
		Unit     TemperatureUnit `json:"unit"`
		Seconds  Series          `json:"seconds"`
		Channels []channel1      `json:"channels"`
		File     Digest          `json:"file,omitzero"`
		Evidence
	}

	channel1 struct {
		Channel  string `json:"channel"`
		Readings Series `json:"readings"`
	}

	// stripping1 named what came out and did not count it.
	stripping1 struct {
		Removed []string `json:"removed"`
		Rubber  Rubber   `json:"rubber"`
		Evidence
	}

	// unmasking1 counted plugs and did not say where they came out of.
	unmasking1 struct {
		Plugs int `json:"plugs"`
		Evidence
	}

	// seatProof1 named seats and did not count them.
	seatProof1 struct {
		Seats []string  `json:"seats"`
		State SeatState `json:"state"`
		Evidence
	}

	// defect1 had one word for what is seen and for where it comes from.
	defect1 struct {
		Defect DefectName  `json:"defect"`
		Face   string      `json:"face"`
		Count  int         `json:"count,omitzero"`
		Size   unit.Length `json:"size,omitzero"`
		Seen   DefectStage `json:"seen"`
		Run    RunID       `json:"run,omitzero"`
		Evidence
	}
)

func (p *powderLot1) present() Payload {
	return &PowderLot{Lot: p.Lot, Chemistry: p.Chemistry, Colour: p.Colour, Mass: p.Mass, Schedule: p.Schedule, FilmLow: p.FilmLow, FilmHigh: p.FilmHigh, Sheet: p.Sheet, UseBy: p.UseBy, Evidence: p.Evidence}
}

func (p *bakeStart1) present() Payload {
	return &BakeStart{Rack: p.Rack, Oven: p.Oven, Set: p.Set, Load: p.Load, Probes: p.Probes, Evidence: p.Evidence}
}

func (p *probeTrace1) present() Payload {
	now := &ProbeTrace{Begun: p.Begun, Unit: p.Unit, Seconds: p.Seconds, File: p.File, Evidence: p.Evidence}
	for _, c := range p.Channels {
		now.Channels = append(now.Channels, Channel{c.Channel, Readings(c.Readings)})
	}
	return now
}

func (*powderLot1) Kind() Kind  { return PowderReceived }
func (*bakeStart1) Kind() Kind  { return BakeStarted }
func (*probeTrace1) Kind() Kind { return ProbeLogged }

func (p *powderLot1) Say() string  { return p.present().Say() }
func (p *bakeStart1) Say() string  { return p.present().Say() }
func (p *probeTrace1) Say() string { return p.present().Say() }

func (p *powderLot1) check(to *problems)  { p.present().check(to) }
func (p *bakeStart1) check(to *problems)  { p.present().check(to) }
func (p *probeTrace1) check(to *problems) { p.present().check(to) }

func (p *stripping1) present() Payload {
	return &Stripping{Removed: p.Removed, Rubber: p.Rubber, Evidence: p.Evidence}
}

func (p *unmasking1) present() Payload { return &Unmasking{Plugs: p.Plugs, Evidence: p.Evidence} }

func (p *seatProof1) present() Payload {
	return &SeatProof{Seats: p.Seats, State: p.State, Evidence: p.Evidence}
}

func (*stripping1) Kind() Kind { return PartStripped }
func (*unmasking1) Kind() Kind { return BoreUnmasked }
func (*seatProof1) Kind() Kind { return SeatProved }

func (p *stripping1) Say() string { return p.present().Say() }
func (p *unmasking1) Say() string { return p.present().Say() }
func (p *seatProof1) Say() string { return p.present().Say() }

func (p *stripping1) check(to *problems) { p.present().check(to) }
func (p *unmasking1) check(to *problems) { p.present().check(to) }
func (p *seatProof1) check(to *problems) { p.present().check(to) }

// present keeps the name: nobody wrote then how sure the cause in it was.
func (p *defect1) present() Payload {
	return &Defect{Looks: lookOf(p.Defect), Named: p.Defect, Face: p.Face, Count: p.Count, Size: p.Size, Seen: p.Seen, Run: p.Run, Evidence: p.Evidence}
}

func (*defect1) Kind() Kind { return DefectFound }

func (p *defect1) Say() string { return p.present().Say() }

func (p *defect1) check(to *problems) { p.present().check(to) }
