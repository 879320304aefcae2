package shop_test

import (
	"context"
	"fmt"
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

	"pgregory.net/rapid"
)

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
		lost := newBranches()
		authors["lost"] = journaltest.NewAuthor("lost", watch, "lost"+fmt.Sprint(n))
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
			case 2: // with an id that another entry has
				if len(written) > 0 {
					e.ID = pick(t, written, "id of").ID
				}
			case 3: // having seen another history of a log
				if len(e.After) > 0 {
					e.After = slices.Clone(e.After)
					e.After[len(e.After)-1].Root[0]++
				}
			}
			raw, err := e.Encode()
			if err != nil {
				t.Fatal(err)
			}
			seen.wrote(device, raw)
			written = append(written, e)
			waiting = append(waiting, [2]any{device, raw})
			lost.wrote(device, raw)
			if rapid.IntRange(0, 5).Draw(t, "on a lost tablet") == 0 {
				e, err := authors["lost"].Write(draft(t, written))
				if err != nil {
					t.Fatal(err)
				}
				if raw, err = e.Encode(); err != nil {
					t.Fatal(err)
				}
				written = append(written, e)
				lost.wrote("lost", raw)
			}
		}
		s, idx := open(t, l, at)
		defer idx.Close()
		write(card, "hub")
		for range rapid.IntRange(1, 3).Draw(t, "batches") {
			for range rapid.IntRange(1, 12).Draw(t, "entries") {
				device := pick(t, few.devices, "device")
				d := draft(t, written)
				switch of := rapid.IntRange(0, 9).Draw(t, "takes over"); {
				case of < 2:
					d = lost.takeOver(t, d)
				case of == 2:
					d = lost.enrol(t, written)
				}
				write(d, device)
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
		held, st := stand(j, want, lates), v.Standing(j.ID)
		whole, own := standSays(t, held.Check(), held.Next(), held.Ignorance()), standSays(t, st.Verdicts, st.Next, st.Ignorance())
		if ids && whole != own {
			cautious(t, j.ID, held.Check(), st.Verdicts)
			continue
		}
		same(t, "job "+string(j.ID)+" where order is not known", whole, own)
	}
	sameParts(t, want, v)
	alike(t, want, v)
	everyLine(t, want, v)
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
func cautious(t *rapid.T, id journal.JobID, whole, own route.Verdicts) {
	t.Helper()
	states := make(map[string]route.State)
	for _, v := range whole.List {
		states[string(v.Hold)+" "+string(v.Subject)] = v.State
	}
	for _, v := range own.List {
		if want := states[string(v.Hold)+" "+string(v.Subject)]; v.State != want && v.State != route.InDoubt {
			t.Fatalf("hold %s of job %s, %s: %s by the fold of everything, %s by the shop", v.Hold, id, v.Subject, want, v.State)
		}
	}
}

// alike demands that a view says of jobs, runs and tools what the fold of
// everything says.
func alike(t fataler, want *record.Shop, v *shop.View) {
	t.Helper()
	for _, j := range want.Jobs {
		st := v.Standing(j.ID)
		if st == nil {
			t.Fatal(fmt.Sprintf("job %s is not in the shop (%v)", j.ID, v.Err()))
		}
		same(t, "job "+string(j.ID), jobSays(t, j, want), jobSays(t, st.Job, v.Case(journal.About(j.ID, "", "")).Shop))
	}
	for _, r := range want.Runs {
		got := v.Run(r.ID)
		if got == nil {
			t.Fatal(fmt.Sprintf("run %s is not in the shop (%v)", r.ID, v.Err()))
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

// everyLine demands that a view says of each line, found by its id, what the
// fold of everything says.
func everyLine(t fataler, want *record.Shop, v *shop.View) {
	t.Helper()
	for l := range want.All() {
		lines := v.Line(l.ID)
		i := slices.IndexFunc(lines, func(x *record.Line) bool { return x.Position() == l.Position() })
		if i < 0 && l.Kind == journal.ClockCompared {
			continue // readings are many, and looked at beside other entries only; another entry may have taken the id
		}
		if i < 0 {
			t.Fatal(fmt.Sprintf("%s by %s, %s: not in the shop (%v)", l.Kind, l.Device, l.Subject, v.Err()))
		}
		theirs, ours := *l, *lines[i]
		if l.Subject.Job() == "" && l.Subject.Run() == "" {
			theirs.Clocks.Offset, ours.Clocks.Offset = nil, nil // the register is kept without readings of clocks
		}
		same(t, fmt.Sprintf("line %s on %s", l.About, l.Subject), lineSays(t, &theirs), lineSays(t, &ours))
	}
}

// suppose demands that what is supposed of an entry before it arrives is what
// the fold of everything says with it.
func suppose(t *rapid.T, s *shop.Shop, l *logs, device journal.DeviceID, raw []byte) {
	t.Helper()
	e, err := journal.Decode(raw)
	if err != nil || slices.Contains([]journal.Kind{journal.LogsClosed, journal.LogsParted, journal.LogsNoted, journal.DeviceEnrolled}, e.Type.Kind) { // which put others in order anew, or prove them
		return
	}
	whole := record.NewBook(by)
	for _, e := range l.all() {
		whole.Add(e)
	}
	id := e.ID
	if p, _ := e.Payload(); p != nil {
		if q, quotes := p.(*journal.TakenOver); quotes {
			if e, err := q.Quoted(); err == nil {
				id = e.ID // by which it is known from then on
			}
		}
	}
	if id == e.ID && len(whole.Shop().Line(id)) > 0 {
		return // what a device supposes gets an id that nothing has
	}
	for line := range whole.Shop().All() {
		if line.Waits != nil || strings.Contains(string(line.Data), id.String()) {
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
