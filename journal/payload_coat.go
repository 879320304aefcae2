package journal

import (
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// The payloads of the coating shop: blast, mask, soak, powder, bake, film.
type (
	// Blasting is the data of part.blasted.
	Blasting struct {
		Rack
		Media    string        `json:"media"` // such as "glass bead 90-150 µm"
		Pressure unit.Pressure `json:"pressure,omitzero" span:"jet"`
		Took     unit.Duration `json:"took,omitzero" span:"worked"`
		Cabinet  ToolID        `json:"cabinet,omitzero" since:"2"`
		Evidence
	}

	// Masking is the data of bore.masked. Plugs counts what must come out
	// again; a plug left in a bore is a brake fault.
	Masking struct {
		Features []Item `json:"features"` // what was covered: bleeder seat, pin bore …
		Plugs    int    `json:"plugs" span:"plugs"`
		Evidence
	}

	// Soaking is the data of part.soaked: heat before powder, to drive out
	// oil, water and gas.
	Soaking struct {
		Rack
		Oven  ToolID           `json:"oven,omitzero"`
		Set   unit.Temperature `json:"set" span:"oven"`             // of the oven
		Metal unit.Temperature `json:"metal,omitzero" span:"metal"` // measured on the part
		Held  unit.Duration    `json:"held" span:"held"`
		Rag   Rag              `json:"rag,omitzero"` // a wipe after the soak

		Dry bool `json:"dry,omitzero" since:"2"` // looked at before they went in
		Evidence
	}

	// Coating is the data of powder.applied.
	Coating struct {
		Rack
		Lot      LotID            `json:"lot"`
		Coat     int              `json:"coat" span:"coats"`           // 1 is the first on the metal
		Metal    unit.Temperature `json:"metal,omitzero" span:"metal"` // of the part when sprayed
		Air      unit.Temperature `json:"air,omitzero" span:"air"`
		Humidity unit.Ratio       `json:"humidity,omitzero" span:"share"`
		Charge   unit.Voltage     `json:"charge,omitzero" span:"charge"`
		Earth    unit.Resistance  `json:"earth,omitzero" span:"earth"` // part to earth

		Reclaimed    unit.Ratio `json:"reclaimed,omitzero" since:"2" span:"share"` // share of powder that was sprayed before
		BoothCleaned Date       `json:"booth_cleaned,omitzero" since:"2"`          // last
		LastColour   string     `json:"last_colour,omitzero" since:"2"`            // sprayed in the booth before this one
		Positions    []HungAt   `json:"positions,omitempty" since:"2"`
		Evidence
	}

	// BakeStart is the data of bake.started.
	BakeStart struct {
		Rack
		Oven   ToolID           `json:"oven,omitzero"`
		Set    unit.Temperature `json:"set" span:"oven"`
		Load   unit.Mass        `json:"load,omitzero" span:"load"`
		Probes []Probe          `json:"probes,omitempty"`
		// StandIns are parts without a probe of their own for which one stands.
		StandIns []StandIn `json:"stand_ins,omitempty"`
		Dry      bool      `json:"dry,omitzero"` // looked at before they went in

		Positions []HungAt `json:"positions,omitempty"`
		Evidence
	}

	// StandIn is what the person at the oven says of two parts of the rack: of
	// the same kind, and as heavy or lighter, so that the probe on the one
	// shows the least that the other had.
	StandIn struct {
		Part  Subject `json:"part"`  // has no probe
		Probe string  `json:"probe"` // the channel that stands for it
		Is    Weight  `json:"is"`    // beside the part with the probe
	}

	// Probe is a temperature sensor and where it sits.
	Probe struct {
		Channel string  `json:"channel"`
		Place   string  `json:"place"`         // "thick section by the pin bore", "oven air"
		On      Subject `json:"on,omitzero"`   // the part it touches; empty for air
		Tool    ToolID  `json:"tool,omitzero"` // the sensor, for its calibration
	}

	// ProbeTrace is the data of probe.logged: temperatures as a recorder gave
	// them, in its own unit.
	ProbeTrace struct {
		Begun    Stamp           `json:"begun,omitzero"` // when second 0 was, if the recorder knew
		Unit     TemperatureUnit `json:"unit"`
		Seconds  Series          `json:"seconds" span:"seconds"` // since the first reading
		Channels []Channel       `json:"channels"`
		File     Digest          `json:"file,omitzero"` // of the recorder's own file
		Evidence
	}

	// Channel is one probe's readings, one for each of the trace's seconds.
	Channel struct {
		Channel  string   `json:"channel"`
		Readings Readings `json:"readings" span:"reading"`
	}

	// Cure is the data of cure.completed: what the person read, by which
	// means. Whether the schedule was met is worked out from the probe trace.
	Cure struct {
		Metal unit.Temperature `json:"metal,omitzero" span:"metal"` // measured on the part
		Held  unit.Duration    `json:"held" span:"held"`            // time at that temperature, or of the oven clock
		By    CureMeans        `json:"means"`
		Evidence
	}

	// Cooling is the data of part.cooled.
	Cooling struct {
		Rack
		To  unit.Temperature `json:"to,omitzero" span:"metal"`
		How string           `json:"how,omitzero"`
		Evidence
	}

	// Unmasking is the data of bore.unmasked.
	Unmasking struct {
		Plugs    int    `json:"plugs" span:"plugs"` // counted out
		Features []Item `json:"features,omitempty"` // the bores and threads that they came out of
		Evidence
	}

	// FilmReadings is the data of film.measured.
	FilmReadings struct {
		Gauge ToolID      `json:"gauge,omitzero"`
		Base  unit.Length `json:"base,omitzero" span:"film"`  // mean reading on the bare blasted metal
		Low   unit.Length `json:"low,omitzero" span:"wanted"` // specified
		High  unit.Length `json:"high,omitzero" span:"wanted"`
		Spots []Spot      `json:"spots"`
		Evidence
	}

	// Spot is the readings within one small circle.
	Spot struct {
		Place    string        `json:"place"`
		Readings []unit.Length `json:"readings" span:"film"`
	}

	// AdhesionTest is the data of adhesion.tested. The class never stands
	// without its scale: 0 is the best of one and the worst of the other.
	AdhesionTest struct {
		Rack
		Scale AdhesionScale `json:"scale"`
		Class string        `json:"class"`
		On    TestPiece     `json:"on"`
		Evidence
	}

	// SolventRub is the data of solvent.rubbed.
	SolventRub struct {
		Rack
		Solvent    string    `json:"solvent"`
		DoubleRubs int       `json:"double_rubs" span:"rubs"`
		Result     string    `json:"result"`
		On         TestPiece `json:"on"`
		Evidence
	}
)

func (*Blasting) Kind() Kind     { return PartBlasted }
func (*Masking) Kind() Kind      { return BoreMasked }
func (*Soaking) Kind() Kind      { return PartSoaked }
func (*Coating) Kind() Kind      { return PowderApplied }
func (*BakeStart) Kind() Kind    { return BakeStarted }
func (*ProbeTrace) Kind() Kind   { return ProbeLogged }
func (*Cure) Kind() Kind         { return CureCompleted }
func (*Cooling) Kind() Kind      { return PartCooled }
func (*Unmasking) Kind() Kind    { return BoreUnmasked }
func (*FilmReadings) Kind() Kind { return FilmMeasured }
func (*AdhesionTest) Kind() Kind { return AdhesionTested }
func (*SolventRub) Kind() Kind   { return SolventRubbed }

func (p *Blasting) Say() string {
	return words.Clauses("blasted with "+p.Media, words.Given("at %s", p.Pressure), words.Given("for %s", p.Took), words.Fill("in %s", p.Cabinet), p.Rack.hung())
}

func (p *Masking) Say() string {
	return words.Clauses("masked: "+items(p.Features), words.Count(p.Plugs, "plug")+" in")
}

func (p *Coating) Say() string {
	return words.Clauses(fmt.Sprintf("coat %d of lot %s", p.Coat, p.Lot), words.Given("metal %s", p.Metal), words.Given("air %s", p.Air), words.Given("humidity %s", p.Humidity),
		words.Given("charge %s", p.Charge), words.Given("part to earth %s", p.Earth), words.Given("reclaimed powder %s", p.Reclaimed),
		words.Fill("booth cleaned on %s", p.BoothCleaned.Said(p.writing)), words.Fill("sprayed before it: %s", p.LastColour), p.Rack.hung(), hanging(p.Positions))
}

func (p *Unmasking) Say() string {
	return words.Count(p.Plugs, "plug") + " out" + words.Fill(" of %s", items(p.Features))
}

func (p *FilmReadings) Say() string {
	return words.Clauses("film: "+spots(p.Spots), words.Fill("wanted %s", words.Span(p.Low, p.High)), words.Given("bare metal reads %s", p.Base), words.Fill("gauge %s", p.Gauge))
}

func (p *AdhesionTest) Say() string {
	return words.Clauses(fmt.Sprintf("cross-cut class %s by %s on the %s", p.Class, p.Scale, p.On), p.Rack.hung())
}

func (p *SolventRub) Say() string {
	return words.Clauses(fmt.Sprintf("%s with %s on the %s: %s", words.Count(p.DoubleRubs, "double rub"), p.Solvent, p.On, p.Result), p.Rack.hung())
}

func (p *Soaking) Say() string {
	return words.Clauses(fmt.Sprintf("soaked %s", p.Held), words.Fill("in %s", p.Oven), fmt.Sprintf("oven set to %s", p.Set),
		words.Given("metal %s", p.Metal), words.Fill("rag %s", p.Rag), words.If(p.Dry, dryParts), p.Rack.hung())
}

func (p *BakeStart) Say() string {
	return words.Clauses("into"+words.Choose(p.Oven != "", " "+string(p.Oven), " the oven")+fmt.Sprintf(", set to %s", p.Set), words.Given("load %s", p.Load), words.If(p.Dry, dryParts), p.Rack.hung(), hanging(p.Positions), probes(p.Probes), standIns(p.StandIns))
}

// dryParts says that somebody looked before parts went into heat.
const dryParts = "parts looked at before: dry"

// Say states how long the probes were read, and the peak of each; the whole
// trace is in the data, and what it comes to of the powder's schedule is
// stated beside it.
func (p *ProbeTrace) Say() string {
	said := []string{fmt.Sprintf("temperatures recorded for %s, %s", p.writing.Lasting(p.Seconds.Last()-p.Seconds.First()), words.Count(p.Seconds.count(), "reading"))}
	for _, c := range p.Channels {
		clause := fmt.Sprintf("channel %s: no readings", c.Channel)
		if peak, any := c.Readings.Peak(); any {
			clause = fmt.Sprintf("channel %s: peak %s %s", c.Channel, p.writing.Number(string(peak)), p.Unit)
		}
		said = append(said, clause+words.Fill(" (%s)", words.If(c.Readings.Lost() > 0, words.Count(c.Readings.Lost(), "reading")+" lost")))
	}
	return words.Clauses(said...)
}

func (p *Cure) Say() string {
	return words.Clauses(fmt.Sprintf("out of the oven after %s%s", p.Held, judgedBy(p.By)), words.Given("metal %s", p.Metal))
}

func (p *Cooling) Say() string {
	return words.Clauses("cooled"+words.Given(" to %s", p.To), p.How, p.Rack.hung())
}

// spots writes the readings, spot by spot.
func spots(spots []Spot) string {
	var said []string
	for _, s := range spots {
		var readings []string
		for _, r := range s.Readings {
			readings = append(readings, r.String())
		}
		said = append(said, s.Place+" "+strings.Join(readings, ", "))
	}
	return strings.Join(said, "; ")
}

func probes(list []Probe) string {
	var said []string
	for _, p := range list {
		said = append(said, fmt.Sprintf("probe %s: %s", p.Channel, p.Place))
	}
	return words.Clauses(said...)
}

// standIns says which probe stands for which part.
func standIns(list []StandIn) string {
	var said []string
	for _, s := range list {
		said = append(said, fmt.Sprintf("probe %s also stands for the %s %s, which is %s", s.Probe, s.Part.Corner(), s.Part.Part(), s.Is))
	}
	return words.Clauses(said...)
}

// judgedBy says what told that a bake was done.
func judgedBy(by CureMeans) string {
	switch by {
	case "":
		return ""
	case OvenClock:
		return ", judged by the oven’s clock"
	case ByInfrared:
		return ", judged by an infrared thermometer"
	default:
		return ", judged by a " + string(by)
	}
}

func (b *Blasting) check(p *problems) { b.Rack.check(p) }
func (s *Soaking) check(p *problems)  { s.Rack.check(p) }
func (c *Cooling) check(p *problems)  { c.Rack.check(p) }

func (m *Masking) check(p *problems) {
	p.least("plugs", m.Plugs, 0)
	p.counted("features", m.Features)
}

func (u *Unmasking) check(p *problems) {
	p.least("plugs", u.Plugs, 0)
	p.counted("features", u.Features)
}

func (c *Coating) check(p *problems) {
	c.Rack.check(p)
	p.least("coat", c.Coat, 1)
	p.share("reclaimed", c.Reclaimed)
	p.hung(c.Positions)
}

func (b *BakeStart) check(p *problems) {
	b.Rack.check(p)
	if len(b.Parts) == 0 {
		p.add("parts", Clash, "name the parts that went into the oven")
	}
	p.hung(b.Positions)
	var channels []string
	for _, probe := range b.Probes {
		channels = append(channels, probe.Channel)
	}
	distinct(p, "probes", channels)
	for i, s := range b.StandIns {
		if slices.ContainsFunc(b.Probes, func(probe Probe) bool { return probe.On == s.Part }) {
			p.add(row("stand_ins", i)+".part", Clash, "this part has a probe of its own; leave it out here")
		}
	}
}

func (t *ProbeTrace) check(p *problems) {
	n := t.Seconds.count()
	if n > MaxReadings {
		p.add("seconds", TooMany, "%d readings are too many for one entry, which takes %d; log the trace in two entries", n, MaxReadings)
	}
	for i, c := range t.Channels {
		if got := c.Readings.count(); got != n {
			p.add(row("channels", i)+".readings", Clash, "channel %s has %s for %s", c.Channel, words.Count(got, "reading"), words.Count(n, "time"))
		}
	}
}

func (f *FilmReadings) check(p *problems) {
	for i, s := range f.Spots {
		if len(s.Readings) == 0 {
			p.add(row("spots", i)+".readings", Clash, "the spot %s has no reading", s.Place)
		}
	}
}

func (a *AdhesionTest) check(p *problems) {
	a.Rack.check(p)
	classes := map[AdhesionScale]string{ISO2409: "0 1 2 3 4 5", ASTMD3359B: "5B 4B 3B 2B 1B 0B"}[a.Scale]
	if classes != "" && !strings.Contains(" "+classes+" ", " "+a.Class+" ") {
		p.add("class", Clash, "%s has no class %s; its classes, best first, are %s", a.Scale, words.Quoted(a.Class), classes)
	}
}

func (s *SolventRub) check(p *problems) {
	s.Rack.check(p)
	p.least("double_rubs", s.DoubleRubs, 1)
}
