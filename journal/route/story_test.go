package route_test

import (
	"fmt"
	"iter"
	"maps"
	"math"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
)

// step is one entry to be written.
type step struct {
	name  string
	on    journal.DeviceID
	about journal.Subject
	by    journal.PersonID
	after time.Duration  // since the step before
	jump  time.Duration  // by which the wall clock was set before it
	boot  journal.BootID // of a device that was started anew before it
	apart bool           // on a tablet that nobody hears of
	data  func(ids map[string]journal.EntryID) journal.Payload
}

// story is a job in steps that a test can drop, change and move before they
// are written.
type story struct {
	tb     testing.TB
	job    journal.JobID // of a plan; the complete job is called jobID
	steps  []step
	citing bool // entries say what their writers had seen
}

const (
	office = journal.DeviceID("office")
	bench1 = journal.DeviceID("bench-1")
	bench2 = journal.DeviceID("bench-2")
	jobID  = journal.JobID("4f7kk2m9")
)

func at(corner journal.Corner, part journal.PartID) journal.Subject {
	return journal.About(jobID, corner, part)
}

// plain makes a step of data that hangs on no other step.
func plain[P any, PP interface {
	*P
	journal.Payload
}](name string, on journal.DeviceID, about journal.Subject, by journal.PersonID, data P) step {
	return linked(name, on, about, by, func(map[string]journal.EntryID) journal.Payload {
		fresh := data
		return PP(&fresh)
	})
}

// linked makes a step whose data names entries of other steps.
func linked(name string, on journal.DeviceID, about journal.Subject, by journal.PersonID, data func(map[string]journal.EntryID) journal.Payload) step {
	return step{name: name, on: on, about: about, by: by, after: time.Minute, data: data}
}

func (s *story) add(steps ...step) { s.steps = append(s.steps, steps...) }

func (s *story) index(name string) int {
	s.tb.Helper()
	i := slices.IndexFunc(s.steps, func(st step) bool { return st.name == name })
	if i < 0 {
		s.tb.Fatalf("the story has no step %q", name)
	}
	return i
}

func (s *story) drop(names ...string) {
	for _, name := range names {
		i := s.index(name)
		s.steps = slices.Delete(s.steps, i, i+1)
	}
}

// after puts a step behind the named one.
func (s *story) after(name string, st step) { s.steps = slices.Insert(s.steps, s.index(name)+1, st) }

// move puts a step behind another, which is a matter of order alone.
func (s *story) move(name, behind string) {
	st := s.steps[s.index(name)]
	s.drop(name)
	s.after(behind, st)
}

// edit changes the data of a step.
func edit[P any](s *story, name string, change func(*P)) {
	st := &s.steps[s.index(name)]
	old := st.data
	st.data = func(ids map[string]journal.EntryID) journal.Payload {
		p := old(ids)
		change(any(p).(*P))
		return p
	}
}

// until leaves out all that follows a step.
func (s *story) until(name string) { s.steps = s.steps[:s.index(name)+1] }

// written is a story as entries.
type written struct {
	log []journal.Logged
	ids map[string]journal.EntryID
}

func (s *story) write() written {
	s.tb.Helper()
	return newPens().write(s.tb, s.steps, s.citing)
}

// pens are what the devices of a shop write with: whoever goes on with them
// writes what comes later.
type pens struct {
	watch   *journaltest.Watch
	authors map[journal.DeviceID]*journaltest.Author
	counts  map[journal.DeviceID]int64
	trees   map[journal.DeviceID]*proof.Tree // of what all see
}

func newPens() *pens {
	return &pens{
		watch: journaltest.NewWatch(journaltest.Morning()), authors: make(map[journal.DeviceID]*journaltest.Author),
		counts: make(map[journal.DeviceID]int64), trees: make(map[journal.DeviceID]*proof.Tree),
	}
}

func (p *pens) write(tb testing.TB, steps []step, citing bool) written {
	tb.Helper()
	w := written{ids: make(map[string]journal.EntryID)}
	for _, st := range steps {
		p.watch.Advance(st.after + st.jump)
		if p.authors[st.on] == nil {
			p.authors[st.on] = journaltest.NewAuthor(st.on, p.watch, string(st.on))
		}
		author := p.authors[st.on]
		author.Started = author.Started.Add(st.jump)
		if st.boot != "" {
			author.Boot, author.Started = st.boot, p.watch.Now()
		}
		if citing {
			author.After = seenBy(st.on, p.trees)
		}
		e, err := author.Write(journal.Draft{Subject: st.about, By: st.by, Data: st.data(w.ids)})
		if err != nil {
			tb.Fatalf("step %s: %v", st.name, err)
		}
		raw, err := e.Encode()
		if err != nil {
			tb.Fatal(err)
		}
		w.ids[st.name] = e.ID
		w.log = append(w.log, journal.Logged{Position: journal.Position{Device: st.on, Index: p.counts[st.on]}, Bytes: raw})
		p.counts[st.on]++
		if p.trees[st.on] == nil {
			p.trees[st.on] = new(proof.Tree)
		}
		if !st.apart {
			p.trees[st.on].Append(raw)
		}
	}
	return w
}

// seenBy is what a device's entry cites that has seen all of the others.
func seenBy(device journal.DeviceID, logs map[journal.DeviceID]*proof.Tree) (after journal.After) {
	for _, d := range slices.Sorted(maps.Keys(logs)) {
		if n := logs[d].Size(); d != device && n > 0 {
			root := logs[d].Root()
			after = append(after, journal.Prefix{Device: d, Size: n, Root: [16]byte(root[:16])})
		}
	}
	return after
}

// without leaves an entry out, as if it had not arrived.
func (w written) without(tb testing.TB, id journal.EntryID) []journal.Logged {
	tb.Helper()
	return slices.DeleteFunc(slices.Clone(w.log), func(l journal.Logged) bool {
		e, err := journal.Decode(l.Bytes)
		if err != nil {
			tb.Fatal(err)
		}
		return e.ID == id
	})
}

func fold(log []journal.Logged) (*record.Job, *record.Shop) {
	book := record.NewBook(journal.Authority{Hub: office})
	for _, l := range log {
		book.Add(l)
	}
	shop := book.Shop()
	return shop.Job(jobID), shop
}

// stage is a job that is open, and its shop, behind the first n entries of a
// log.
type stage struct {
	n    int
	job  *record.Job
	shop *record.Shop
}

// stages yields a job as it is behind each entry of a log, from its opening on.
func stages(log []journal.Logged) iter.Seq[stage] {
	return func(yield func(stage) bool) {
		book := record.NewBook(journal.Authority{Hub: office})
		for i, l := range log {
			book.Add(l)
			shop := book.Shop()
			if job := shop.Job(jobID); job != nil && job.Opened != nil && !yield(stage{i + 1, job, shop}) {
				return
			}
		}
	}
}

func q[Q interface{ unit.Of[D] }, D unit.Dimension](text string) Q {
	quantity, err := unit.Parse[Q](text)
	if err != nil {
		panic(err)
	}
	return quantity
}

// complete is a job in which everything was done as it should be: both front
// corners, four castings on one rack, a probe on each.
func complete(tb testing.TB) *story {
	s := &story{tb: tb}
	s.register()
	s.add(
		plain("opened", office, at("", ""), "io", journal.Job{
			Vehicle: journal.Vehicle{Plate: "TRL 4471"}, Corners: []journal.Corner{"LF", "RF"}, Odometer: q[unit.Distance]("84210 km"),
			Route: "caliper", Edition: 1,
		}),
		plain("received", bench1, at("", ""), "io", journal.Arrival{Found: []string{"dent"}, Agreed: true, Evidence: seen("as it came in")}),
		plain("manual", bench1, at("", ""), "io", journal.Manual{Fluid: journal.DOT4, Order: []journal.Corner{"RR", "LR", "RF", "LF"}, From: journal.ReadInManual, Page: "4-20"}),
		plain("raised", bench1, at("", ""), "io", journal.Raising{Points: "sills", Stands: 2}),
		plain("epb on", bench1, at("", ""), "io", journal.ParkingBrake{State: "service mode on"}),
	)
	corners := []journal.Corner{"LF", "RF"}
	for _, c := range corners {
		s.apart(c)
	}
	s.coat(corners)
	for _, c := range corners {
		s.together(c)
	}
	s.finish()
	return s
}

func seen(role string) journal.Evidence {
	return journal.Evidence{Photos: []journal.Photo{journaltest.Picture(role)}}
}

// register is what the shop wrote down before.
func (s *story) register() {
	s.add(
		plain("person io", office, "person/io", "io", journal.Person{Person: "io", Initials: "IO", Duties: []journal.Duty{"desk", "waive", "release"}}),
		plain("person jr", office, "person/jr", "io", journal.Person{Person: "jr", Initials: "JR", Duties: []journal.Duty{"bench", "second check"}}),
		plain("person mk", office, "person/mk", "io", journal.Person{Person: "mk", Initials: "MK", Duties: []journal.Duty{"bench"}}),
		plain("lot", office, "lot/so-118", "io", journal.PowderLot{
			Lot: "so-118", Chemistry: "polyester/HAA", Colour: "orange",
			Schedule: []journal.BakePoint{
				{Metal: q[unit.Temperature]("180 °C"), Hold: q[unit.Duration]("20 min")},
				{Metal: q[unit.Temperature]("200 °C"), Hold: q[unit.Duration]("10 min")},
			},
		}),
		plain("fluid", office, "fluid/bf-31", "io", journal.FluidContainer{Fluid: "bf-31", Grade: "DOT 4"}),
	)
	for _, tool := range []struct {
		id        journal.ToolID
		low, high string
	}{{"tw-1", "40 N.m", "200 N.m"}, {"tw-2", "5 N.m", "50 N.m"}, {"tw-3", "40 N.m", "200 N.m"}} {
		s.add(
			plain("tool "+string(tool.id), office, journal.Of("tool", string(tool.id)), "io", journal.Tool{Tool: tool.id, What: "torque wrench", Low: q[unit.Torque](tool.low), High: q[unit.Torque](tool.high), Tolerance: q[unit.Ratio]("4 %")}),
			plain("check "+string(tool.id), office, journal.Of("tool", string(tool.id)), "io", journal.ToolCheck{Tool: tool.id, Result: "in tolerance", Due: "2027-09-30"}),
		)
	}
	for _, f := range []struct{ id, joint, nominal, low, high string }{
		{"banjo", "banjo bolt", "22 N.m", "20 N.m", "24 N.m"},
		{"bracket", "bracket bolts", "105 N.m", "98 N.m", "112 N.m"},
		{"pin", "guide pin bolts", "30 N.m", "27 N.m", "33 N.m"},
		{"wheel", "wheel nuts", "120 N.m", "110 N.m", "130 N.m"},
		{"actuator", "actuator screws", "9 N.m", "8 N.m", "10 N.m"},
	} {
		s.add(plain("spec "+f.id, office, journal.Of("spec", f.id), "io", journal.TorqueSpec{
			Spec: journal.SpecID(f.id), Joint: f.joint, Nominal: q[unit.Torque](f.nominal), Low: q[unit.Torque](f.low), High: q[unit.Torque](f.high), From: "maker's manual", Page: "4-17",
		}))
	}
}

// apart takes a corner apart.
func (s *story) apart(c journal.Corner) {
	p := string(c) + " "
	for _, part := range []journal.PartID{"caliper", "bracket"} {
		s.add(
			plain(p+"removed "+string(part), bench1, at(c, part), "mk", journal.Removal{}),
			plain(p+"tagged "+string(part), bench1, at(c, part), "mk", journal.Tagging{Tag: p + string(part), Mark: string(c) + string(part), Metal: "iron"}),
			plain(p+"described "+string(part), bench1, at(c, part), "mk", *preset(s.tb, presetOf(part))),
		)
	}
	s.add(
		plain(p+"bag", bench1, at(c, ""), "mk", journal.Bagging{Bag: string(c), Items: []journal.Item{{What: "guide pin", Count: 2}}}),
		plain(p+"opened", bench1, at(c, ""), "mk", journal.LineOpening{At: fmt.Sprintf("banjo %s, hose plugged", c)}),
		plain(p+"strip", bench1, at(c, "caliper"), "mk", journal.Stripping{Removed: []string{"piston", "actuator"}, Rubber: "none left in", Out: preset(s.tb, electric).Rubber}),
	)
}

// The presets of the complete job.
const (
	electric = "floating rear caliper, electric parking brake"
	bootless = "bracket that carries no boots"
)

func presetOf(part journal.PartID) string {
	return map[string]string{"caliper": electric, "bracket": bootless}[card.Base(part)]
}

// preset is what a part has by a preset of a supplied card.
func preset(tb testing.TB, named string) *journal.MakeUp {
	tb.Helper()
	p, ok := presets()[named]
	if !ok {
		tb.Fatalf("no card has a preset %q", named)
	}
	return p.MakeUp()
}

// presets are those of the supplied cards by name.
var presets = sync.OnceValue(func() map[string]card.Preset {
	list := make(map[string]card.Preset)
	for _, read := range cards() {
		for _, p := range read.Presets {
			list[p.Name] = p
		}
	}
	return list
})

// cards are those that come with the program, by name, which take long to read.
var cards = sync.OnceValue(func() map[journal.RouteID]*card.Card {
	list := make(map[journal.RouteID]*card.Card)
	for _, name := range card.SuppliedNames() {
		if text, err := card.Supplied(name); err == nil {
			if read, err := card.Parse(text); err == nil {
				list[name] = read
			}
		}
	}
	return list
})

func castings(corners []journal.Corner) []journal.Subject {
	var parts []journal.Subject
	for _, c := range corners {
		parts = append(parts, at(c, "caliper"), at(c, "bracket"))
	}
	return parts
}

// coat takes the castings through the shop on one rack.
func (s *story) coat(corners []journal.Corner) {
	rack := journal.Rack{Parts: castings(corners)}
	s.add(
		plain("wash", bench1, "run/wash-1", "mk", journal.Degreasing{Rack: rack, Agent: "alkaline bath"}),
		plain("blast", bench1, "run/blast-1", "mk", journal.Blasting{Rack: rack, Media: "glass bead"}),
	)
	for _, part := range rack.Parts {
		s.add(plain("mask "+name(part), bench1, part, "mk", journal.Masking{Features: preset(s.tb, presetOf(part.Part())).Covered(), Plugs: 7, Evidence: seen("masked bores and seats")}))
	}
	start := journal.BakeStart{Rack: rack, Set: q[unit.Temperature]("210 °C")}
	trace := warming(35, 205)
	for i, part := range rack.Parts {
		channel := fmt.Sprint(i + 1)
		start.Probes = append(start.Probes, journal.Probe{Channel: channel, Place: "thick section", On: part})
		trace.Channels = append(trace.Channels, journal.Channel{Channel: channel, Readings: trace.Channels[0].Readings})
	}
	trace.Channels = trace.Channels[1:]
	s.add(
		plain("soak", bench1, "run/soak-1", "mk", journal.Soaking{Rack: rack, Set: q[unit.Temperature]("220 °C"), Metal: q[unit.Temperature]("210 °C"), Held: q[unit.Duration]("30 min"), Rag: "clean"}),
		plain("powder", bench1, "run/coat-1", "mk", journal.Coating{Rack: rack, Lot: "so-118", Coat: 1, Metal: q[unit.Temperature]("28 °C"), Air: q[unit.Temperature]("21 °C"), Humidity: q[unit.Ratio]("44 %")}),
		plain("bake", bench1, "run/bake-1", "mk", start),
		plain("trace", bench1, "run/bake-1", "mk", trace),
		plain("cured", bench1, "run/bake-1", "mk", journal.Cure{Held: q[unit.Duration]("20 min"), By: "probe on the part"}),
	)
	for _, part := range rack.Parts {
		s.add(
			plain("unmask "+name(part), bench1, part, "mk", journal.Unmasking{Plugs: 7, Features: preset(s.tb, presetOf(part.Part())).Plugged()}),
			plain("film "+name(part), bench1, part, "mk", journal.FilmReadings{Low: q[unit.Length]("60 µm"), High: q[unit.Length]("100 µm"), Spots: spots("80 µm")}),
		)
	}
}

func name(part journal.Subject) string { return fmt.Sprintf("%s %s", part.Corner(), part.Part()) }

func spots(reading string) []journal.Spot {
	var list []journal.Spot
	for _, place := range []string{"flat", "edge", "recess", "back", "boss"} {
		r := q[unit.Length](reading)
		list = append(list, journal.Spot{Place: place, Readings: []unit.Length{r, r, r}})
	}
	return list
}

// warming is a trace of metal that warms up with a time constant of ten
// minutes. Its one channel is called 0.
func warming(minutes int, to float64) journal.ProbeTrace {
	var seconds, readings []string
	for t := 0; t <= minutes*60; t += 30 {
		seconds = append(seconds, fmt.Sprint(t))
		readings = append(readings, fmt.Sprintf("%.1f", to-(to-20)*math.Exp(-float64(t)/600)))
	}
	return journal.ProbeTrace{
		Unit: "°C", Seconds: journal.Series(strings.Join(seconds, " ")),
		Channels: []journal.Channel{{Channel: "0", Readings: journal.Readings(strings.Join(readings, " "))}},
	}
}

// together puts a corner back together.
func (s *story) together(c journal.Corner) {
	p := string(c) + " "
	for _, part := range []journal.PartID{"bracket", "caliper"} {
		s.add(plain(p+"seats "+string(part), bench1, at(c, part), "mk", journal.SeatProof{Shown: preset(s.tb, presetOf(part)).Bare(), State: "bare", Evidence: seen("bare seats and faces")}))
	}
	s.add(
		plain(p+"rebuilt", bench1, at(c, "caliper"), "mk", journal.Rebuild{NewParts: preset(s.tb, electric).Rubber}),
		plain(p+"refitted bracket", bench1, at(c, "bracket"), "mk", journal.Refitting{Bleeder: "none"}),
		plain(p+"bracket bolts", bench1, at(c, "bracket"), "mk", journal.Torque{Joint: "bracket bolts", Torque: q[unit.Torque]("105 N.m"), Tool: "tw-1", Spec: "bracket", Count: 2, NewBolts: true}),
		plain(p+"refitted caliper", bench1, at(c, "caliper"), "mk", journal.Refitting{Bleeder: "up"}),
		plain(p+"pin bolts", bench1, at(c, "caliper"), "mk", journal.Torque{Joint: "guide pin bolts", Torque: q[unit.Torque]("30 N.m"), Tool: "tw-2", Spec: "pin", Count: 2}),
		plain(p+"actuator", bench1, at(c, "caliper"), "mk", journal.Torque{Joint: "actuator screws", Torque: q[unit.Torque]("9 N.m"), Tool: "tw-2", Spec: "actuator", Count: 2}),
		plain(p+"washers", bench1, at(c, ""), "mk", journal.Washers{Joint: "banjo bolt", Count: 2, Material: "copper"}),
		plain(p+"connected", bench1, at(c, ""), "mk", journal.LineConnection{At: "banjo " + string(c)}),
		plain(p+"banjo bolt", bench1, at(c, ""), "mk", journal.Torque{Joint: "Banjo bolt", Torque: q[unit.Torque]("22 N.m"), Tool: "tw-2", Spec: "banjo", Marked: true}),
		plain(p+"bag empty", bench1, at(c, ""), "mk", journal.Snapshot{Evidence: seen("bag empty")}),
	)
}

// finish bleeds, checks and drives.
func (s *story) finish() {
	look := func(name, before, after string) step {
		return plain(name, bench1, at("", ""), "mk", journal.Reservoir{Before: q[unit.Ratio](before), After: q[unit.Ratio](after), Added: q[unit.Volume]("90 mL"), Fluid: "bf-31"})
	}
	bleed := func(c journal.Corner) step {
		return plain(string(c)+" bleed", bench1, at(c, ""), "mk", journal.Bleed{Fluid: "bf-31", Drawn: q[unit.Volume]("100 mL"), Bubbles: "none", Screw: q[unit.Torque]("12 N.m"), Tool: "tw-2"})
	}
	s.add(
		look("look 1", "60 %", "90 %"), bleed("RF"), look("look 2", "57 %", "87 %"), bleed("LF"), look("look 3", "55 %", "85 %"),
		plain("epb off", bench1, at("", ""), "mk", journal.ParkingBrake{State: "service mode off"}),
		plain("epb set", bench1, at("", ""), "mk", journal.ParkingBrake{State: "calibrated", LampOff: true}),
		plain("epb hold", bench1, at("", ""), "mk", journal.ParkingTrial{How: journal.TriedOnSlope, Holds: true}),
		plain("leak", bench1, at("", ""), "mk", journal.LeakCheck{Held: q[unit.Duration]("60 s"), Result: "dry"}),
		plain("pedal", bench1, at("", ""), "mk", journal.PedalCheck{Feel: "firm"}),
	)
	for _, step := range []journal.WheelStep{"snug, wheel off the ground", "full, wheel on the ground"} {
		for _, c := range []journal.Corner{"LF", "RF"} {
			torque := map[bool]string{true: "50 N.m", false: "120 N.m"}[strings.HasPrefix(string(step), "snug")]
			s.add(plain(fmt.Sprintf("%s %.4s", c, step), bench1, at(c, ""), "mk", journal.WheelFit{Step: step, Nuts: 5, Pattern: "star", Torque: q[unit.Torque](torque), Tool: "tw-3", Spec: "wheel"}))
		}
	}
	s.add(
		plain("road", bench1, at("", ""), "io", journal.RoadTest{Distance: q[unit.Distance]("6 km"), Result: "straight"}),
		linked("second", bench2, at("", ""), "jr", func(ids map[string]journal.EntryID) journal.Payload {
			return &journal.SecondCheck{Of: ids["road"], Finds: "right"}
		}),
	)
}

// released hands the vehicle back.
func released() step {
	return plain("released", bench1, at("", ""), "io", journal.Release{Odometer: q[unit.Distance]("84216 km"), Told: []string{"wheel nuts again after 50 to 100 km", "stop and call at the first drop of fluid"}})
}
