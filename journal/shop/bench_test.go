//go:build unix

package shop_test

import (
	"context"
	"encoding/json"
	"errors"
	"io/fs"
	"log/slog"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/sqlitelog"
	"fettlebook/journal/worktest"
)

// BenchmarkShop measures the shop of a process on real-shaped histories, from
// small to large. One command prints it all:
//
//	FETTLEBOOK_BENCH_DIR=/tmp/bench FETTLEBOOK_BENCH_SIZES="10000 100000 1000000" \
//		go test ./journal/shop -run '^$' -bench Shop -benchtime 1x -timeout 2h
//
// The folder keeps histories and their indexes for the next run. A metric
// ending in -of-first is the value divided by that of the first size.
func BenchmarkShop(b *testing.B) {
	first := make(map[string]float64)
	for _, n := range sizes(b) {
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			m := &measuring{entries: n, first: first}
			for _, row := range []struct {
				name    string
				measure func(*measuring, *testing.B)
			}{
				{"rebuild", (*measuring).rebuild},
				{"append-to-visible", (*measuring).visible},
				{"supposed", (*measuring).supposed},
				{"holds", (*measuring).holds},
				{"start", (*measuring).start},
				{"search", (*measuring).search},
				{"parts", (*measuring).parts},
				{"study", (*measuring).study},
				{"trace", (*measuring).traced},
			} {
				b.Run(row.name, func(b *testing.B) {
					for b.Loop() {
						row.measure(m, b)
					}
				})
			}
		})
	}
}

const seed = "bench"

var authority = journal.Authority{Shop: worktest.Shop, Hub: worktest.Office}

// process is what a process opens to serve a folder.
type process struct {
	log   *sqlitelog.DB
	index *index.DB
	shop  *shop.Shop
}

// open opens a folder long after the last entry was written.
func openProcess(ctx context.Context, log string) (*process, error) {
	p := new(process)
	var err error
	if p.log, err = worktest.Open(ctx, log, seed, journaltest.NewWatch(journaltest.Morning().AddDate(30, 0, 0))); err != nil {
		return nil, err
	}
	quiet := slog.New(slog.DiscardHandler)
	if p.index, _, err = index.Open(ctx, indexOf(log), quiet); err != nil {
		return nil, errors.Join(err, p.log.Close())
	}
	p.shop = shop.Open(authority, p.log, p.index, quiet)
	return p, nil
}

func indexOf(log string) string { return filepath.Join(filepath.Dir(log), "index.db") }

// start does what a process that serves does before it answers: it follows the
// log and reads the cards.
func (p *process) start(ctx context.Context) error {
	if err := p.shop.Follow(ctx); err != nil {
		return err
	}
	return shop.ReadAhead(p.shop, ctx)
}

func (p *process) Close() error { return errors.Join(p.index.Close(), p.log.Close()) }

// served opens a folder, and closes it with the benchmark.
func served(b *testing.B, log string) *process {
	p := must(openProcess(b.Context(), log))(b)
	b.Cleanup(func() {
		if err := p.Close(); err != nil {
			b.Error(err)
		}
	})
	if err := p.start(b.Context()); err != nil {
		b.Fatal(err)
	}
	return p
}

// folder returns the log of the size, with a full index beside it.
func (m *measuring) folder(b *testing.B) string {
	if m.path == "" {
		log := worktest.Folder(b, seed, m.entries)
		if _, err := os.Stat(indexOf(log)); errors.Is(err, fs.ErrNotExist) {
			m.rebuild(b)
		}
		m.path = log
	}
	return m.path
}

// rebuild deletes the index and lets a serving process fill it again, with
// the summaries.
func (m *measuring) rebuild(b *testing.B) {
	log := worktest.Folder(b, seed, m.entries)
	for _, end := range []string{"", "-wal", "-shm"} {
		if err := os.Remove(indexOf(log) + end); err != nil && !errors.Is(err, fs.ErrNotExist) {
			b.Fatal(err)
		}
	}
	at := begin()
	begun := at.at
	p := must(openProcess(b.Context(), log))(b)
	open := newestJob(b, p.log)
	ctx, stop := context.WithCancel(b.Context())
	ended := make(chan error, 1)
	go func() { ended <- p.shop.Run(ctx, p.log) }()
	if p.shop.View(ctx).Standing(open) == nil {
		if err := p.shop.Ready(ctx); err != nil {
			b.Fatal(err)
		}
		if p.shop.View(ctx).Standing(open) == nil {
			b.Fatalf("the newest job, %s, is not in the shop", open)
		}
	}
	b.ReportMetric(time.Since(begun).Seconds(), "open-job-s")
	if err := p.shop.Ready(ctx); err != nil {
		b.Fatal(err)
	}
	filled := time.Now()
	b.ReportMetric(float64(m.entries)/filled.Sub(begun).Seconds(), "entries/s")
	b.ReportMetric(float64(m.entries)/(spent()-at.spent).Seconds(), "entries/cpu-s")
	homes := len(must(p.index.DirtyHomes(ctx, shop.Edition(), m.entries))(b))
	for len(must(p.index.DirtyHomes(ctx, shop.Edition(), 1))(b)) > 0 {
		_, changed := p.shop.Now()
		select {
		case <-changed:
		case <-time.After(20 * time.Millisecond):
		case err := <-ended:
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(homes)/time.Since(filled).Seconds(), "summaries/s")
	stop()
	if err := errors.Join(<-ended, p.Close()); err != nil {
		b.Fatal(err)
	}
	info := must(os.Stat(indexOf(log)))(b)
	b.ReportMetric(float64(info.Size())/float64(m.entries), "index-B/entry")
}

// newestJob is the job that was opened last.
func newestJob(b *testing.B, log *sqlitelog.DB) (job journal.JobID) {
	for _, e := range tail(b, log, "counter", 100) {
		if e.Type.Kind == journal.JobOpened {
			job = e.Subject.Job()
		}
	}
	return job
}

// tail is the end of a device's log.
func tail(b *testing.B, log *sqlitelog.DB, device journal.DeviceID, most int64) (list []*journal.Entry) {
	head := must(log.Head(b.Context(), device))(b)
	for l, err := range log.Entries(b.Context(), device, max(0, head.Size-most)) {
		if err != nil {
			b.Fatal(err)
		}
		list = append(list, must(journal.Decode(l.Bytes))(b))
	}
	return list
}

// supposed asks what corrections and a release of jobs on hand would change.
func (m *measuring) supposed(b *testing.B) {
	p := served(b, m.folder(b))
	dice := rand.New(rand.NewPCG(1, 2))
	var corrections, releases took
	ask := func(t *took, d journal.Draft) {
		at := begin()
		v, id, err := p.shop.Suppose(b.Context(), d)
		if err != nil {
			b.Fatal(err)
		}
		if st := v.Standing(d.Subject.Job()); st == nil || len(v.Case(d.Subject).Shop.Line(id)) == 0 || v.Err() != nil {
			b.Fatalf("what is supposed of %s is not to be seen: %v", d.Subject, v.Err())
		}
		t.since(at)
	}
	list := p.shop.View(b.Context()).Open(40)
	for range 4 {
		for _, j := range list {
			lines := slices.DeleteFunc(j.Timeline(), func(l *record.Line) bool { return l.Subject.Job() != j.ID || l.Kind == journal.JobOpened })
			about := journal.About(j.ID, "", "")
			if len(lines) == 0 {
				continue
			}
			ask(&corrections, journal.Draft{Subject: about, By: "io", Data: &journal.Correction{Of: lines[dice.IntN(len(lines))].ID, Reason: "a slip"}})
			ask(&releases, journal.Draft{Subject: about, By: "io", Data: new(journal.Release)})
		}
	}
	m.report(b, "correction", corrections)
	m.report(b, "release", releases)
}

// holds asks for the hold points of jobs of about a hundred entries in a
// process that has nothing in memory but the cards, and once more.
func (m *measuring) holds(b *testing.B) {
	var jobs []shop.Summary
	list := served(b, m.folder(b)).shop.View(b.Context()).Summaries(400, record.Open, record.HandedBack, record.Sealed)
	slices.SortStableFunc(list, func(x, y shop.Summary) int { return distance(x.Entries) - distance(y.Entries) })
	jobs = list[:20]
	var first, second took
	entries := 0
	for _, j := range jobs {
		p := must(openProcess(b.Context(), m.folder(b)))(b)
		if err := p.start(b.Context()); err != nil {
			b.Fatal(err)
		}
		for _, t := range []*took{&first, &second} {
			at := begin()
			v := p.shop.View(b.Context())
			if st := v.Standing(j.Job); st == nil || len(st.Verdicts.List) == 0 || v.Err() != nil {
				b.Fatal(v.Err())
			}
			t.since(at)
		}
		entries += j.Entries
		if err := p.Close(); err != nil {
			b.Fatal(err)
		}
	}
	m.report(b, "first", first)
	m.report(b, "again", second)
	b.ReportMetric(float64(entries)/float64(len(jobs)), "entries/job")
}

func distance(entries int) int { return max(entries-100, 100-entries) }

// start starts processes that show the first page, look at two hundred jobs,
// and say how long that took and how much memory they have then.
func (m *measuring) start(b *testing.B) {
	var first took
	resident := 0
	for range 5 {
		c := exec.CommandContext(b.Context(), os.Args[0])
		c.Env = append(os.Environ(), serveFolder+"="+m.folder(b))
		c.Stderr = os.Stderr
		var said visit
		if err := json.Unmarshal(must(c.Output())(b), &said); err != nil {
			b.Fatal(err)
		}
		first.add(said.FirstPage, said.Spent)
		resident = max(resident, said.Resident)
	}
	m.report(b, "first-page", first)
	b.ReportMetric(float64(resident)/1024, "resident-MiB")
}

// search looks for what stands on vehicles and castings, whole and in part,
// and for words.
func (m *measuring) search(b *testing.B) {
	p := served(b, m.folder(b))
	v := p.shop.View(b.Context())
	dice := rand.New(rand.NewPCG(3, 4))
	jobs := v.Summaries(m.entries, record.Open, record.HandedBack, record.Sealed)
	found := 0
	ask := func(t *took, look func(string, int) []shop.Match, text string) {
		at := begin()
		found += len(look(text, 50))
		t.since(at)
	}
	var whole, part, words took
	for range 40 {
		s := jobs[dice.IntN(len(jobs))]
		names := []string{string(s.Job), s.VIN, s.Plate}
		for _, one := range s.Parts {
			names = append(names, one.Mark, one.Tag)
		}
		for _, name := range names {
			if len(name) > 3 {
				ask(&whole, v.Find, name)
				ask(&part, v.Find, name[:3])
				ask(&part, v.Find, name[len(name)-3:])
			}
		}
	}
	for range 10 {
		for _, text := range []string{"inclusion upper boss", "banjo", "bra", "bracke", "bolt banjo", "zzyzx", "slip of the finger", "rust"} {
			ask(&words, v.Words, text)
		}
	}
	if found == 0 || v.Err() != nil {
		b.Fatal("nothing found", v.Err())
	}
	m.report(b, "name", whole)
	m.report(b, "part-of-name", part)
	m.report(b, "words", words)
}
