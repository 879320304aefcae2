package pages_test

import "fmt"

// counted is what is counted at the bench of a floating caliper with one piston and
// of its bracket, by name.
var counted = map[string]string{
	"piston bore": "1", "guide pin bolt hole": "2", "bleeder thread": "1", "banjo thread": "1", "bleeder seat": "1", "banjo face": "1", "pad land": "2",
	"square-section seal": "1", "dust boot": "1", "mounting thread": "2", "mating face": "1", "bolt seat": "2", "pad abutment": "4",
}

// made are the presets that the two parts begin with.
var made = map[string]string{"caliper": "floating caliper, one piston", "bracket": "bracket that carries no boots"}

// spots are where a film is measured, by three readings each.
var spots = []string{"outer face", "flank", "edge", "bridge", "ear"}

// written is one entry with its answers. Of a field that ends with * everything
// that it names is counted.
type written struct {
	stage, place, kind string
	photo              string // a picture of it is wanted
	answers            []string
}

// leg is a stretch of the work that the table has a row for.
type leg struct {
	name    string
	entries []written
}

// places are the parts of corners.
func places(corners ...string) (list []string) {
	for _, c := range corners {
		list = append(list, "/corner/"+c+"/part/caliper", "/corner/"+c+"/part/bracket")
	}
	return list
}

// cornerWork is what is written of caliper and bracket of a corner, from the
// counter to the road test, so that every hold point of the card is met.
func cornerWork(at string) []leg {
	corner := "/corner/" + at
	caliper, bracket := corner+"/part/caliper", corner+"/part/bracket"
	var film []string
	for i, place := range spots {
		film = append(film, fmt.Sprintf("spots.%d.place=%s", i, place), fmt.Sprintf("spots.%d.readings=%d 79 84", i, 80+i))
	}
	return []leg{
		{"counter and stands", []written{
			{"received", "", "vehicle.received", "received", []string{"found=nothing found", "agreed=yes"}},
			{"raised", "", "vehicle.raised", "", []string{"points=sills, front and rear", "stands=4"}},
		}},
		{"off, tags, make-up, line, strip", []written{
			{"removed", caliper, "part.removed", "removed", nil},
			{"removed", caliper, "part.tagged", "removed", []string{"tag=" + at + "-caliper", "metal=iron"}},
			{"removed", bracket, "part.removed", "", nil},
			{"removed", bracket, "part.tagged", "", []string{"tag=" + at + "-bracket", "metal=iron"}},
			{"makeup", caliper, "part.described", "", []string{"preset:" + made["caliper"]}},
			{"makeup", bracket, "part.described", "", []string{"preset:" + made["bracket"]}},
			{"hardware", corner, "hardware.bagged", "", []string{"bag=" + at, "items=guide pin", "items.0.count=2"}},
			{"opened", corner, "line.opened", "", []string{"at=banjo, hose plugged"}},
			{"strip", caliper, "part.stripped", "stripped", []string{"removed=piston", "out*", "rubber=none left in"}},
		}},
		{"degrease, blast, mask", []written{
			{"degrease", "", "part.degreased", "", []string{"agent=hot wash", "chlorinated=no"}},
			{"blast", "", "part.blasted", "blasted", []string{"media=glass bead 90-150 µm"}},
			{"mask", caliper, "bore.masked", "masked", []string{"features*", "plugs=5"}},
			{"mask", bracket, "bore.masked", "", []string{"features*", "plugs=2"}},
		}},
		{"soak, powder, bake", []written{
			{"soak", "", "part.soaked", "", []string{"set=230", "metal=214", "held=35", "rag=clean"}},
			{"powder", "", "powder.applied", "", []string{"lot=so-118", "coat=1", "metal=28", "air=21", "humidity=44"}},
			{"bake", "", "bake.started", "probe", []string{"set=200"}},
		}},
		{"plugs out to joints", []written{
			{"unmask", caliper, "bore.unmasked", "", []string{"plugs=5", "features*"}},
			{"unmask", bracket, "bore.unmasked", "", []string{"plugs=2", "features*"}},
			{"film", caliper, "film.measured", "", film},
			{"film", bracket, "film.measured", "", film},
			{"seats", caliper, "seat.proved", "seats", []string{"shown*", "state=bare"}},
			{"seats", bracket, "seat.proved", "", []string{"shown*", "state=bare"}},
			{"rebuild", caliper, "part.rebuilt", "stripped", []string{"new_parts*"}},
			{"refit", bracket, "part.refitted", "", nil},
			{"refit", caliper, "part.refitted", "", []string{"bleeder=up"}},
			{"joints", corner, "torque.applied", "", []string{"spec=bracket", "joint=bracket bolt", "torque=105", "tool=tw-1", "count=2", "new_bolts=yes"}},
			{"joints", corner, "torque.applied", "", []string{"spec=pin", "joint=guide pin bolt", "torque=30", "tool=tw-2", "count=2"}},
			{"joints", corner, "washer.replaced", "", []string{"joint=banjo bolt", "count=2", "material=copper"}},
			{"joints", corner, "line.connected", "", []string{"at=banjo, hose plugged"}},
			{"joints", corner, "torque.applied", "torque", []string{"spec=banjo", "joint=banjo bolt", "torque=22", "tool=tw-2", "marked=yes"}},
			{"joints", corner, "photo.taken", "hardware", nil},
		}},
		{"bleed, leak, pedal", []written{
			{"received", "", "manual.read", "", []string{"fluid=DOT 4", "from=manual"}},
			{"hydraulics", "", "reservoir.topped", "reservoir", []string{"before=60", "after=90", "fluid=bf-31"}},
			{"bleed", corner, "bleed.done", "", []string{"fluid=bf-31", "drawn=60", "bubbles=none", "screw=12", "tool=tw-2"}},
			{"hydraulics", "", "reservoir.topped", "", []string{"before=40", "after=80", "fluid=bf-31"}},
			{"hydraulics", "", "leak.checked", "", []string{"held=60", "result=dry"}},
			{"hydraulics", "", "pedal.checked", "", []string{"feel=firm"}},
		}},
		{"wheel and road", []written{
			{"wheel", corner, "wheel.fitted", "", []string{"step=snug, wheel off the ground", "spec=wheel", "nuts=5", "pattern=star", "torque=120", "tool=tw-1"}},
			{"wheel", corner, "wheel.fitted", "wheel", []string{"step=full, wheel on the ground", "spec=wheel", "nuts=5", "pattern=star", "torque=120", "tool=tw-1"}},
			{"road", "", "road.tested", "", []string{"distance=6", "result=straight, no noise"}},
		}},
	}
}

// carWork is the work of several corners: of each stretch what is about the vehicle or a run
// once, and the rest at one corner after the other. Rear parts come off when the parking
// brake is known; of the corners one after the other is bled.
func carWork(corners []string) (legs []leg) {
	manual := written{"received", "", "manual.read", "", []string{"fluid=DOT 4", "parking_brake=none", "from=manual"}}
	each := make([][]leg, len(corners))
	for i, c := range corners {
		each[i] = cornerWork(c)
	}
	for n, l := range each[0] {
		one := leg{name: l.name}
		add := func(stage bool, of ...int) {
			for k, e := range l.entries {
				if (e.stage == "removed") != stage {
					continue
				}
				for _, i := range of {
					if at := each[i][n].entries[k]; at.place != "" || i == 0 {
						one.entries = append(one.entries, at)
					}
				}
			}
		}
		switch {
		case l.name == "bleed, leak, pedal":
			for i := range corners {
				look := l.entries[1]
				if i > 0 {
					look = l.entries[3]
				}
				one.entries = append(one.entries, look, each[i][n].entries[2])
			}
			one.entries = append(one.entries, l.entries[3:]...)
		case l.entries[0].stage == "removed":
			one.entries = append(one.entries, manual)
			add(true, 0, 1)
			add(true, 2, 3)
			add(false, 0, 1, 2, 3)
		default:
			add(false, 0, 1, 2, 3)
		}
		legs = append(legs, one)
	}
	return legs
}
