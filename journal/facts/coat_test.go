package facts_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/parts"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
)

// coater writes what is done to the parts of some jobs, an entry a minute.
type coater struct {
	tb     testing.TB
	watch  *journaltest.Watch
	author *journaltest.Author
	book   *record.Book
	n      int64
	dryer  journal.EntryID // its service
}

const laterJob = journal.JobID("9f7kk2m9")

func newCoater(tb testing.TB) *coater {
	c := &coater{tb: tb, watch: journaltest.NewWatch(journaltest.Morning()), book: record.NewBook(journal.Authority{Hub: office})}
	c.author = journaltest.NewAuthor(office, c.watch, "coater")
	c.does("person/mk", &journal.Person{Person: "mk", Initials: "MK", Duties: []journal.Duty{journal.BenchDuty}})
	c.does("lot/so-118", &journal.PowderLot{Lot: "so-118", Chemistry: journal.PolyesterHAA, Colour: "orange", Opened: "2026-02-20", Schedule: []journal.BakePoint{
		{Metal: measure[unit.Temperature]("180 °C"), Hold: measure[unit.Duration]("20 min")}, {Metal: measure[unit.Temperature]("200 °C"), Hold: measure[unit.Duration]("10 min")}}})
	for tool, what := range map[journal.ToolID]journal.ToolKind{"cab-1": journal.BlastCabinet, "dry-1": journal.AirDryer} {
		c.does(journal.Of("tool", string(tool)), &journal.Tool{Tool: tool, What: what})
	}
	c.does("tool/cab-1", &journal.Service{Tool: "cab-1", Done: journal.MediaChanged, Media: "glass bead"})
	c.dryer = c.does("tool/dry-1", &journal.Service{Tool: "dry-1", Done: journal.DryerServiced, On: "2026-02-19"})
	return c
}

func measure[Q interface{ unit.Of[D] }, D unit.Dimension](text string) Q {
	quantity, err := unit.Parse[Q](text)
	if err != nil {
		panic(err)
	}
	return quantity
}

func (c *coater) does(about journal.Subject, data journal.Payload) journal.EntryID {
	c.tb.Helper()
	c.watch.Advance(time.Minute)
	e, err := c.author.Write(journal.Draft{Subject: about, By: "mk", Data: data})
	if err != nil {
		c.tb.Fatal(err)
	}
	raw, err := e.Encode()
	if err != nil {
		c.tb.Fatal(err)
	}
	c.book.Add(journal.Logged{Position: journal.Position{Device: office, Index: c.n}, Bytes: raw})
	c.n++
	return e.ID
}

// days lets days pass.
func (c *coater) days(n int) { c.watch.Advance(time.Duration(n) * 24 * time.Hour) }

func (c *coater) opens(id journal.JobID) {
	c.does(journal.About(id, "", ""), &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}, Corners: []journal.Corner{"LF", "RF"}, Route: "caliper", Edition: 2})
}

func (c *coater) takesOff(list ...journal.Subject) {
	for _, p := range list {
		c.does(p, &journal.Removal{})
		c.does(p, &journal.Tagging{Tag: "T", Number: "S-" + string(p.Corner()) + string(p.Part()), Pattern: "K17", Metal: journal.Iron})
	}
}

// prepares washes, blasts and soaks a rack.
func (c *coater) prepares(run string, list ...journal.Subject) {
	rack := journal.Rack{Parts: list}
	c.does(journal.Of("run", "wash-"+run), &journal.Degreasing{Rack: rack, Agent: "alkaline bath"})
	c.blasts(run, list...)
	c.does(journal.Of("run", "soak-"+run), &journal.Soaking{Rack: rack, Set: measure[unit.Temperature]("220 °C"), Metal: measure[unit.Temperature]("210 °C"), Held: measure[unit.Duration]("30 min")})
}

func (c *coater) blasts(run string, list ...journal.Subject) {
	c.does(journal.Of("run", "blast-"+run), &journal.Blasting{Rack: journal.Rack{Parts: list}, Media: "glass bead", Pressure: measure[unit.Pressure]("4 bar"), Cabinet: "cab-1"})
}

func (c *coater) powders(run string, list ...journal.Subject) journal.EntryID {
	var hung []journal.HungAt
	for i, p := range list {
		hung = append(hung, journal.HungAt{Part: p, Rack: "A", Hook: fmt.Sprint(i + 1)})
	}
	return c.does(journal.Of("run", "coat-"+run), &journal.Coating{Rack: journal.Rack{Parts: list}, Lot: "so-118", Coat: 1, Metal: measure[unit.Temperature]("28 °C"), Air: measure[unit.Temperature]("21 °C"),
		Humidity: measure[unit.Ratio]("44 %"), Charge: measure[unit.Voltage]("60 kV"), Earth: measure[unit.Resistance]("0.4 Mohm"), Reclaimed: measure[unit.Ratio]("20 %"), Positions: hung})
}

// bakes bakes a rack with a probe on its first part, which stands for those
// that are named too.
func (c *coater) bakes(run string, standsFor []journal.Subject, list ...journal.Subject) {
	about := journal.Of("run", "bake-"+run)
	start := &journal.BakeStart{Rack: journal.Rack{Parts: list}, Oven: "ov-1", Set: measure[unit.Temperature]("200 °C"), Probes: []journal.Probe{{Channel: "1", Place: "ear", On: list[0]}}}
	for _, p := range standsFor {
		start.StandIns = append(start.StandIns, journal.StandIn{Part: p, Probe: "1", Is: journal.Lighter})
	}
	for _, p := range list {
		start.Positions = append(start.Positions, journal.HungAt{Part: p, Place: "door, low"})
	}
	c.does(about, start)
	c.watch.Advance(40 * time.Minute)
	c.does(about, &journal.ProbeTrace{Unit: journal.UnitCelsius, Seconds: "0 60 120 180 240 300 360 420 480 540 600 660 720 780 840 900", Channels: []journal.Channel{
		{Channel: "1", Readings: "180 190 200 200 200 200 200 200 200 200 200 200 200 200 190 180"}}})
}

func (c *coater) measures(list ...journal.Subject) {
	for _, p := range list {
		c.does(p, &journal.FilmReadings{Low: measure[unit.Length]("60 µm"), High: measure[unit.Length]("100 µm"), Spots: []journal.Spot{
			{Place: "back, upper boss", Readings: lengths("90 µm", "91 µm", "92 µm")},
			{Place: "flat", Readings: lengths("70 µm", "71 µm", "72 µm")}}})
	}
}

func pore(seen journal.DefectStage) *journal.Defect {
	return &journal.Defect{Looks: journal.Pinhole, Face: "upper boss", Seen: seen, Causes: []journal.Suspicion{
		{Cause: journal.GasFromCasting, Sure: journal.CauseSuspected}, {Cause: journal.Moisture, Sure: journal.CauseSeen, How: "water in the trap"}}}
}

// finds finds a pinhole and has the part stripped for it.
func (c *coater) finds(p journal.Subject) journal.EntryID {
	of := c.does(p, pore(journal.AfterBake))
	c.does(p, &journal.Rework{Of: of, Decision: journal.StripAndRecoat, Reason: "porous"})
	return of
}

func (c *coater) handsBack(id journal.JobID) { c.does(journal.About(id, "", ""), &journal.Release{}) }

func (c *coater) reaches(id journal.JobID, reached bool) {
	c.does(journal.About(id, "", ""), &journal.Contact{How: journal.ByTelephone, About: "the film", Reached: reached, Answer: "it looks good"})
}

// coatsTwice coats a part, strips it for a defect and coats it again, in one job.
func (c *coater) coatsTwice(id journal.JobID, part journal.Subject) {
	c.opens(id)
	c.takesOff(part)
	c.prepares("1", part)
	c.powders("1", part)
	c.bakes("1", nil, part)
	c.measures(part)
	c.finds(part)
	c.prepares("2", part)
	c.powders("2", part)
	c.bakes("2", nil, part)
	c.handsBack(id)
}

// all does the whole work on parts of a job and hands it back.
func (c *coater) all(id journal.JobID, run string, list ...journal.Subject) {
	c.opens(id)
	for _, p := range list {
		if p.Job() == id {
			c.takesOff(p)
		}
	}
	c.prepares(run, list...)
	c.powders(run, list...)
	c.bakes(run, nil, list...)
	c.measures(list...)
	c.handsBack(id)
}

// rows are those of a job, each by its part and coat.
func (c *coater) rows(id journal.JobID) map[string]parts.Row {
	c.tb.Helper()
	shop := c.book.Shop()
	list := make(map[string]parts.Row)
	for _, r := range facts.StockOf(shop).Coats(shop.Job(id)) {
		list[strings.TrimPrefix(string(r.Subject()), "job/"+string(id)+"/corner/")+" "+r.Get(parts.Coat).String()] = r
	}
	return list
}

var lf, rf = journal.About(job, "LF", "caliper"), journal.About(job, "RF", "caliper")

const lfRow, rfRow = "LF/part/caliper 1", "RF/part/caliper 1"

// coated are stories of coats, each with the rows that they come to and what
// stands in them: "-" is absent.
func coated() []story {
	pinhole := parts.Defect(string(journal.Pinhole))
	peel := parts.Defect(string(journal.OrangePeelLook))
	return []story{
		{"a front pair, handed back", func(c *coater) { c.all(job, "1", lf, rf) }, job, says{
			lfRow: {
				parts.Part: string(lf), parts.Job: string(job), parts.Coat: "1", parts.Date: "2026-03-02", parts.Casting: "S-LFcaliper", parts.Pattern: "K17", parts.What: "caliper", parts.Metal: "iron",
				parts.Corner: "LF", parts.Source: "off the vehicle", parts.CoatsBefore: "0", parts.HeatMinutes: "30",
				parts.Degreaser: "alkaline bath", parts.BlastMedia: "glass bead", parts.BlastBar: "4", parts.MediaHours: "0", parts.BlastToPowder: "2",
				parts.SoakMetal: "210", parts.SoakOverBake: "10", parts.SoakMinutes: "30", parts.SoakToPowder: "1",
				parts.PowderLot: "so-118", parts.Chemistry: "polyester/HAA", parts.Colour: "orange", parts.OpenedDays: "10", parts.Reclaimed: "20", parts.Air: "21", parts.Humidity: "44",
				parts.DewMargin: "19.7", parts.FilterDays: "11", parts.Charge: "60", parts.Earth: "0.4", parts.Person: "MK", parts.Weekday: "Monday", parts.Rack: "A", parts.Hook: "1",
				parts.Bake: "bake-1", parts.Oven: "ov-1", parts.Place: "door, low", parts.BakePeak: "200", parts.Schedule: "1.39", parts.Film: "81", parts.CardEdition: "caliper 2",
				parts.Looked: "yes", pinhole: "no", peel: "no", parts.Reworked: "no", parts.HandedBack: "2026-03-02",
				parts.Seen: "-", parts.Face: "-", parts.Cause: "-", parts.CauseKnown: "-", parts.FilmAtDefect: "-", parts.DaysToDefect: "-", parts.DaysFollowed: "-",
			},
			rfRow: {parts.Hook: "2", parts.BakePeak: "-", parts.SoakOverBake: "10", parts.Schedule: "-", parts.Film: "81", pinhole: "no"}, // no probe on it
		}},
		{"a bake with a probe that stands for the other part", func(c *coater) {
			c.opens(job)
			c.takesOff(lf, rf)
			c.powders("1", lf, rf)
			c.bakes("1", []journal.Subject{rf}, lf, rf)
		}, job, says{
			lfRow: {parts.Schedule: "1.39", parts.Looked: "no", pinhole: "-", parts.Reworked: "-", parts.HandedBack: "-", parts.SoakMinutes: "-", parts.BlastMedia: "-", parts.Film: "-"},
			rfRow: {parts.Schedule: "1.39", parts.BakePeak: "-"},
		}},
		{"stripped and coated again", func(c *coater) {
			c.coatsTwice(job, lf)
		}, job, says{
			lfRow: {parts.CoatsBefore: "0", parts.Looked: "yes", pinhole: "yes", peel: "no", parts.Seen: "after bake", parts.Face: "upper boss", parts.Cause: string(journal.Moisture), parts.CauseKnown: string(journal.CauseSeen),
				parts.FilmAtDefect: "91", parts.Reworked: "yes", parts.HandedBack: "-", parts.Bake: "bake-1"},
			"LF/part/caliper 2": {parts.CoatsBefore: "1", pinhole: "no", parts.Reworked: "no", parts.HandedBack: "2026-03-02", parts.Bake: "bake-2", parts.Film: "-"},
		}},
		{"stripped, and not coated again", func(c *coater) {
			c.opens(job)
			c.takesOff(lf)
			c.powders("1", lf)
			c.bakes("1", nil, lf)
			c.finds(lf)
			c.handsBack(job)
		}, job, says{lfRow: {pinhole: "yes", parts.HandedBack: "-"}}},
		{"blasted twice before the bake", func(c *coater) {
			c.opens(job)
			c.takesOff(lf)
			c.prepares("1", lf)
			c.blasts("2", lf)
			c.powders("1", lf)
			c.bakes("1", nil, lf)
		}, job, says{lfRow: {parts.BlastToPowder: "1", parts.SoakToPowder: "2"}}},
		{"work on the part that came only after the powder had no part in it", func(c *coater) {
			c.opens(job)
			c.takesOff(lf)
			c.powders("1", lf)
			c.prepares("1", lf)
		}, job, says{lfRow: {parts.Degreaser: "-", parts.BlastMedia: "-", parts.BlastToPowder: "-", parts.SoakMinutes: "-", parts.Bake: "-", parts.Looked: "no"}}},
		{"a part that is not coated", func(c *coater) {
			c.opens(job)
			c.takesOff(lf, rf)
			c.prepares("1", lf)
			c.measures(rf)
			c.handsBack(job)
		}, job, says{}},
		{"a defect before the bake", func(c *coater) {
			c.opens(job)
			c.takesOff(lf)
			c.powders("1", lf)
			c.does(lf, pore(journal.BeforeBake))
		}, job, says{lfRow: {parts.Looked: "no", pinhole: "yes", peel: "-", parts.Seen: "before bake"}}},
		{"scrapped, and another casting in its place", func(c *coater) {
			spare := journal.About(job, "LF", "caliper-2")
			c.opens(job)
			c.takesOff(lf)
			c.powders("1", lf)
			c.bakes("1", nil, lf)
			of := c.does(lf, pore(journal.AfterBake))
			c.does(lf, &journal.Rework{Of: of, Decision: journal.ScrapPart, Reason: "porous"})
			c.does(spare, &journal.Tagging{Tag: "T2", Number: "S-9", Metal: journal.Iron})
			c.powders("2", spare)
			c.bakes("2", nil, spare)
			c.handsBack(job)
		}, job, says{
			lfRow:                 {pinhole: "yes", parts.HandedBack: "-", parts.DaysFollowed: "-", parts.Reworked: "no"},
			"LF/part/caliper-2 1": {pinhole: "no", parts.Source: "put in for another", parts.What: "caliper", parts.Casting: "S-9", parts.CoatsBefore: "0", parts.HandedBack: "2026-03-02"},
		}},
		{"the customer was rung and not reached", func(c *coater) {
			c.all(job, "1", lf)
			c.days(14)
			c.reaches(job, false)
		}, job, says{lfRow: {parts.DaysFollowed: "-", parts.DaysToDefect: "-"}}},
		{"the customer was reached twice", func(c *coater) {
			c.all(job, "1", lf)
			c.days(14)
			c.reaches(job, true)
			c.days(100)
			c.reaches(job, true)
		}, job, says{lfRow: {parts.DaysFollowed: "114", parts.DaysToDefect: "-", pinhole: "no"}}},
		{"a late defect, found when the car came back", lateDefect, job, says{
			lfRow: {pinhole: "yes", parts.Seen: "after handover", parts.DaysToDefect: "200", parts.DaysFollowed: "200", parts.CoatsBefore: "0", parts.Reworked: "no"},
		}},
		{"and the coat that the casting got then", lateDefect, laterJob, says{
			lfRow: {pinhole: "no", parts.CoatsBefore: "1", parts.HeatMinutes: "75", parts.Casting: "S-LFcaliper", parts.Seen: "-", parts.DaysToDefect: "-"},
		}},
		{"a late defect after another coat is of that one", func(c *coater) {
			c.all(job, "1", lf)
			c.days(200)
			c.all(laterJob, "2", journal.About(laterJob, "LF", "caliper"))
			c.days(100)
			c.does(journal.About(laterJob, "LF", "caliper"), pore(journal.AfterHandover))
		}, job, says{lfRow: {pinhole: "no", parts.DaysToDefect: "-", parts.DaysFollowed: "200"}}},
		{"struck and corrected", func(c *coater) {
			c.opens(job)
			c.takesOff(lf)
			c.powders("1", lf)
			c.bakes("1", nil, lf)
			c.measures(lf)
			of := c.does(lf, pore(journal.AfterBake))
			c.does(lf, &journal.Correction{Of: of, Reason: "a speck of dust"})
			coat := c.powders("2", lf)
			c.does("run/coat-2", &journal.Correction{Of: coat, Reason: "another rack"})
		}, job, says{lfRow: {pinhole: "no", parts.Face: "-", parts.Looked: "yes"}}},
		{"a run that was corrected to another part", func(c *coater) {
			c.opens(job)
			c.takesOff(lf, rf)
			coat := c.powders("1", lf)
			data, err := journal.MarshalPayload(&journal.Coating{Rack: journal.Rack{Parts: []journal.Subject{rf}}, Lot: "so-119", Coat: 1})
			if err != nil {
				c.tb.Fatal(err)
			}
			c.does("run/coat-1", &journal.Correction{Of: coat, Reason: "the other side", Data: data})
		}, job, says{rfRow: {parts.PowderLot: "so-119", parts.Chemistry: "-", parts.Colour: "-", parts.OpenedDays: "-", parts.Air: "-", parts.Humidity: "-", parts.DewMargin: "-",
			parts.Charge: "-", parts.Earth: "-", parts.Reclaimed: "-", parts.Rack: "-", parts.Hook: "-", parts.Degreaser: "-", parts.BlastBar: "-", parts.MediaHours: "-", parts.SoakMetal: "-",
			parts.SoakOverBake: "-", parts.SoakToPowder: "-", parts.Oven: "-", parts.Place: "-"}}},
		{"a run over parts of two jobs, of one of which little is known", func(c *coater) {
			c.does(journal.About(laterJob, "", ""), &journal.Arrival{Agreed: true})
			c.does("tool/dry-1", &journal.Correction{Of: c.dryer, Reason: "it was the other dryer"})
			c.all(job, "1", lf, journal.About(laterJob, "LF", "caliper"))
		}, laterJob, says{lfRow: {parts.FilterDays: "-", parts.Bake: "bake-1", parts.Pattern: "-", parts.Metal: "-", parts.Casting: "-", parts.Source: "-", parts.CardEdition: "-", parts.HandedBack: "-", parts.Hook: "2"}}},
	}
}

func lateDefect(c *coater) {
	again := journal.About(laterJob, "LF", "caliper")
	c.all(job, "1", lf)
	c.days(200)
	c.opens(laterJob)
	c.takesOff(again)
	c.does(again, pore(journal.AfterHandover))
	c.prepares("2", again)
	c.powders("2", again)
	c.bakes("2", nil, again)
	c.measures(again)
	c.handsBack(laterJob)
}

// says is what rows have to say: by part and coat, column by column.
type says map[string]map[parts.Name]string

type story struct {
	what string
	does func(*coater)
	job  journal.JobID
	rows says
}

func TestCoats(t *testing.T) {
	filled, absent := make(map[parts.Name]bool), make(map[parts.Name]bool)
	for _, s := range coated() {
		t.Run(s.what, func(t *testing.T) {
			c := newCoater(t)
			s.does(c)
			rows := c.rows(s.job)
			if got, want := slices.Sorted(maps.Keys(rows)), slices.Sorted(maps.Keys(s.rows)); !slices.Equal(got, want) {
				t.Fatalf("there are the rows %q, want %q", got, want)
			}
			for name, columns := range s.rows {
				for column, want := range columns {
					got := rows[name].Get(column)
					if got.String() != strings.TrimPrefix(want, "-") {
						t.Errorf("%s, %s: %q, want %q", name, column, got, want)
					}
					filled[column] = filled[column] || got.Known()
					absent[column] = absent[column] || !got.Known()
				}
			}
		})
	}
	// Every column is asked for where it is and, but for the keys, where it is not.
	for _, c := range parts.Columns() {
		if _, defect := c.Name.Look(); defect && c.Name != parts.Defect(string(journal.Pinhole)) {
			continue // they are worked out alike
		}
		never := c.Role == parts.Key && c.Name != parts.Casting || slices.Contains([]parts.Name{parts.What, parts.Corner, parts.CoatsBefore, parts.HeatMinutes, parts.PowderLot, parts.Person, parts.Weekday, parts.Looked}, c.Name)
		if !filled[c.Name] || absent[c.Name] == never {
			t.Errorf("the stories ask for %s where it is: %v; where it is not: %v", c.Name, filled[c.Name], absent[c.Name])
		}
	}
}

func lengths(texts ...string) (list []unit.Length) {
	for _, text := range texts {
		list = append(list, measure[unit.Length](text))
	}
	return list
}
