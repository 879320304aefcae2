package shop_test

import (
	"context"
	"fmt"
	"io"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/shop"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"pgregory.net/rapid"
)

// words are few, so that histories meet in them.
type words struct {
	jobs    []journal.JobID
	runs    []journal.RunID
	marks   []string
	plates  []string
	vins    []string
	tools   []journal.ToolID
	lots    []journal.LotID
	devices []journal.DeviceID
	people  []journal.PersonID
}

var few = words{
	jobs: []journal.JobID{"j0b00001", "j0b00002", "j0b00003"}, runs: []journal.RunID{"bake-1", "bake-2"},
	marks: []string{"4R-17", "4r 17", "8K", ""}, plates: []string{"AB 1", "ab-1", "CD 2", ""}, vins: []string{"", "", "ZZZ11AAA0A0000001", "ZZZ11AAA0A0000002"},
	tools: []journal.ToolID{"tw-1", "tw-2"}, lots: []journal.LotID{"pw-1"}, devices: []journal.DeviceID{"hub", "bench-1", "bench-2"},
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
	switch rapid.IntRange(0, 33).Draw(t, "kind") {
	case 0, 1:
		return one(about, &journal.Job{Vehicle: journal.Vehicle{VIN: pick(t, few.vins, "vin"), Plate: pick(t, few.plates[:3], "plate"), Looks: "grey"}, Corners: []journal.Corner{"LF"}, Route: "caliper", Edition: 1})
	case 2:
		return one(part(t), &journal.Removal{})
	case 3, 4:
		return one(part(t), &journal.Tagging{Tag: pick(t, []string{"A1", "A2"}, "tag"), Mark: pick(t, few.marks, "mark"), Metal: journal.Iron})
	case 5:
		return one(part(t), &journal.Masking{Features: []journal.Item{{What: "bore", Count: 1}}, Plugs: rapid.IntRange(0, 3).Draw(t, "plugs")})
	case 6:
		return one(run, &journal.Coating{Rack: rack, Lot: pick(t, few.lots, "lot"), Coat: 1})
	case 7:
		return one(run, &journal.BakeStart{Rack: rack, Set: quantity[unitTemperature]("190 °C"), Probes: []journal.Probe{{Channel: "1", Place: "ear", On: rack.Parts[0], Tool: pick(t, few.tools, "tool")}}})
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
	case 25:
		if len(written) < 2 {
			return one(about, &journal.Remark{Evidence: journal.Evidence{Note: "first"}})
		}
		a, b := pick(t, written, "first"), pick(t, written, "then")
		if a == b {
			return one(about, &journal.Remark{Evidence: journal.Evidence{Note: "one entry only"}})
		}
		return journal.Draft{Subject: about, By: a.By, Data: &journal.OrderStatement{First: a.ID, Then: b.ID, How: "they stood beside each other"}}
	case 22:
		return one("shop/k7m2q4xw", &journal.Withdrawal{Photo: journaltest.Picture(pick(t, []string{"one", "two"}, "picture")).Ref, Reason: "a face"})
	case 23:
		d := pick(t, few.devices[1:], "device")
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
		p.Mark = pick(t, few.marks, "mark")
	case *journal.Torque:
		p.Tool, p.Count = pick(t, few.tools, "tool"), 4
	case *journal.Coating:
		p.Parts = []journal.Subject{part(t)}
	case *journal.BakeStart:
		p.Parts = []journal.Subject{part(t)}
		p.Probes = nil
	case *journal.Correction:
		p.Reason = "slipped again"
	}
	raw, err := journal.MarshalPayload(p)
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

// The incremental shop, a shop on a new index, and the fold of everything say
// the same of every job, run and vehicle, byte for byte, whatever arrives in
// whatever order.
func TestOracle(t *testing.T) {
	dir := t.TempDir()
	n := 0
	rapid.Check(t, func(t *rapid.T) {
		n++
		at := fmt.Sprintf("%s/%d", dir, n)
		if err := os.Mkdir(at, 0o700); err != nil {
			t.Fatal(err)
		}
		l := newLogs()
		watch := journaltest.NewWatch(journaltest.Morning())
		authors := make(map[journal.DeviceID]*journaltest.Author)
		for _, d := range few.devices {
			authors[d] = journaltest.NewAuthor(d, watch, string(d)+fmt.Sprint(n))
		}
		card := journal.Draft{Subject: "route/caliper", By: "io", Data: published(t)}
		var written []*journal.Entry
		var waiting [][2]any // device and bytes that are on their way
		seen := newSeen()
		write := func(d journal.Draft, device journal.DeviceID) {
			if rapid.Bool().Draw(t, "in touch") {
				seen.meet(device, pick(t, few.devices, "with"))
			}
			authors[device].After = seen.after(device)
			watch.Advance(time.Duration(rapid.IntRange(-30, 90).Draw(t, "passed")) * time.Second)
			if rapid.IntRange(0, 9).Draw(t, "closed for a week") == 0 {
				watch.Advance(9 * 24 * time.Hour)
			}
			e, err := authors[device].Write(d)
			if err != nil {
				t.Fatalf("%+v: %v", d, err)
			}
			switch rapid.IntRange(0, 15).Draw(t, "lies") {
			case 0: // in a name that may be another's
				e.Source.Device = pick(t, few.devices, "in the name of")
			case 1: // with an id that falls
				e.ID[4]--
			}
			raw, err := e.Encode()
			if err != nil {
				t.Fatal(err)
			}
			seen.wrote(device, raw)
			written = append(written, e)
			waiting = append(waiting, [2]any{device, raw})
		}
		s, idx := open(t, l, at)
		defer idx.Close()
		write(card, "hub")
		for range rapid.IntRange(1, 3).Draw(t, "batches") {
			for range rapid.IntRange(1, 12).Draw(t, "entries") {
				device := pick(t, few.devices, "device")
				write(draft(t, written), device)
				if rapid.IntRange(0, 15).Draw(t, "garbled") == 0 {
					garbage := fmt.Appendf(nil, "no entry at all, %d", len(written))
					seen.wrote(device, garbage)
					waiting = append(waiting, [2]any{device, garbage})
				}
			}
			// Of each log in order, but any log before another, and some later.
			device := pick(t, few.devices, "first")
			for pass := range 2 {
				var rest [][2]any
				for _, w := range waiting {
					if (w[0] == device) == (pass == 0) && (pass == 0 || rapid.IntRange(0, 3).Draw(t, "held back") > 0 || rapid.Bool().Draw(t, "all")) && !blocked(rest, w[0]) {
						l.arrive(w[0].(journal.DeviceID), w[1].([]byte))
					} else {
						rest = append(rest, w)
					}
				}
				waiting = rest
			}
			if rapid.Bool().Draw(t, "signed") {
				l.countersign(pick(t, few.devices, "signed device"), watch.Now().Truncate(time.Second))
			}
			if err := s.Follow(context.Background()); err != nil {
				t.Fatal(err)
			}
			compare(t, s, l)
			if len(waiting) > 0 {
				suppose(t, s, l, waiting[0][0].(journal.DeviceID), waiting[0][1].([]byte))
			}
		}
		again, idx2 := open(t, l, fresh(t, at))
		defer idx2.Close()
		if err := again.Follow(context.Background()); err != nil {
			t.Fatal(err)
		}
		compare(t, again, l)
	})
}

// seen is how much of each other's logs devices hold.
type seen struct {
	trees map[journal.DeviceID][][32]byte // the roots at each size
	logs  map[journal.DeviceID]*proof.Tree
	held  map[journal.DeviceID]map[journal.DeviceID]int64
}

func newSeen() *seen {
	s := &seen{trees: make(map[journal.DeviceID][][32]byte), logs: make(map[journal.DeviceID]*proof.Tree), held: make(map[journal.DeviceID]map[journal.DeviceID]int64)}
	for _, d := range few.devices {
		s.logs[d], s.held[d] = new(proof.Tree), make(map[journal.DeviceID]int64)
		s.trees[d] = [][32]byte{{}}
	}
	return s
}

func (s *seen) wrote(device journal.DeviceID, raw []byte) {
	s.logs[device].Append(raw)
	s.trees[device] = append(s.trees[device], s.logs[device].Root())
	s.held[device][device]++
}

// meet has a device fetch all that another one holds.
func (s *seen) meet(device, other journal.DeviceID) {
	for d, n := range s.held[other] {
		s.held[device][d] = max(s.held[device][d], n)
	}
}

func (s *seen) after(device journal.DeviceID) (list journal.After) {
	for _, d := range slices.Sorted(maps.Keys(s.held[device])) {
		if n := s.held[device][d]; d != device && n > 0 {
			root := s.trees[d][n]
			list = append(list, journal.Prefix{Device: d, Size: n, Root: [16]byte(root[:16])})
		}
	}
	return list
}

func blocked(rest [][2]any, device any) bool {
	return slices.ContainsFunc(rest, func(r [2]any) bool { return r[0] == device })
}

func fresh(t *rapid.T, at string) string {
	dir := at + "/again"
	if err := os.Mkdir(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	return dir
}

func published(t *rapid.T) journal.Payload {
	text, err := card.Supplied("caliper")
	if err != nil {
		t.Fatal(err)
	}
	return &journal.RouteCard{Route: "caliper", Edition: 1, Text: text}
}

func compare(t *rapid.T, s *shop.Shop, l *logs) {
	t.Helper()
	whole := record.NewBook(by)
	for _, e := range l.all() {
		whole.Add(e)
	}
	want := whole.Shop()
	var lates []*record.Shop
	for late := range whole.Lates(nil) {
		lates = append(lates, late.Shop())
	}
	ids := slices.ContainsFunc(l.all(), byID)
	v := s.View(context.Background())
	for _, j := range want.Jobs {
		whole, own := stand(j, want, lates), v.Standing(j.ID)
		if ids && standSays(t, whole) != standSays(t, own) {
			cautious(t, j.ID, whole, own)
			continue
		}
		same(t, "job "+string(j.ID)+" where order is not known", standSays(t, whole), standSays(t, own))
	}
	alike(t, want, v)
	for _, c := range want.Vehicles {
		got, jobs := v.Vehicle(c.Key)
		if got == nil || len(jobs) != len(c.Jobs) {
			t.Fatalf("vehicle %s has %d jobs, not %d (%v)", c.Key, len(jobs), len(c.Jobs), v.Err())
		}
		same(t, "vehicle "+string(c.Key), recordSays(t, c), recordSays(t, got))
	}
	for _, word := range []string{"grey", "banjo", "slip"} {
		for _, m := range v.Words(word, 20) {
			for _, l := range want.Line(m.Line.ID) {
				if l.Position() == m.Line.Position() {
					same(t, "line "+string(l.About), lineSays(t, l), lineSays(t, m.Line))
				}
			}
		}
	}
	if v.Err() != nil {
		t.Fatal(v.Err())
	}
}

// byID reports whether an entry says nothing of what its writer had seen, as
// those of earlier programs.
func byID(l journal.Logged) bool {
	e, err := journal.Decode(l.Bytes)
	return err == nil && len(e.After) == 0
}

// cautious allows a job that is folded alone to be in doubt where the fold of
// everything is not: where ids decide, an entry of another job can stand between
// two that know nothing of each other. It is never the other way round.
func cautious(t *rapid.T, id journal.JobID, whole, own *shop.Standing) {
	t.Helper()
	states := make(map[string]route.State)
	for _, v := range whole.Verdicts.List {
		states[string(v.Hold)+" "+string(v.Subject)] = v.State
	}
	for _, v := range own.Verdicts.List {
		if want := states[string(v.Hold)+" "+string(v.Subject)]; v.State != want && v.State != route.InDoubt {
			t.Fatalf("hold %s of job %s, %s: %s by the fold of everything, %s by the shop", v.Hold, id, v.Subject, want, v.State)
		}
	}
}

// alike demands that a view says of jobs, runs and tools what the fold of
// everything says.
func alike(t *rapid.T, want *record.Shop, v *shop.View) {
	t.Helper()
	for _, j := range want.Jobs {
		st := v.Standing(j.ID)
		if st == nil {
			t.Fatalf("job %s is not in the shop (%v)", j.ID, v.Err())
		}
		same(t, "job "+string(j.ID), jobSays(t, j, want), jobSays(t, st.Job, v.Case(journal.About(j.ID, "", "")).Shop))
	}
	for _, r := range want.Runs {
		got := v.Run(r.ID)
		if got == nil {
			t.Fatalf("run %s is not in the shop (%v)", r.ID, v.Err())
		}
		same(t, "run "+string(r.ID), runSays(r), runSays(got))
	}
	now := journaltest.Morning().AddDate(0, 0, 1)
	for _, tool := range want.Tools {
		id := tool.ID
		same(t, "tool "+string(id), fmt.Sprintf("%+v", toolSays(facts.StockOf(want).ToolNow(id, now))), fmt.Sprintf("%+v", toolSays(v.Stock().ToolNow(id, now))))
	}
	if v.Err() != nil {
		t.Fatal(v.Err())
	}
}

// suppose demands that what is supposed of an entry before it arrives is what
// the fold of everything says with it.
func suppose(t *rapid.T, s *shop.Shop, l *logs, device journal.DeviceID, raw []byte) {
	t.Helper()
	e, err := journal.Decode(raw)
	if err != nil || e.Type.Kind == journal.LogsClosed || e.Type.Kind == journal.LogsNoted { // which put others in order anew
		return
	}
	whole := record.NewBook(by)
	for _, e := range l.all() {
		whole.Add(e)
	}
	for line := range whole.Shop().All() {
		if line.Waits != nil || strings.Contains(string(line.Data), e.ID.String()) {
			return // perhaps for this: nobody has seen an entry that is only supposed
		}
	}
	l.supposed = journal.Logged{Position: journal.Position{Device: device, Index: int64(len(l.held[device]))}, Bytes: raw}
	whole.Add(l.supposed)
	v, _, err := s.Suppose(context.Background(), journal.Draft{})
	if err != nil {
		t.Fatal(err)
	}
	alike(t, whole.Shop(), v)
}

// lineSays is what a line says without its job.
func lineSays(t *rapid.T, line *record.Line) string {
	l := *line
	l.Flags = slices.DeleteFunc(slices.Clone(l.Flags), func(f record.Flag) bool {
		return f == record.JobTwice || f == record.AfterHandover || f == record.CustomerErased
	})
	raw, err := json.Marshal(&l, json.Deterministic(true))
	if err != nil {
		t.Fatal(err)
	}
	return string(raw)
}

func toolSays(s facts.ToolState) any { return []any{s.ID, s.Uses, s.Doubt, s.Due, s.Result} }

func jobSays(t *rapid.T, j *record.Job, in *record.Shop) string {
	by, err := route.Pinned(new(card.Shelf), j, in)
	if err != nil {
		by = nil
	}
	held := route.Hold(by, j, facts.StockOf(in))
	said, err := json.Marshal([]any{held.Check(), held.Next(), held.Ignorance(), route.FollowUps(by, j, journaltest.Morning())}, json.Deterministic(true))
	if err != nil {
		t.Fatal(err)
	}
	return string(said) + "\n" + recordSays(t, j)
}

// recordSays is the record of a job or of a vehicle with all its jobs.
func recordSays(t *rapid.T, of interface {
	JSON(record.Options) ([]byte, error)
	WriteText(io.Writer, record.Options) error
}) string {
	o := record.Options{Receipts: true, Clocks: true}
	raw, err := of.JSON(o)
	if err != nil {
		t.Fatal(err)
	}
	var text strings.Builder
	if err := of.WriteText(&text, o); err != nil {
		t.Fatal(err)
	}
	return string(raw) + "\n" + text.String()
}

// stand holds a job against its card by the fold of everything in every order.
func stand(j *record.Job, in *record.Shop, lates []*record.Shop) *shop.Standing {
	by, err := route.Pinned(new(card.Shelf), j, in)
	if err != nil {
		by = nil
	}
	held := route.Hold(by, j, facts.StockOf(in))
	for _, late := range lates {
		if other := late.Job(j.ID); other != nil {
			held.Late(route.Hold(by, other, facts.StockOf(late)))
		}
	}
	return &shop.Standing{Next: held.Next(), Verdicts: held.Check(), Ignorance: held.Ignorance()}
}

func standSays(t *rapid.T, st *shop.Standing) string {
	raw, err := json.Marshal([]any{st.Verdicts, st.Next, st.Ignorance}, json.Deterministic(true))
	if err != nil {
		t.Fatal(err)
	}
	return string(raw)
}

func runSays(r *record.Run) string {
	var ids []journal.EntryID
	for _, l := range r.Lines {
		ids = append(ids, l.ID)
	}
	var jobs []string
	for _, j := range r.Jobs {
		jobs = append(jobs, fmt.Sprint(j.ID, j.State))
	}
	slices.Sort(jobs)
	return fmt.Sprint(r.What, r.Parts, r.Lots, ids, jobs)
}

// same compares and shows where two texts part.
func same(t *rapid.T, what, want, got string) {
	t.Helper()
	if want == got {
		return
	}
	i := 0
	for i < len(want) && i < len(got) && want[i] == got[i] {
		i++
	}
	from := max(0, i-300)
	t.Fatalf("%s: the fold of everything says\n…%s\nand the shop says\n…%s", what, want[from:min(len(want), i+900)], got[from:min(len(got), i+900)])
}
