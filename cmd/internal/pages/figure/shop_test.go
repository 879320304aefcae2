package figure_test

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"log/slog"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/figure"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/shop"
	"fettlebook/journal/trade/unit"
)

// bench is a small shop with one log in memory.
type bench struct {
	tb     testing.TB
	watch  *journaltest.Watch
	author *journaltest.Author
	log    []journal.Logged
	folded *shop.Shop
}

const job = journal.JobID("4f7kk2m9")

func at(corner journal.Corner, part journal.PartID) journal.Subject {
	return journal.About(job, corner, part)
}

func q[Q interface{ unit.Of[D] }, D unit.Dimension](text string) Q {
	quantity, err := unit.Parse[Q](text)
	if err != nil {
		panic(err)
	}
	return quantity
}

// newBench has people, tools, a powder and a fluid on its register, and one job.
func newBench(tb testing.TB) *bench {
	b := &bench{tb: tb, watch: journaltest.NewWatch(journaltest.Morning())}
	b.author = journaltest.NewAuthor("office", b.watch, "figures")
	b.write("person/io", &journal.Person{Person: "io", Initials: "IO", Duties: []journal.Duty{"waive", "release"}})
	b.write("lot/so-118", &journal.PowderLot{
		Lot: "so-118", Chemistry: "polyester/HAA", Colour: "orange",
		Schedule: []journal.BakePoint{{Metal: q[unit.Temperature]("180 °C"), Hold: q[unit.Duration]("20 min")}, {Metal: q[unit.Temperature]("200 °C"), Hold: q[unit.Duration]("10 min")}},
	})
	b.write("fluid/bf-31", &journal.FluidContainer{Fluid: "bf-31", Grade: "DOT 4", UseBy: journal.Date(b.watch.Now().AddDate(0, 0, 30).Format(time.DateOnly))})
	b.write("tool/tw-1", &journal.Tool{Tool: "tw-1", What: "torque wrench", Low: q[unit.Torque]("40 N.m"), High: q[unit.Torque]("200 N.m"), Tolerance: q[unit.Ratio]("4 %")})
	b.write("tool/tw-1", &journal.ToolCheck{Tool: "tw-1", Result: "in tolerance", Due: "2027-09-30", Cycles: 800})
	b.write("spec/bracket", &journal.TorqueSpec{Spec: "bracket", Joint: "bracket bolts", Nominal: q[unit.Torque]("105 N.m"), Low: q[unit.Torque]("98 N.m"), High: q[unit.Torque]("112 N.m"), From: "maker's manual", Page: "4-17"})
	b.write(at("", ""), &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}, Corners: []journal.Corner{"LF", "RF"}})
	return b
}

// tagged adds castings to the job.
func (b *bench) tagged(metal journal.Metal, parts ...journal.Subject) {
	for _, p := range parts {
		b.write(p, &journal.Removal{})
		b.write(p, &journal.Tagging{Tag: strings.ReplaceAll(string(p.Corner())+"-"+string(p.Part()), " ", ""), Metal: metal})
	}
}

func (b *bench) encode(d journal.Draft) ([]byte, *journal.Entry) {
	b.tb.Helper()
	b.watch.Advance(time.Minute)
	raw, err := b.author.Encoded(d)
	if err != nil {
		b.tb.Fatal(err)
	}
	e, err := journal.Decode(raw)
	if err != nil {
		b.tb.Fatal(err)
	}
	return raw, e
}

func (b *bench) write(about journal.Subject, data journal.Payload) journal.EntryID {
	b.tb.Helper()
	return b.append(journal.Draft{Subject: about, By: "io", Data: data})
}

func (b *bench) append(d journal.Draft) journal.EntryID {
	b.tb.Helper()
	raw, e := b.encode(d)
	b.log = append(b.log, journal.Logged{Position: journal.Position{Device: "office", Index: int64(len(b.log))}, Bytes: raw})
	return e.ID
}

// The log as the pages read it.

func (b *bench) Heads(context.Context) ([]journal.Head, error) {
	return []journal.Head{{Device: "office", Size: int64(len(b.log))}}, nil
}

func (b *bench) Entries(_ context.Context, _ journal.DeviceID, from int64) iter.Seq2[journal.Logged, error] {
	return func(yield func(journal.Logged, error) bool) {
		for _, l := range b.log[from:] {
			if !yield(l, nil) {
				return
			}
		}
	}
}

func (b *bench) LastCountersigned(context.Context, journal.DeviceID) (journal.Countersigned, error) {
	return journal.Countersigned{}, nil
}

func (b *bench) Suppose(_ context.Context, d journal.Draft) (journal.Logged, error) {
	raw, err := b.author.Encoded(d)
	return journal.Logged{Position: journal.Position{Device: "office", Index: int64(len(b.log))}, Bytes: raw}, err
}

func (b *bench) Pick(_ context.Context, at []journal.Position) (list []journal.Logged, err error) {
	for _, p := range at {
		list = append(list, b.log[p.Index])
	}
	return list, nil
}

func (b *bench) RootAt(context.Context, journal.DeviceID, int64) (root [32]byte, err error) {
	return root, errors.New("there is only one log")
}

// live folds what is written.
func (b *bench) live() *live.Live {
	b.tb.Helper()
	if b.folded == nil {
		idx, _, err := index.Open(b.tb.Context(), filepath.Join(b.tb.TempDir(), "index.db"), slog.New(slog.DiscardHandler))
		if err != nil {
			b.tb.Fatal(err)
		}
		b.tb.Cleanup(func() { idx.Close() })
		b.folded = shop.Open(journal.Authority{Hub: "office"}, b, idx, slog.New(slog.DiscardHandler))
	}
	if err := b.folded.Follow(b.tb.Context()); err != nil {
		b.tb.Fatal(err)
	}
	return live.New(b.folded)
}

// supposed is what an entry comes to before it is stamped. It is written
// afterwards, and must come to the same then.
func (b *bench) supposed(about journal.Subject, data journal.Payload) figure.Figure {
	b.tb.Helper()
	b.watch.Advance(time.Minute)
	d := journal.Draft{Subject: about, By: "io", Data: data}
	snap, id, err := b.live().Suppose(b.tb.Context(), d)
	if err != nil {
		b.tb.Fatal(err)
	}
	before := figure.Of(snap, id)
	b.watch.Advance(-time.Minute)
	written := b.of(b.append(d))
	if !slices.Equal(before.Say, written.Say) || before.Chart != written.Chart {
		b.tb.Errorf("before: %s\nwritten: %s", said(before), said(written))
	}
	for _, row := range written.Table.Rows {
		if len(row) != len(written.Table.Head) {
			b.tb.Errorf("row %q under %q", row, written.Table.Head)
		}
	}
	return written
}

func (b *bench) of(id journal.EntryID) figure.Figure {
	b.tb.Helper()
	return figure.Of(b.live().View(b.tb.Context()), id)
}

// said is all that is said, a line for each sentence: "broken! text [rests]",
// the mark for what concerns safety.
func said(f figure.Figure) string {
	var b strings.Builder
	for _, s := range f.Say {
		fmt.Fprintf(&b, "%s%s %s [%s]\n", s.State, map[bool]string{true: "!"}[s.Safety], s.Text, s.Rests)
	}
	return b.String()
}

// says demands that each text is in what is said.
func says(tb testing.TB, f figure.Figure, texts ...string) {
	tb.Helper()
	all := said(f)
	for _, text := range texts {
		if !strings.Contains(all, text) {
			tb.Errorf("it does not say %q; it says\n%s", text, all)
		}
	}
}

func silent(tb testing.TB, f figure.Figure, texts ...string) {
	tb.Helper()
	all := said(f)
	for _, text := range texts {
		if strings.Contains(all, text) {
			tb.Errorf("it says %q in\n%s", text, all)
		}
	}
}
