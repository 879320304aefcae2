package figure_test

import (
	"bufio"
	"bytes"
	"cmp"
	"fmt"
	"maps"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/figure"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/shop"
	"fettlebook/journal/trade/bake"
	"fettlebook/journal/trade/unit"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// played is the day of the demonstration as one log, as a shop would have typed it that
// works in some units.
type played struct {
	*bench
	jobs  []journal.JobID
	typed map[string]bool // every quantity that was typed, and every one on the card
}

// quantity finds a number with a unit that shops choose in a text.
var quantity = regexp.MustCompile(`\d+(?:\.\d+)? (?:N·m|lb·ft|lb·in|°C|°F|K|bar|kPa|psi|µm|mils?|mm|mL|L|US fl oz|km|mi|kg|lb)\b`)

// odometer is between which readings something is promised, as the vehicle shows them.
var odometer = regexp.MustCompile(`\([^()]* on the odometer\)`)

var customer = regexp.MustCompile(`"customer": \{[^}]*\}, ?`)

// play writes the day. What is typed is typed in the units of the writer.
func play(t *testing.T, works, writes unit.System) *played {
	t.Helper()
	p := &played{bench: &bench{tb: t, watch: journaltest.NewWatch(journaltest.Morning())}, typed: make(map[string]bool)}
	p.author = journaltest.NewAuthor("office", p.watch, "units")
	p.write(journal.Of("shop", string(journaltest.Shop)), &journal.Units{Units: works})
	p.write("person/io", &journal.Person{Person: "io", Initials: "IO", Duties: []journal.Duty{"waive", "release"}})
	for _, name := range card.SuppliedNames() {
		text, err := card.Supplied(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, q := range quantity.FindAllString(text, -1) {
			p.typed[q] = true
		}
		read, err := card.Parse(text)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range read.Limits {
			p.typed[l.String()] = true
		}
		p.write(journal.Of("route", string(name)), &journal.RouteCard{Route: name, Edition: 1, Text: text})
	}
	for _, q := range []string{"230 °C", "446 °F", "155 °C", "311 °F"} {
		p.typed[q] = true // of DOT 4: the rule prints them in both
	}
	raw, err := os.ReadFile("../../demo/story.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	names := map[string]string{}
	for lines := bufio.NewScanner(bytes.NewReader(raw)); lines.Scan(); {
		p.step(t, lines.Bytes(), writes, names)
	}
	if len(p.log) < 80 || len(p.jobs) == 0 {
		t.Fatalf("only %d entries on %d jobs were played", len(p.log), len(p.jobs))
	}
	return p
}

func (p *played) step(t *testing.T, line []byte, writes unit.System, names map[string]string) {
	t.Helper()
	var s struct {
		Do, Kind, Subject, By, As string
		Data                      jsontext.Value
		Shots                     []struct{ Shows string }
	}
	if err := json.Unmarshal(line, &s, json.MatchCaseInsensitiveNames(true)); err != nil {
		t.Fatal(err)
	}
	if s.Do == "open" {
		names[s.As] = fmt.Sprintf("job%d", len(p.jobs)+1)
		p.jobs = append(p.jobs, journal.JobID(names[s.As]))
	}
	if s.Kind == "" {
		return
	}
	fill := func(text string) string {
		for _, name := range slices.SortedFunc(maps.Keys(names), func(a, b string) int { return len(b) - len(a) }) {
			text = strings.ReplaceAll(text, "$"+name, names[name])
		}
		return text
	}
	payload := journal.Kind(s.Kind).Blank()
	data := customer.ReplaceAllString(cmp.Or(string(s.Data), "{}"), "") // the card of a customer is not here
	data = quantity.ReplaceAllStringFunc(fill(data), func(typed string) string {
		shown, _ := writes.Shown(typed)
		p.typed[shown] = true
		return shown
	})
	if err := json.Unmarshal([]byte(data), payload); err != nil {
		t.Fatalf("%s: %v", line, err)
	}
	if trace, ok := payload.(*journal.ProbeTrace); ok && writes.Temperature == unit.Fahrenheit {
		inFahrenheit(trace)
	}
	if trace, ok := payload.(*journal.ProbeTrace); ok {
		for _, c := range trace.Channels {
			if peak, ok := c.Readings.Peak(); ok {
				p.typed[peak+" "+string(trace.Unit)] = true
			}
		}
	}
	var shots []journal.Photo
	for i, shot := range s.Shots {
		shots = append(shots, journaltest.Picture(shot.Shows+fmt.Sprint(len(p.log), i)))
		shots[i].Role = shot.Shows
	}
	journal.Attach(payload, shots...)
	id := p.append(journal.Draft{Subject: journal.Subject(fill(s.Subject)), By: journal.PersonID(s.By), Data: payload})
	if s.As != "" {
		names[s.As] = id.String()
		for _, shot := range shots[:min(1, len(shots))] {
			names[s.As+"photo"] = shot.Ref.String()
		}
	}
}

// inFahrenheit is a trace as a recorder logs it that is set to °F.
func inFahrenheit(trace *journal.ProbeTrace) {
	trace.Unit = journal.UnitFahrenheit
	for i, c := range trace.Channels {
		var readings []string
		for word := range strings.FieldsSeq(string(c.Readings)) {
			if celsius, ok := unit.Decimal(word); ok {
				word = fmt.Sprintf("%.1f", bake.Fahrenheit.Reading(celsius))
			}
			readings = append(readings, word)
		}
		trace.Channels[i].Readings = journal.Readings(strings.Join(readings, " "))
	}
}

// texts yields all that people read of the day, each with where it stands.
func (p *played) texts(t *testing.T, each func(where, text string)) {
	t.Helper()
	l := p.live()
	snap := l.View(t.Context())
	charts := 0
	for _, logged := range p.log {
		e, err := journal.Decode(logged.Bytes)
		if err != nil {
			t.Fatal(err)
		}
		f := figure.Of(snap, e.ID)
		where := "the page of " + string(e.Type.Kind)
		for _, s := range f.Say {
			each(where, s.Text)
			each(where, s.Rests)
		}
		for _, row := range append(f.Table.Rows, f.Table.Head, []string{f.Table.Title}) {
			each(where+", table", strings.Join(row, " | "))
		}
		each(where+", chart", strings.NewReplacer("<", " <", ">", "> ").Replace(string(f.Chart)))
		if f.Chart != "" {
			charts++
		}
	}
	if charts < 3 {
		t.Errorf("only %d charts were drawn", charts)
	}
	for _, id := range p.jobs {
		p.job(t, snap, id, each)
	}
}

func (p *played) job(t *testing.T, snap *live.Snapshot, id journal.JobID, each func(where, text string)) {
	t.Helper()
	st := snap.Standing(id)
	if st == nil || st.Card == nil {
		t.Fatalf("the job %s does not stand on a card", id)
	}
	for _, v := range st.Verdicts.List {
		where := "hold " + string(v.Hold) + " of " + string(v.Subject)
		for _, text := range slices.Concat([]string{v.Why, v.Limit, v.Source}, v.Figures, v.Notes) {
			each(where, text)
		}
		raw, err := json.Marshal(v.Statements)
		if err != nil {
			t.Fatal(err)
		}
		each(where+", as JSON", string(raw))
	}
	for _, todo := range st.Next {
		each("what to do next", fmt.Sprintf("%+v", todo))
	}
	for _, f := range route.FollowUps(st.Card, st.Job, p.watch.Now().Add(1000*time.Hour)) {
		each("follow-up", f.Say)
	}
	for _, stage := range st.Card.Stages {
		for _, caution := range stage.Cautions {
			each("caution", st.Card.Say(caution, snap.Shop.Units))
		}
	}
	var paper strings.Builder
	if err := st.Job.WriteText(&paper, record.Options{Beside: shop.Beside([]*shop.Standing{st})}); err != nil {
		t.Fatal(err)
	}
	each("record", strings.Join(strings.Fields(paper.String()), " "))
}

// spelled are the units of a system as they are written.
func spelled(in unit.System) []string {
	return []string{
		in.Torque.String(), in.SmallTorque.String(), in.Temperature.String(), in.Difference.String(), in.Pressure.String(),
		in.Film.String(), in.Length.String(), in.Volume.String(), in.Distance.String(), in.Mass.String(),
	}
}

// A day is worked and read in the units of the shop alone, whatever they are: nothing else
// stands in any sentence, table, chart or paper but what was typed, and what is printed on
// the card.
func TestDayInUnitsOfTheShop(t *testing.T) {
	mixed := unit.Metric()
	mixed.Torque, mixed.SmallTorque, mixed.Film = unit.PoundForceFoot, unit.PoundForceInch, unit.Mil
	for _, c := range []struct {
		name          string
		works, writes unit.System
	}{
		{"metric", unit.Metric(), unit.Metric()},
		{"US customary", unit.USCustomary(), unit.USCustomary()},
		{"by quantity", mixed, mixed},
		{"US customary, written in metric units", unit.USCustomary(), unit.Metric()},
		{"metric, written in US customary units", unit.Metric(), unit.USCustomary()},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := play(t, c.works, c.writes)
			own, seen := spelled(c.works), make(map[string]int)
			p.texts(t, func(where, text string) {
				text = odometer.ReplaceAllString(text, "")
				for _, q := range quantity.FindAllString(text, -1) {
					_, of := unit.Split(q)
					seen[of]++
					if !slices.Contains(own, of) && !p.typed[q] {
						t.Errorf("%s: %s in %q", where, q, clipped(text, q))
					}
				}
			})
			for _, u := range []string{c.works.Torque.String(), c.works.SmallTorque.String(), c.works.Temperature.String(), c.works.Difference.String(), c.works.Film.String(), c.works.Volume.String(), c.works.Distance.String()} {
				if seen[u] == 0 {
					t.Errorf("nothing was said in %s", u)
				}
			}
		})
	}
}

// What a shop chooses last holds, for what was said before too, and a choice that was
// struck out never was.
func TestUnitsChosenLater(t *testing.T) {
	b := newBench(t)
	b.tagged("iron", at("LF", "bracket"))
	tight := b.write(at("LF", "bracket"), &journal.Torque{Joint: "bracket bolts", Torque: q[unit.Torque]("105 N.m"), Tool: "tw-1", Spec: "bracket", Count: 2})
	about := journal.Of("shop", string(journaltest.Shop))
	const metric, customary = "105 N.m is inside 98.0 N·m to 112.0 N·m with", "105 N.m (77.4 lb·ft) is inside 72.3 lb·ft to 82.6 lb·ft (printed 98 N.m to 112 N.m) with"
	says(t, b.of(tight), metric)
	chosen := b.write(about, &journal.Units{Units: unit.USCustomary()})
	says(t, b.of(tight), customary)
	b.write(about, &journal.Correction{Of: chosen, Reason: "the wrong button"})
	says(t, b.of(tight), metric)
	b.write(about, &journal.Units{Units: unit.USCustomary()})
	b.write(about, &journal.Units{Units: unit.Metric()})
	says(t, b.of(tight), metric)
}

// clipped is a text around what stands in it.
func clipped(text, around string) string {
	i := strings.Index(text, around)
	return text[max(0, i-90):min(len(text), i+90)]
}
