package sqlitelog_test

import (
	"crypto/rand"
	"database/sql"
	"fmt"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
	"fettlebook/journal/trade/unit"
)

// BenchmarkAppend measures a durable, hashed and signed entry against a raw
// insert of one row of the same size with the same disk syncs, in turns, and
// eight writers together against one. It reports ratios, since the absolute
// figures are the disk's.
func BenchmarkAppend(b *testing.B) {
	db := openBench(b)
	raw := openRaw(b)
	draft := benchDraft(b)
	row := make([]byte, 700)
	if _, err := rand.Read(row); err != nil {
		b.Fatal(err)
	}
	appendOne := func() {
		if _, err := db.Append(b.Context(), draft); err != nil {
			b.Error(err)
		}
	}
	var ours, plain, together time.Duration
	const each = 64
	for b.Loop() {
		begin := time.Now()
		for range each {
			if _, err := raw.ExecContext(b.Context(), `INSERT INTO raw (bytes) VALUES (?)`, row); err != nil {
				b.Fatal(err)
			}
		}
		plain += time.Since(begin)

		begin = time.Now()
		for range each {
			appendOne()
		}
		ours += time.Since(begin)

		begin = time.Now()
		var wg sync.WaitGroup
		for range 8 {
			wg.Go(func() {
				for range each / 8 {
					appendOne()
				}
			})
		}
		wg.Wait()
		together += time.Since(begin)
	}
	b.ReportMetric(plain.Seconds()/ours.Seconds(), "of-raw-rate")
	b.ReportMetric(ours.Seconds()/together.Seconds(), "eight-to-one")
	b.ReportMetric(float64(b.N*each)/ours.Seconds(), "entries/s")
}

// BenchmarkAppendBesideOthers is an append that cites six other logs, against
// one that cites none.
func BenchmarkAppendBesideOthers(b *testing.B) {
	alone, beside := openBench(b), openBench(b)
	for i := range 6 {
		device := journal.DeviceID(fmt.Sprintf("bench%d", i))
		key, err := proof.NewKey(rand.Reader, proof.Origin("k7m2q4xw", device))
		if err != nil {
			b.Fatal(err)
		}
		other, err := sqlitelog.Open(b.Context(), filepath.Join(b.TempDir(), "log.db"), sqlitelog.Options{
			Shop: "k7m2q4xw", Own: device, Key: key, Boot: "boot1", Clock: journal.NewClock(time.Now, rand.Reader),
			Now: time.Now, Started: time.Now(),
		})
		if err != nil {
			b.Fatal(err)
		}
		b.Cleanup(func() { other.Close() })
		if _, err := other.Append(b.Context(), benchDraft(b)); err != nil {
			b.Fatal(err)
		}
		s, err := other.Segment(b.Context(), device, 0, journal.MaxSegmentBytes)
		if err != nil {
			b.Fatal(err)
		}
		if err := beside.Know(b.Context(), device, key.Verifier()); err != nil {
			b.Fatal(err)
		}
		if _, err := beside.Receive(b.Context(), s); err != nil {
			b.Fatal(err)
		}
	}
	draft := benchDraft(b)
	run := func(db *sqlitelog.DB) time.Duration {
		begin := time.Now()
		for range 64 {
			if _, err := db.Append(b.Context(), draft); err != nil {
				b.Fatal(err)
			}
		}
		return time.Since(begin)
	}
	var a, o time.Duration
	for b.Loop() {
		a += run(alone)
		o += run(beside)
	}
	b.ReportMetric(o.Seconds()/a.Seconds(), "beside-to-alone")
	b.ReportMetric(float64(b.N*64)/o.Seconds(), "entries/s")
}

func benchDraft(b *testing.B) journal.Draft {
	torque, err := unit.Parse[unit.Torque]("27 N.m")
	if err != nil {
		b.Fatal(err)
	}
	return journal.Draft{
		Subject: journal.About("4f7kk2m9", "LF", "caliper"), By: "io",
		Data: &journal.Torque{Joint: "banjo bolt", Torque: torque, Tool: "tw-1", Marked: true},
	}
}

func openBench(b *testing.B) *sqlitelog.DB {
	key, err := proof.NewKey(rand.Reader, proof.Origin("k7m2q4xw", "t3fz8c1n"))
	if err != nil {
		b.Fatal(err)
	}
	db, err := sqlitelog.Open(b.Context(), filepath.Join(b.TempDir(), "log.db"), sqlitelog.Options{
		Shop: "k7m2q4xw", Own: "t3fz8c1n", Key: key, Boot: "boot1", Clock: journal.NewClock(time.Now, rand.Reader),
		Now: time.Now, Started: time.Now(),
	})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { db.Close() })
	return db
}

func openRaw(b *testing.B) *sql.DB {
	raw, err := sql.Open("sqlite", "file:"+filepath.Join(b.TempDir(), "raw.db")+
		"?_pragma=busy_timeout(5000)&_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)&_txlock=immediate")
	if err != nil {
		b.Fatal(err)
	}
	raw.SetMaxOpenConns(1)
	b.Cleanup(func() { raw.Close() })
	if _, err := raw.Exec(`CREATE TABLE raw (id INTEGER PRIMARY KEY, bytes BLOB NOT NULL) STRICT`); err != nil {
		b.Fatal(err)
	}
	return raw
}
