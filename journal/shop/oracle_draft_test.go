package shop_test

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"

	"github.com/go-json-experiment/json/jsontext"
	"pgregory.net/rapid"
)

// words are few, so that histories meet in them.
type words struct {
	jobs     []journal.JobID
	runs     []journal.RunID
	marks    []string
	numbers  []string
	plates   []string
	vins     []string
	tools    []journal.ToolID
	machines []journal.ToolID
	lots     []journal.LotID
	kits     []journal.KitID
	devices  []journal.DeviceID
	people   []journal.PersonID
}

var few = words{
	jobs: []journal.JobID{"j0b00001", "j0b00002", "j0b00003"}, runs: []journal.RunID{"bake-1", "bake-2"},
	marks: []string{"4R-17", "4r 17", "8K", ""}, numbers: []string{"", "", "8k", "117"}, plates: []string{"AB 1", "ab-1", "CD 2", ""}, vins: []string{"", "", "ZZZ11AAA0A0000001", "ZZZ11AAA0A0000002"},
	tools: []journal.ToolID{"tw-1", "tw-2"}, machines: []journal.ToolID{"cab-1", "dry-1"}, lots: []journal.LotID{"pw-1", "pw-2"}, kits: []journal.KitID{"ks-1", "ks-2"}, devices: []journal.DeviceID{"hub", "bench-1", "bench-2"},
	people: []journal.PersonID{"io", "mk"},
}

func pick[T any](t *rapid.T, list []T, of string) T { return rapid.SampledFrom(list).Draw(t, of) }

func part(t *rapid.T) journal.Subject {
	return journal.About(pick(t, few.jobs, "job"), pick(t, []journal.Corner{"LF", "RR"}, "corner"), pick(t, []journal.PartID{"caliper", "bracket"}, "part"))
}

// draft draws an entry of the shop.
func draft(t *rapid.T, written []*journal.Entry) journal.Draft {
	one := func(about journal.Subject, data journal.Payload) journal.Draft {
		return journal.Draft{Subject: about, By: pick(t, few.people, "by"), Data: data}
	}
	rack := journal.Rack{Parts: slices.Compact(slices.Sorted(slices.Values([]journal.Subject{part(t), part(t)})))}
	run := journal.Of("run", string(pick(t, few.runs, "run")))
	job := pick(t, few.jobs, "job")
	about := journal.About(job, "", "")
	switch rapid.IntRange(0, 48).Draw(t, "kind") {
	case 0, 1:
		return one(about, &journal.Job{Vehicle: journal.Vehicle{VIN: pick(t, few.vins, "vin"), Plate: pick(t, few.plates[:3], "plate"), Looks: "grey"}, Corners: []journal.Corner{"LF"}, Route: "caliper", Edition: 1})
	case 2:
		return one(part(t), &journal.Removal{})
	case 3, 4:
		return one(part(t), &journal.Tagging{Tag: pick(t, []string{"A1", "A2"}, "tag"), Mark: pick(t, few.marks, "mark"), Number: pick(t, few.numbers, "number"), Pattern: pick(t, few.marks, "pattern"), Metal: pick(t, []journal.Metal{journal.Iron, journal.Iron, journal.Aluminium}, "metal")})
	case 30:
		kit := pick(t, few.kits, "kit")
		return one(journal.Of("kit", string(kit)), &journal.Kit{Kit: kit, Contents: []journal.Item{{What: "boot", Count: 1}}, Batch: pick(t, []string{"1", "2"}, "batch")})
	case 31:
		return one(part(t), &journal.Rebuild{Kits: []journal.KitID{pick(t, few.kits, "kit")}})
	case 32:
		return one(journal.Of("kit", string(pick(t, few.kits, "kit"))), &journal.Recall{Why: "it cracks", Remedy: "replace it"})
	case 28, 29:
		return one(part(t), &journal.CastingMatch{As: part(t), How: "the repair", Evidence: journal.Evidence{Photos: []journal.Photo{journaltest.Picture("repair")}}})
	case 5:
		return one(part(t), &journal.Masking{Features: []journal.Item{{What: "bore", Count: 1}}, Plugs: rapid.IntRange(0, 3).Draw(t, "plugs")})
	case 6:
		return one(run, &journal.Coating{Rack: rack, Lot: pick(t, few.lots, "lot"), Coat: 1})
	case 7:
		bake := &journal.BakeStart{Rack: rack, Oven: pick(t, few.tools, "oven"), Set: quantity[unitTemperature]("190 °C"), Probes: []journal.Probe{{Channel: "1", Place: "ear", On: rack.Parts[0], Tool: pick(t, few.tools, "tool")}}}
		for _, other := range rack.Parts[1:] { // of another job, or of another metal
			bake.StandIns = append(bake.StandIns, journal.StandIn{Part: other, Probe: "1", Is: journal.Alike})
		}
		return one(run, bake)
	case 8:
		return one(run, &journal.ProbeTrace{Unit: journal.UnitCelsius, Seconds: "0 600 1200 1800", Channels: []journal.Channel{{Channel: "1", Readings: "20 190 190 100"}}})
	case 9, 10, 11:
		return one(journal.About(job, "LF", ""), &journal.Torque{Joint: "banjo bolt", Torque: quantity[unitTorque]("27 N.m"), Tool: pick(t, few.tools, "tool"), Count: rapid.IntRange(0, 3).Draw(t, "count")})
	case 12:
		return one(journal.Of("tool", string(pick(t, few.tools, "tool"))), &journal.ToolCheck{Tool: pick(t, few.tools, "tool"), Result: pick(t, []journal.CheckResult{journal.InTolerance, journal.OutOfTolerance}, "result"), Cycles: 5})
	case 13:
		tool := pick(t, few.tools, "tool")
		return one(journal.Of("tool", string(tool)), &journal.Tool{Tool: tool, What: journal.TorqueWrench, Low: quantity[unitTorque]("5 N.m"), High: quantity[unitTorque]("60 N.m")})
	case 14:
		lot := pick(t, few.lots, "lot")
		return one(journal.Of("lot", string(lot)), &journal.PowderLot{Lot: lot, Chemistry: journal.Epoxy, Colour: "black", Schedule: []journal.BakePoint{{Metal: quantity[unitTemperature]("180 °C"), Hold: quantity[unitDuration]("10 min")}}})
	case 15:
		return one(journal.Of("person", "io"), &journal.Person{Person: "io", Initials: pick(t, []string{"IO", "I"}, "initials"), Duties: []journal.Duty{journal.WaiveDuty, journal.SecondCheckDuty}})
	case 16:
		return one(journal.About(job, "LF", ""), &journal.LineOpening{At: "banjo"})
	case 17:
		return one(about, &journal.Release{})
	case 18:
		return one(about, &journal.Contact{How: journal.ByTelephone, About: "look for fluid", Reached: true, Answer: "dry"})
	case 19:
		d := pick(t, few.devices[1:], "device")
		return one(journal.Of("device", string(d)), &journal.ClockReading{Device: d, OffsetMs: int64(rapid.IntRange(-9, 9).Draw(t, "offset")) * 1000})
	case 20:
		d := pick(t, few.devices[2:], "device")
		return one(journal.Of("device", string(d)), &journal.Revocation{Device: d, Reason: "lost"})
	case 21:
		return one(pick(t, []journal.Subject{about, run, "tool/tw-1"}, "about"), &journal.Snapshot{Evidence: journal.Evidence{Photos: []journal.Photo{journaltest.Picture(pick(t, []string{"one", "two"}, "picture"))}}})
	case 26, 27:
		return one(about, &journal.Arrival{Agreed: true})
	case 34, 35: // of the newest work as a rule, so that some count
		if len(written) == 0 {
			return one(about, &journal.Remark{Evidence: journal.Evidence{Note: "first"}})
		}
		of := written[len(written)-1-rapid.IntRange(0, min(5, len(written)-1)).Draw(t, "ago")]
		return journal.Draft{Subject: about, By: of.By, Data: &journal.SecondCheck{Of: of.ID, Finds: journal.FoundRight, Tried: []string{"bolts"},
			Evidence: journal.Evidence{Photos: []journal.Photo{journaltest.Picture(pick(t, []string{"one", "two", "three", "four"}, "picture"))}}}}
	case 39, 40:
		machine := pick(t, few.machines, "machine")
		return one(journal.Of("tool", string(machine)), service(t, machine))
	case 41:
		machine := pick(t, few.machines, "machine")
		return one(journal.Of("tool", string(machine)), &journal.Tool{Tool: machine, What: pick(t, []journal.ToolKind{journal.BlastCabinet, journal.AirDryer, journal.AirFilter}, "what")})
	case 42, 43:
		return one(pick(t, []journal.Subject{run, rack.Parts[0]}, "about"), &journal.Blasting{Rack: rack, Media: "glass bead", Cabinet: pick(t, few.machines, "cabinet")})
	case 44:
		return one(run, &journal.Soaking{Rack: rack, Set: quantity[unitTemperature]("220 °C"), Metal: quantity[unitTemperature]("205 °C"), Held: quantity[unitDuration]("30 min")})
	case 45, 46:
		return one(part(t), &journal.Defect{Looks: pick(t, []journal.Look{journal.Pinhole, journal.OrangePeelLook}, "looks"), Face: "back", Seen: pick(t, []journal.DefectStage{journal.AfterBake, journal.AfterHandover}, "seen")})
	case 47:
		return one(pick(t, []journal.Subject{run, rack.Parts[0]}, "about"), &journal.Coating{Rack: rack, Lot: pick(t, few.lots, "lot"), Coat: 1})
	case 48:
		return one(part(t), &journal.Refitting{Bleeder: "up"})
	case 36:
		return one(about, &journal.RoadTest{Distance: quantity[unitDistance]("5 km"), Result: "straight"})
	case 37:
		return one("person/mk", &journal.Person{Person: "mk", Initials: "MK"})
	case 38:
		return one("person/mk", &journal.Retirement{Person: "mk"})
	case 25:
		if len(written) < 2 {
			return one(about, &journal.Remark{Evidence: journal.Evidence{Note: "first"}})
		}
		a, b := pick(t, written, "first"), pick(t, written, "then")
		if a.ID == b.ID {
			return one(about, &journal.Remark{Evidence: journal.Evidence{Note: "one entry only"}})
		}
		return journal.Draft{Subject: about, By: a.By, Data: &journal.OrderStatement{First: a.ID, Then: b.ID, How: "they stood beside each other"}}
	case 22:
		return one("shop/k7m2q4xw", &journal.Withdrawal{Photo: journaltest.Picture(pick(t, []string{"one", "two"}, "picture")).Ref, Reason: "a face"})
	case 23:
		d := pick(t, few.devices[1:], "device")
		if rapid.Bool().Draw(t, "goes on") {
			return one(journal.Of("device", string(d)), &journal.LogParting{Device: d, Common: rapid.Int64Range(0, 4).Draw(t, "common")})
		}
		return one(journal.Of("device", string(d)), &journal.LogClosing{Device: d, Counts: rapid.Int64Range(0, 4).Draw(t, "counts")})
	case 24:
		d := pick(t, few.devices[1:], "device")
		return one(journal.Of("device", string(d)), &journal.LogNote{Device: d, From: rapid.Int64Range(0, 4).Draw(t, "from")})
	default:
		if len(written) == 0 {
			return one(about, &journal.Remark{Evidence: journal.Evidence{Note: "first"}})
		}
		of := pick(t, written, "of")
		c := &journal.Correction{Of: of.ID, Reason: "slip"}
		if rapid.Bool().Draw(t, "replaced") {
			c.Data = replacement(t, of)
		}
		return one(pick(t, []journal.Subject{of.Subject, of.Subject, about, run}, "about"), c)
	}
}

// service is of a cabinet, a dryer or a filter, whichever the machine is.
func service(t *rapid.T, machine journal.ToolID) *journal.Service {
	if rapid.Bool().Draw(t, "survey") {
		return &journal.Service{Tool: machine, Done: journal.OvenSurveyed, On: pick(t, []journal.Date{"", "2026-05-01", "2026-05-20"}, "on"), Set: quantity[unitTemperature]("200 °C"),
			Places: []journal.SurveyedPlace{{Place: "middle", Reads: quantity[unitTemperature]("199 °C")}, {Place: "door", Reads: quantity[unitTemperature](pick(t, []string{"180 °C", "195 °C"}, "reads"))}}}
	}
	return &journal.Service{Tool: machine, Done: pick(t, []journal.ServiceKind{journal.MediaChanged, journal.DryerServiced, journal.FilterChanged}, "done"),
		On: pick(t, []journal.Date{"", "2026-05-01", "2026-05-20"}, "on"), Media: "glass bead"}
}

// replacement is data of the kind of an entry, such as its own.
func replacement(t *rapid.T, of *journal.Entry) jsontext.Value {
	p, err := of.Payload()
	if err != nil {
		return jsontext.Value(`{"nonsense":1}`)
	}
	switch p := p.(type) {
	case *journal.Job:
		p.Vehicle.Plate, p.Vehicle.VIN = pick(t, few.plates[:3], "plate"), pick(t, few.vins, "vin")
	case *journal.Tagging:
		p.Mark, p.Number = pick(t, few.marks, "mark"), pick(t, few.numbers, "number")
	case *journal.CastingMatch:
		p.As = part(t)
	case *journal.Rebuild:
		p.Kits = []journal.KitID{pick(t, few.kits, "kit")}
	case *journal.Torque:
		p.Tool, p.Count = pick(t, few.tools, "tool"), 4
	case *journal.Coating:
		p.Parts = []journal.Subject{part(t)}
	case *journal.Blasting:
		p.Parts, p.Cabinet = []journal.Subject{part(t)}, pick(t, few.machines, "cabinet")
	case *journal.Service:
		*p = *service(t, p.Tool)
	case *journal.PowderLot:
		p.Chemistry = journal.PolyesterHAA
	case *journal.Person:
		p.Initials = "XX"
	case *journal.BakeStart:
		p.Parts = []journal.Subject{part(t)}
		p.Probes, p.StandIns = nil, nil
	case *journal.Correction:
		p.Reason = "slipped again"
	}
	raw, err := journal.MarshalPayload(p)
	if err != nil {
		t.Fatal(err)
	}
	return raw
}
