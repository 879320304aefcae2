//go:build unix

package index

import (
	"encoding/binary"
	"fmt"
	"iter"
	"log/slog"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/worktest"
)

// sizes are the histories that benchmarks run on: FETTLEBOOK_BENCH_SIZES, or
// a small one.
func sizes(b *testing.B) (list []int) {
	for _, word := range strings.Fields(os.Getenv("FETTLEBOOK_BENCH_SIZES")) {
		n, err := strconv.Atoi(word)
		if err != nil {
			b.Fatal(err)
		}
		list = append(list, n)
	}
	if len(list) == 0 {
		list = []int{10_000}
	}
	return list
}

// spent is the time on processors that the process took, which other work on
// the machine does not lengthen.
func spent(b *testing.B) time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

func logged(b *testing.B, n int) iter.Seq2[Item, error] {
	path := worktest.Folder(b, "bench", n)
	db, err := worktest.Open(b.Context(), path, "bench", journaltest.NewWatch(journaltest.Morning().AddDate(30, 0, 0)))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { db.Close() })
	return func(yield func(Item, error) bool) {
		for l, err := range db.All(b.Context()) {
			item := Read(l)
			item.Place = place(item)
			if !yield(item, err) {
				return
			}
		}
	}
}

// place stands for the order of all, which is not worked out here.
func place(item Item) uint64 {
	if item.Entry == nil {
		return 0
	}
	id := item.Entry.ID
	return binary.BigEndian.Uint64(id[:8])
}

func begin(b *testing.B, path string) *DB {
	db, _, err := Open(b.Context(), path, slog.New(slog.DiscardHandler))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { db.Close() })
	return db
}

// Rebuild is measured in its parts, on one core each: reading, decoding and
// working out; then writing.
func BenchmarkRebuild(b *testing.B) {
	for _, n := range sizes(b) {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			items := logged(b, n)
			for b.Loop() {
				path := filepath.Join(b.TempDir(), "index.db")
				db := begin(b, path)
				var decoding, writing time.Duration
				var list []gist
				write := func() {
					at := spent(b)
					if err := db.put(b.Context(), list); err != nil {
						b.Fatal(err)
					}
					writing += spent(b) - at
					list = list[:0]
				}
				at := spent(b)
				for item, err := range items {
					if err != nil {
						b.Fatal(err)
					}
					if list = append(list, digest(item)); len(list) == chunk {
						decoding += spent(b) - at
						write()
						at = spent(b)
					}
				}
				decoding += spent(b) - at
				write()
				b.ReportMetric(float64(decoding.Microseconds())/float64(n), "µs-decode/entry")
				b.ReportMetric(float64(writing.Microseconds())/float64(n), "µs-write/entry")
				b.ReportMetric(float64(n)/writing.Seconds(), "entries-written/s")
				if err := db.Close(); err != nil {
					b.Fatal(err)
				}
				info, err := os.Stat(path)
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(info.Size())/float64(n), "B/entry")
			}
		})
	}
}

// built returns an index of a history, kept between runs.
func built(b *testing.B, n int) *DB {
	path := filepath.Join(filepath.Dir(worktest.Folder(b, "bench", n)), fmt.Sprintf("index-%d.db", version()))
	db := begin(b, path)
	marks, err := db.Marks(b.Context())
	if err != nil {
		b.Fatal(err)
	}
	if len(marks) == 0 {
		if err := db.Load(b.Context(), logged(b, n), nil); err != nil {
			b.Fatal(err)
		}
	}
	return db
}

func BenchmarkLookup(b *testing.B) {
	for _, n := range sizes(b) {
		db := built(b, n)
		jobs, err := db.Homes(b.Context(), "job")
		if err != nil || len(jobs) == 0 {
			b.Fatal(err)
		}
		dice := rand.New(rand.NewPCG(1, 2))
		job := func() journal.Subject { return jobs[dice.IntN(len(jobs))] }
		ctx := b.Context()
		for name, f := range map[string]func() (int, error){
			"entries of a job": func() (int, error) { l, err := db.Entries(ctx, job()); return len(l), err },
			"runs of a job":    func() (int, error) { l, err := db.Citing(ctx, job()); return len(l), err },
			"uses of a wrench in a year": func() (int, error) {
				from := uint64(journaltest.Morning().AddDate(0, 0, 0).UnixMilli()) << 16
				return db.Times(ctx, "tool/tw-1", from, from+365*24*3600*1000<<16)
			},
			"key": func() (int, error) {
				l, err := db.Find(ctx, strings.TrimPrefix(string(job()), "job/"), 50)
				return len(l), err
			},
			"beginning of a key": func() (int, error) {
				l, err := db.FindPrefix(ctx, strings.TrimPrefix(string(job()), "job/")[:4], 50)
				return len(l), err
			},
			"piece of a key": func() (int, error) {
				l, err := db.FindPiece(ctx, fmt.Sprintf("%03d", dice.IntN(1000)), 50)
				return len(l), err
			},
			"rare words":       func() (int, error) { l, err := db.Search(ctx, "inclusion upper boss", 50); return len(l), err },
			"a common word":    func() (int, error) { l, err := db.Search(ctx, "banjo", 50); return len(l), err },
			"three letters":    func() (int, error) { l, err := db.Search(ctx, "bra", 50); return len(l), err },
			"six letters":      func() (int, error) { l, err := db.Search(ctx, "bracke", 50); return len(l), err },
			"two common words": func() (int, error) { l, err := db.Search(ctx, "bolt banjo", 50); return len(l), err },
			"no such word":     func() (int, error) { l, err := db.Search(ctx, "zzyzx", 50); return len(l), err },
		} {
			b.Run(fmt.Sprintf("%d/%s", n, strings.ReplaceAll(name, " ", "-")), func(b *testing.B) {
				var took []time.Duration
				found := 0
				for b.Loop() {
					at := time.Now()
					k, err := f()
					if err != nil {
						b.Fatal(err)
					}
					took = append(took, time.Since(at))
					found += k
				}
				slices.Sort(took)
				b.ReportMetric(float64(took[len(took)*95/100].Microseconds())/1000, "p95-ms")
				b.ReportMetric(float64(found)/float64(len(took)), "found")
			})
		}
	}
}

// One entry a transaction, at the end of a history.
func BenchmarkPut(b *testing.B) {
	for _, n := range sizes(b) {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			raw, err := os.ReadFile(built(b, n).path)
			if err != nil {
				b.Fatal(err)
			}
			path := filepath.Join(b.TempDir(), "index.db")
			if err := os.WriteFile(path, raw, 0o600); err != nil {
				b.Fatal(err)
			}
			db := begin(b, path)
			skip, busy := n, time.Duration(0)
			for l, err := range worktest.New("bench", worktest.Options{}) {
				if err != nil {
					b.Fatal(err)
				}
				if skip--; skip >= 0 {
					continue
				}
				item := Read(l)
				item.Place = place(item)
				if !b.Loop() {
					break
				}
				at := spent(b)
				if err := db.Put(b.Context(), []Item{item}); err != nil {
					b.Fatal(err)
				}
				busy += spent(b) - at
			}
			b.ReportMetric(float64(busy.Microseconds())/float64(b.N)/1000, "cpu-ms/op")
		})
	}
}
