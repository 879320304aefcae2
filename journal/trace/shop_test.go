package trace_test

import (
	"fmt"
	"log/slog"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/shop"
	"fettlebook/journal/sqlitelog"
	"fettlebook/journal/trace"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/worktest"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

func TestMain(m *testing.M) {
	journaltest.Roomy()
	m.Run()
}

// works is a shop in which three cars share some things and not others.
type works struct {
	*testing.T
	watch *journaltest.Watch
	log   *sqlitelog.DB
	shop  *shop.Shop
	ids   map[string]journal.EntryID // of entries that were given a name
	view  *shop.View                 // nil until somebody looks
}

const seed = "traced"

func newWorks(t *testing.T) *works {
	t.Helper()
	w := &works{T: t, watch: journaltest.NewWatch(journaltest.Morning()), ids: make(map[string]journal.EntryID)}
	var err error
	if w.log, err = worktest.Open(t.Context(), filepath.Join(t.TempDir(), "journal.db"), seed, w.watch); err != nil {
		t.Fatal(err)
	}
	idx, _, err := index.Open(t.Context(), filepath.Join(t.TempDir(), "index.db"), slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = idx.Close()
		_ = w.log.Close()
	})
	w.shop = shop.Open(journal.Authority{Shop: worktest.Shop, Hub: worktest.Office}, w.log, idx, slog.New(slog.DiscardHandler))
	return w
}

// does writes an entry, a minute after the last one; a name makes it citable.
func (w *works) does(about journal.Subject, by journal.PersonID, data journal.Payload, name ...string) journal.EntryID {
	w.Helper()
	w.watch.Advance(time.Minute)
	e, err := w.log.Append(w.Context(), journal.Draft{Subject: about, By: by, Data: data})
	if err != nil {
		w.Fatal(err)
	}
	for _, n := range name {
		w.ids[n] = e.ID
	}
	w.view = nil
	return e.ID
}

// corrects puts something else in the place of an entry, or nothing.
func (w *works) corrects(about journal.Subject, of string, instead journal.Payload) {
	w.Helper()
	c := &journal.Correction{Of: w.ids[of], Reason: "a slip"}
	if instead != nil {
		raw, err := json.Marshal(instead)
		if err != nil {
			w.Fatal(err)
		}
		c.Data = jsontext.Value(raw)
	}
	w.does(about, "mk", c)
}

// days lets days pass.
func (w *works) days(n int) { w.watch.Advance(time.Duration(n) * 24 * time.Hour) }

// looks is the shop as it is now, all summaries up to date.
func (w *works) looks() *shop.View {
	w.Helper()
	if w.view == nil {
		if err := w.shop.CatchUp(w.Context()); err != nil {
			w.Fatal(err)
		}
		w.view = w.shop.View(w.Context())
		w.view.Parts()
	}
	if err := w.view.Err(); err != nil {
		w.Fatal(err)
	}
	return w.view
}

func (w *works) traces(term string, o trace.Options) *trace.Trace {
	w.Helper()
	t := trace.Of(w.looks(), term, o)
	if err := w.view.Err(); err != nil {
		w.Fatal(err)
	}
	return t
}

// card writes a customer's card and returns how it is cited.
func (w *works) card(of string, d journal.Details) *journal.Citation {
	w.Helper()
	c, err := journal.NewCard(journal.CardID(of), d, journaltest.Rand(of))
	if err != nil {
		w.Fatal(err)
	}
	commitment, err := c.Commitment()
	if err != nil {
		w.Fatal(err)
	}
	c.Written = w.does(journal.Of("card", of), "io", &journal.CardWriting{Card: c.Card, Commitment: commitment})
	if err := w.log.SaveCard(w.Context(), journal.CardState{Card: c, Changed: c.Written}); err != nil {
		w.Fatal(err)
	}
	return &journal.Citation{Card: c.Card, Commitment: commitment}
}

func measure[Q interface{ unit.Of[D] }, D unit.Dimension](text string) Q {
	quantity, err := unit.Parse[Q](text)
	if err != nil {
		panic(err)
	}
	return quantity
}

// The jobs of the three cars, the third of which is the first car again.
const (
	one   journal.JobID = "j0b00001"
	two   journal.JobID = "j0b00002"
	three journal.JobID = "j0b00003"
	again journal.JobID = "j0b00004"
)

func caliper(job journal.JobID) journal.Subject { return journal.About(job, "LF", "caliper") }

func rack(parts ...journal.Subject) journal.Rack { return journal.Rack{Parts: parts} }

// stocked is a shop with its shelf, and no car yet.
func stocked(t *testing.T) *works {
	t.Helper()
	w := newWorks(t)
	w.does("person/io", "io", &journal.Person{Person: "io", Initials: "IO"})
	w.does("person/mara", "io", &journal.Person{Person: "mara", Initials: "MK", Card: w.card("cardmara", journal.Details{Name: "Mara Kessel"}).Card})
	for _, lot := range []journal.LotID{"so-118", "so-119"} {
		w.does(journal.Of("lot", string(lot)), "io", &journal.PowderLot{Lot: lot, Chemistry: journal.PolyesterHAA, Colour: map[journal.LotID]string{"so-118": "signal orange", "so-119": "moss green"}[lot],
			Schedule: []journal.BakePoint{{Metal: measure[unit.Temperature]("180 °C"), Hold: measure[unit.Duration]("10 min")}}})
	}
	w.does("kit/ks-7", "io", &journal.Kit{Kit: "ks-7", Contents: []journal.Item{{What: "dust boot", Count: 2}}, Batch: "2604"})
	w.does("fluid/can-3", "io", &journal.FluidContainer{Fluid: "can-3", Grade: journal.DOT4})
	w.does("tool/tw-1", "io", &journal.Tool{Tool: "tw-1", What: journal.TorqueWrench, Serial: "0418-B", Low: measure[unit.Torque]("5 N.m"), High: measure[unit.Torque]("60 N.m")})
	w.does("tool/ov-1", "io", &journal.Tool{Tool: "ov-1", What: journal.Oven})
	w.does("tool/tw-1", "io", &journal.ToolCheck{Tool: "tw-1", Result: journal.InTolerance, Certificate: "K-1"})
	return w
}

// comes opens a job, takes its caliper off and tags it.
func (w *works) comes(job journal.JobID, v journal.Vehicle, customer *journal.Citation, tag journal.Tagging) {
	w.Helper()
	w.does(journal.About(job, "", ""), "io", &journal.Job{Vehicle: v, Customer: customer, Corners: []journal.Corner{"LF"}})
	w.does(caliper(job), "mara", &journal.Removal{})
	w.does(caliper(job), "mara", &tag)
}

// coats blasts, sprays and bakes a rack.
func (w *works) coats(run string, lot journal.LotID, parts ...journal.Subject) {
	w.Helper()
	w.does(journal.Of("run", "blast-"+run), "mara", &journal.Blasting{Rack: rack(parts...), Media: "glass bead"})
	w.does(journal.Of("run", "coat-"+run), "mara", &journal.Coating{Rack: rack(parts...), Lot: lot, Coat: 1, Metal: measure[unit.Temperature]("28 °C"), Air: measure[unit.Temperature]("21 °C"), Humidity: measure[unit.Ratio]("44 %")}, "coat-"+run)
	w.does(journal.Of("run", "bake-"+run), "mara", &journal.BakeStart{Rack: rack(parts...), Oven: "ov-1", Set: measure[unit.Temperature]("190 °C"), Probes: []journal.Probe{{Channel: "1", Place: "ear", On: parts[0]}}})
	w.does(journal.Of("run", "bake-"+run), "mara", &journal.ProbeTrace{Unit: journal.UnitCelsius, Seconds: "0 60 120 180 240 300 360 420 480 540 600 660", Channels: []journal.Channel{{Channel: "1", Readings: "185 185 185 185 185 185 185 185 185 185 185 185"}}})
}

// tightens tightens a joint of a job with the wrench.
func (w *works) tightens(job journal.JobID, name ...string) {
	w.Helper()
	w.does(journal.About(job, "LF", ""), "io", &journal.Torque{Joint: "banjo bolt", Torque: measure[unit.Torque]("27 N.m"), Tool: "tw-1", Count: 1}, name...)
}

func (w *works) handsBack(job journal.JobID) {
	w.does(journal.About(job, "", ""), "io", &journal.Release{})
}

// threeCars shares a bake of one and two, a lot of all, the wrench and a kit.
func threeCars(t *testing.T) *works {
	t.Helper()
	w := stocked(t)
	ada := w.card("cardada1", journal.Details{Name: "Ada Ferrous", Phone: "0555 0100"})
	w.comes(one, journal.Vehicle{VIN: "ZZZ11AAA0A0000001", Plate: "FB 501", Looks: "moss-green estate"}, ada, journal.Tagging{Tag: "A1", Number: "S-71", Pattern: "K71", Metal: journal.Iron})
	w.comes(two, journal.Vehicle{Plate: "FB 502"}, nil, journal.Tagging{Tag: "B1", Number: "S-80", Pattern: "K71", Metal: journal.Iron})
	w.coats("1", "so-118", caliper(one), caliper(two))
	w.does(caliper(one), "mara", &journal.Rebuild{Kits: []journal.KitID{"ks-7"}, NewParts: []journal.Item{{What: "dust boot", Count: 2}}})
	w.tightens(one, "tight one")
	w.does(journal.About(one, "LF", ""), "io", &journal.Bleed{Fluid: "can-3", Drawn: measure[unit.Volume]("200 mL"), Bubbles: journal.NoBubbles})
	w.handsBack(one)
	w.does("tool/tw-1", "io", &journal.ToolCheck{Tool: "tw-1", Result: journal.InTolerance, Certificate: "K-2"}, "second check")
	w.tightens(two, "tight two")
	w.handsBack(two)
	w.days(20)
	w.comes(three, journal.Vehicle{Plate: "KX 900"}, nil, journal.Tagging{Tag: "C1", Pattern: "K99", Metal: journal.Aluminium})
	w.coats("2", "so-118", caliper(three))
	w.tightens(three, "tight three")
	return w
}

// gist is what a trace is of, or which things fit.
func gist(t *trace.Trace) string {
	if t.Of != nil {
		return string(t.Of.Of)
	}
	var list []string
	for _, n := range t.Choices {
		list = append(list, string(n.Of))
	}
	return strings.Join(list, " | ")
}

// rightSays lists the vehicles of a trace.
func rightSays(t *trace.Trace) string {
	var list []string
	for _, v := range t.Right {
		list = append(list, fmt.Sprintf("%s %s", v.Name, map[bool]string{true: "away", false: "here"}[v.OnRoad()]))
	}
	return strings.Join(list, ", ")
}
