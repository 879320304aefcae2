package journal

import (
	"fmt"

	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// The payloads of the job, from the counter to the bench.
type (
	// Job is the data of job.opened.
	Job struct {
		Vehicle  Vehicle       `json:"vehicle"`
		Odometer unit.Distance `json:"odometer,omitzero" span:"odometer"`
		Customer *Citation     `json:"customer,omitzero"`
		Corners  []Corner      `json:"corners,omitempty"`
		Wish     string        `json:"wish,omitzero"`  // what the customer wants done
		Terms    Digest        `json:"terms,omitzero"` // of the terms text that the customer saw
		Route    RouteID       `json:"route,omitzero"`
		Edition  int           `json:"edition,omitzero" span:"edition"` // of the route card the job is pinned to
		Ready    Date          `json:"ready,omitzero" since:"2"`        // the day by which it is promised
		Warranty *Warranty     `json:"warranty,omitzero" since:"2"`
		Excludes []string      `json:"excludes,omitempty" since:"3"` // questions that are asked at a complaint: a yes is outside the warranty
		Claim    EntryID       `json:"claim,omitzero" since:"3"`     // the complaint that the work answers
		Evidence
	}

	// Vehicle names a vehicle by what stands on it. VIN and plate are kept
	// as typed; at least one is given.
	Vehicle struct {
		VIN   string `json:"vin,omitzero"`
		Plate string `json:"plate,omitzero"`
		Looks string `json:"looks,omitzero"` // "moss-green estate"
	}

	// Citation cites a customer card without saying what is on it.
	Citation struct {
		Card       CardID     `json:"card"`
		Commitment Commitment `json:"commitment"`
	}

	// Arrival is the data of vehicle.received: what was already so.
	Arrival struct {
		Odometer unit.Distance `json:"odometer,omitzero" span:"odometer"`
		Found    []string      `json:"found,omitempty"` // damage and faults seen before any work
		Agreed   bool          `json:"agreed"`          // the customer saw and accepted the list
		Evidence
	}

	// Raising is the data of vehicle.raised.
	Raising struct {
		Points string `json:"points"` // where stands or lift bear
		Stands int    `json:"stands,omitzero" span:"stands"`
		Lift   bool   `json:"lift,omitzero" since:"2"` // it hangs on a lift
		Evidence
	}

	// Removal is the data of part.removed.
	Removal struct {
		Condition string `json:"condition,omitzero"`
		Supplied  bool   `json:"supplied,omitzero"` // the customer brought the part, not the vehicle
		Evidence
	}

	// Tagging is the data of part.tagged. A casting keeps its number over years
	// and vehicles; the tag is this job's. Many castings bear one pattern. Until
	// version 2 there was only the mark, which may be either.
	Tagging struct {
		Tag     string `json:"tag"`
		Mark    string `json:"mark,omitzero"` // read on the metal
		Metal   Metal  `json:"metal"`
		Number  string `json:"number,omitzero" since:"2"`  // the shop's own, punched or etched in
		Pattern string `json:"pattern,omitzero" since:"2"` // the foundry's, cast in
		Evidence
	}

	// Bagging is the data of hardware.bagged.
	Bagging struct {
		Bag   string `json:"bag"`
		Items []Item `json:"items"`
		Evidence
	}

	// Item is a count of equal small things.
	Item struct {
		What  string `json:"what"`
		Count int    `json:"count" span:"pieces"`
	}

	// Stripping is the data of part.stripped.
	Stripping struct {
		Removed []string `json:"removed"`       // piston, square seal, boot, bleeder …
		Rubber  Rubber   `json:"rubber"`        // what was left in
		Out     []Item   `json:"out,omitempty"` // the rubber that came out, counted
		Evidence
	}

	// Degreasing is the data of part.degreased.
	Degreasing struct {
		Rack
		Agent       string `json:"agent"`
		Chlorinated bool   `json:"chlorinated"` // such residue must not meet heat

		Left Wetness `json:"left,omitzero" since:"2"` // when the entry was written
		Evidence
	}

	// Rack names the parts of a run. Empty when the subject is one part.
	Rack struct {
		Parts []Subject `json:"parts,omitempty"`
	}
)

func (*Job) Kind() Kind        { return JobOpened }
func (*Arrival) Kind() Kind    { return VehicleReceived }
func (*Raising) Kind() Kind    { return VehicleRaised }
func (*Removal) Kind() Kind    { return PartRemoved }
func (*Tagging) Kind() Kind    { return PartTagged }
func (*Bagging) Kind() Kind    { return HardwareBagged }
func (*Stripping) Kind() Kind  { return PartStripped }
func (*Degreasing) Kind() Kind { return PartDegreased }

func (p *Job) Say() string {
	return words.Clauses("opened: "+vehicle(p.Vehicle), words.Given("odometer %s", p.Odometer), words.Fill("corners %s", words.Commas(p.Corners...)),
		words.Fill("wanted: %s", p.Wish), words.Fill("route card %s", p.Route)+words.If(p.Edition > 0, fmt.Sprintf(" edition %d", p.Edition)),
		words.Fill("promised for %s", p.Ready.Said(p.writing)), p.Warranty.say(), asked(p.Excludes), words.If(!p.Claim.IsZero(), "after a complaint about earlier work"))
}

func (p *Arrival) Say() string {
	return words.Clauses("received", words.Given("odometer %s", p.Odometer), words.Fill("found: %s", words.Commas(p.Found...)),
		words.Choose(p.Agreed, "the customer accepted this list", "the customer has not accepted this list"))
}

func (p *Raising) Say() string {
	on := words.And(words.If(p.Lift, "a lift"), words.If(p.Stands > 0 || !p.Lift, words.Count(p.Stands, "stand")))
	return fmt.Sprintf("raised on %s at %s", on, p.Points)
}

func (p *Removal) Say() string {
	return words.Clauses(words.Choose(p.Supplied, "brought by the customer", "taken off the vehicle"), p.Condition)
}

func (p *Tagging) Say() string {
	return words.Clauses("tag "+p.Tag, words.Fill("casting number %s", p.Number), words.Fill("pattern %s", p.Pattern), words.Fill("cast mark %s", p.Mark), string(p.Metal))
}

func (p *Bagging) Say() string { return fmt.Sprintf("bag %s: %s", p.Bag, items(p.Items)) }

func (p *Stripping) Say() string {
	return words.Clauses(words.Fill("removed: %s", words.Commas(p.Removed...)), words.Choose(p.Rubber == RubberLeft, "rubber left in the part", "no rubber left in the part"), words.Fill("rubber counted: %s", items(p.Out)))
}

func (p *Degreasing) Say() string {
	return words.Clauses("degreased with "+p.Agent, words.If(p.Chlorinated, "chlorinated: keep the part away from heat"), words.Fill("left %s", p.Left), p.Rack.hung())
}

func vehicle(v Vehicle) string {
	return words.Commas(words.Fill("plate %s", v.Plate), words.Fill("VIN %s", v.VIN), v.Looks)
}

// Metal is what a casting is made of.
type Metal = Choice[metals]

type metals struct{}

func (metals) words() []string {
	return written(Iron, Aluminium, Steel, ZincCasting, ZincPlated, MetalNotKnown)
}

// The words of [Metal].
const (
	Iron          Metal = "iron"
	Aluminium     Metal = "aluminium"
	Steel         Metal = "steel"
	ZincCasting   Metal = "zinc die casting"
	ZincPlated    Metal = "zinc-plated steel"
	MetalNotKnown Metal = "not known"
)

// Rubber says whether anything that cannot stand an oven was left in a part.
type Rubber = Choice[rubbers]

type rubbers struct{}

func (rubbers) words() []string {
	return written(RubberOut, RubberLeft)
}

// The words of [Rubber].
const (
	RubberOut  Rubber = "none left in"
	RubberLeft Rubber = "left in"
)

func (j *Job) check(p *problems) {
	if j.Vehicle.VIN == "" && j.Vehicle.Plate == "" {
		p.add("vehicle", Clash, "give the VIN or the plate, so that the vehicle can be found again")
	}
	if j.Customer != nil && (j.Customer.Card == "" || j.Customer.Commitment.IsZero()) {
		p.add("customer", Clash, "a customer is cited by card and commitment")
	}
	distinct(p, "corners", j.Corners)
	j.Warranty.check(p)
	questions(p, "excludes", j.Excludes)
}

func (r *Raising) check(p *problems) {
	if !r.Lift {
		p.least("stands", r.Stands, 1)
	}
}

func (b *Bagging) check(p *problems) {
	p.counted("items", b.Items)
}

func (s *Stripping) check(p *problems) { p.counted("out", s.Out) }

func (d *Degreasing) check(p *problems) { d.Rack.check(p) }

// check demands real parts, each once.
func (r *Rack) check(p *problems) {
	if len(r.Parts) > MaxParts {
		p.add("parts", TooMany, "%d parts are too many for one run, which takes %d", len(r.Parts), MaxParts)
	}
	for i, s := range r.Parts {
		if s.Word() != "job/corner/part" {
			p.add(row("parts", i), Clash, "%s is not a part; a part looks like job/4f7kk2m9/corner/LF/part/caliper", words.Quoted(s))
		}
	}
	distinct(p, "parts", r.Parts)
}

// Hung returns the parts of the run; see [Rack].
func (r *Rack) Hung() []Subject { return r.Parts }

// Hung returns the parts of the run that data names; nil if it names none.
func Hung(p Payload) []Subject {
	if rack, ok := p.(interface{ Hung() []Subject }); ok {
		return rack.Hung()
	}
	return nil
}
