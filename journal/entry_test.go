package journal_test

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
)

// The entry of the package comment.
const banjo = `{"specversion":"1.0",` +
	`"id":"0195a3c1-7e40-7001-9c3a-5d1f0a6b7c8d",` +
	`"source":"urn:fettlebook:k7m2q4xw:t3fz8c1n",` +
	`"type":"torque.applied/1",` +
	`"subject":"job/4f7kk2m9/corner/LF",` +
	`"time":"2026-03-02T14:18:09.120+01:00",` +
	`"datacontenttype":"application/json",` +
	`"by":"io","boot":"5c0e1d7a","uptime":"8123.456",` +
	`"data":{"joint":"banjo bolt","torque":"27 N.m","tool":"tw-1"}}`

func TestDecodeReadsTheDocumentedEntry(t *testing.T) {
	e, err := journal.Decode([]byte(banjo))
	if err != nil {
		t.Fatal(err)
	}
	data, err := e.Payload()
	if err != nil {
		t.Fatal(err)
	}
	torque, ok := data.(*journal.Torque)
	if !ok || torque.Torque.String() != "27 N.m" || torque.Tool != "tw-1" || torque.Joint != "banjo bolt" {
		t.Errorf("got %+v", data)
	}
	if e.Subject.Job() != "4f7kk2m9" || e.Subject.Corner() != "LF" || e.Source.Device != "t3fz8c1n" || e.By != "io" {
		t.Errorf("got %+v", e)
	}
	if e.Uptime != journal.Uptime(8123456*time.Millisecond) || e.Time.String() != "2026-03-02T14:18:09.120+01:00" {
		t.Errorf("uptime %v, time %v", time.Duration(e.Uptime), e.Time)
	}
	if raw, err := e.Encode(); err != nil || string(raw) != banjo {
		t.Errorf("encodes as\n%s\n%v", raw, err)
	}
}

// prefixes are so many written citations of logs.
func prefixes(n int) []string {
	var list []string
	for i := range n {
		list = append(list, fmt.Sprintf("pad%02d/%d/lqKW0iTyhcZ77pPDD4owkQ", i, i+1))
	}
	return list
}

// brokenEntries are entries with one thing wrong in each.
func brokenEntries(t *testing.T) map[string]string {
	t.Helper()
	swap := func(old, new string) string {
		if strings.Count(banjo, old) != 1 {
			t.Fatalf("%q is not once in the entry", old)
		}
		return strings.Replace(banjo, old, new, 1)
	}
	tests := map[string]string{
		"nothing":                    "",
		"no object":                  `[]`,
		"cut off":                    banjo[:len(banjo)-1],
		"trailing bytes":             banjo + "x",
		"a second entry":             banjo + banjo,
		"unknown member":             swap(`"by":"io"`, `"by":"io","hue":"blue"`),
		"doubled member":             swap(`"by":"io"`, `"by":"io","by":"io"`),
		"doubled member in the data": swap(`"joint":"banjo bolt"`, `"joint":"banjo bolt","joint":"bleeder"`),
		"wrong case":                 swap(`"by":`, `"By":`),
		"invalid UTF-8":              swap("banjo bolt", "banjo \xff bolt"),
		"half a surrogate":           swap("banjo bolt", `banjo \ud800 bolt`),
		"null attribute":             swap(`"uptime":"8123.456"`, `"uptime":null`),
		"too long":                   swap("banjo bolt", strings.Repeat("x", journal.MaxEntryBytes)),

		"other specversion":     swap(`"specversion":"1.0"`, `"specversion":"0.3"`),
		"other content type":    swap("application/json", "text/json"),
		"data is a list":        swap(`{"joint":"banjo bolt","torque":"27 N.m","tool":"tw-1"}`, `[]`),
		"data is null":          swap(`{"joint":"banjo bolt","torque":"27 N.m","tool":"tw-1"}`, `null`),
		"id of version 4":       swap("-7001-", "-4001-"),
		"id without dashes":     swap("0195a3c1-7e40-7001-9c3a-5d1f0a6b7c8d", "0195a3c17e4070019c3a5d1f0a6b7c8d"),
		"id as a URN":           swap("0195a3c1-7e40", "urn:uuid:0195a3c1-7e40"),
		"source of others":      swap("urn:fettlebook:", "urn:other:"),
		"source without device": swap(":t3fz8c1n", ""),
		"type without version":  swap("torque.applied/1", "torque.applied"),
		"type of version 0":     swap("torque.applied/1", "torque.applied/0"),
		"type of version 01":    swap("torque.applied/1", "torque.applied/01"),
		"type of three words":   swap("torque.applied/1", "torque.was.applied/1"),
		"subject with a hole":   swap("job/4f7kk2m9/corner/LF", "job//corner/LF"),
		"subject of one word":   swap("job/4f7kk2m9/corner/LF", "job"),
		"time without zone":     swap("09.120+01:00", "09.120"),
		"uptime as a number":    swap(`"8123.456"`, `8123.456`),
		"uptime negative":       swap(`8123.456`, `-8123.456`),
		"uptime too coarse":     swap(`8123.456`, `8123`),
		"person with a space":   swap(`"by":"io"`, `"by":"i o"`),
		"seen without root":     swap(`"by":"io"`, `"by":"io","seen":"412"`),
		"seen with a sign":      swap(`"by":"io"`, `"by":"io","seen":"+1 lqKW0iTyhcZ77pPDD4owkVfw2qNdxbh+QQt4YwoJz8c="`),
		"after nothing":         swap(`"by":"io"`, `"by":"io","after":""`),
		"after no size":         swap(`"by":"io"`, `"by":"io","after":"hub1/lqKW0iTyhcZ77pPDD4owkQ"`),
		"after size nought":     swap(`"by":"io"`, `"by":"io","after":"hub1/0/lqKW0iTyhcZ77pPDD4owkQ"`),
		"after size 07":         swap(`"by":"io"`, `"by":"io","after":"hub1/07/lqKW0iTyhcZ77pPDD4owkQ"`),
		"after a short root":    swap(`"by":"io"`, `"by":"io","after":"hub1/7/lqKW0iTyhcZ77pPDD4owk"`),
		"after a padded root":   swap(`"by":"io"`, `"by":"io","after":"hub1/7/lqKW0iTyhcZ77pPDD4owkQ=="`),
		"after spare bits":      swap(`"by":"io"`, `"by":"io","after":"hub1/7/lqKW0iTyhcZ77pPDD4owkR"`),
		"after two spaces":      swap(`"by":"io"`, `"by":"io","after":"hub1/7/lqKW0iTyhcZ77pPDD4owkQ  pad1/7/lqKW0iTyhcZ77pPDD4owkQ"`),
		"after a space":         swap(`"by":"io"`, `"by":"io","after":"hub1/7/lqKW0iTyhcZ77pPDD4owkQ "`),
		"after a log twice":     swap(`"by":"io"`, `"by":"io","after":"hub1/7/lqKW0iTyhcZ77pPDD4owkQ hub1/8/lqKW0iTyhcZ77pPDD4owkQ"`),
		"after out of order":    swap(`"by":"io"`, `"by":"io","after":"pad1/7/lqKW0iTyhcZ77pPDD4owkQ hub1/8/lqKW0iTyhcZ77pPDD4owkQ"`),
		"after more than a log": swap(`"by":"io"`, `"by":"io","after":"hub1/1099511627777/lqKW0iTyhcZ77pPDD4owkQ"`),
		"after size 2^63":       swap(`"by":"io"`, `"by":"io","after":"hub1/9223372036854775808/lqKW0iTyhcZ77pPDD4owkQ"`),
		"after size 2^64":       swap(`"by":"io"`, `"by":"io","after":"hub1/18446744073709551616/lqKW0iTyhcZ77pPDD4owkQ"`),
		"after size -1":         swap(`"by":"io"`, `"by":"io","after":"hub1/-1/lqKW0iTyhcZ77pPDD4owkQ"`),
		"after 65 logs":         swap(`"by":"io"`, `"by":"io","after":"`+strings.Join(prefixes(65), " ")+`"`),
		"seen of nothing":       swap(`"by":"io"`, `"by":"io","seen":"0 lqKW0iTyhcZ77pPDD4owkVfw2qNdxbh+QQt4YwoJz8c="`),
	}
	for _, member := range []string{
		`"specversion":"1.0",`, `"id":"0195a3c1-7e40-7001-9c3a-5d1f0a6b7c8d",`, `"source":"urn:fettlebook:k7m2q4xw:t3fz8c1n",`,
		`"type":"torque.applied/1",`, `"subject":"job/4f7kk2m9/corner/LF",`, `"time":"2026-03-02T14:18:09.120+01:00",`,
		`"datacontenttype":"application/json",`, `"by":"io",`, `"boot":"5c0e1d7a",`, `"uptime":"8123.456",`,
		`,"data":{"joint":"banjo bolt","torque":"27 N.m","tool":"tw-1"}`,
	} {
		tests["without "+member] = swap(member, "")
	}
	return tests
}

func TestDecodeIsStrict(t *testing.T) {
	for name, raw := range brokenEntries(t) {
		if _, err := journal.Decode([]byte(raw)); !errors.Is(err, journal.ErrEntry) {
			t.Errorf("%s: got %v, want ErrEntry", name, err)
		}
	}
}

// What a schema can see, the schema of an entry refuses as well.
func TestEntrySchemaIsStrict(t *testing.T) {
	raw, err := journal.EntrySchema()
	schema := compiled(t, raw, err)
	if err := schema.Validate(decoded(t, []byte(banjo))); err != nil {
		t.Fatal(err)
	}
	entries := brokenEntries(t)
	for _, unseen := range []string{ // of bytes, not of values
		"nothing", "cut off", "trailing bytes", "a second entry", "invalid UTF-8", "half a surrogate",
		"doubled member", "doubled member in the data", "too long",
		"after a log twice", "after out of order", "after more than a log", "after 65 logs", // of one part and another
	} {
		delete(entries, unseen)
	}
	for name, raw := range entries {
		if schema.Validate(decoded(t, []byte(raw))) == nil {
			t.Errorf("%s: the schema takes it", name)
		}
	}
}

// A newer fettlebook's entries are kept: they decode, and only their data
// cannot be read.
func TestNewerEntriesAreKept(t *testing.T) {
	for name, raw := range map[string]string{
		"kind":    strings.Replace(banjo, "torque.applied/1", "wheel.balanced/1", 1),
		"version": strings.Replace(banjo, "torque.applied/1", "torque.applied/9", 1),
	} {
		e, err := journal.Decode([]byte(raw))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if _, err := e.Payload(); !errors.Is(err, journal.ErrUnknownKind) {
			t.Errorf("%s: the payload gives %v", name, err)
		}
		if again, err := e.Encode(); err != nil || string(again) != raw {
			t.Errorf("%s: encodes as\n%s\n%v", name, again, err)
		}
	}

	raw := strings.Replace(banjo, "job/4f7kk2m9/corner/LF", "trailer/t9/axle/2", 1)
	e, err := journal.Decode([]byte(raw))
	if err != nil {
		t.Fatal(err)
	}
	if e.Subject != "trailer/t9/axle/2" || e.Subject.Word() != "trailer/axle" || e.Subject.Job() != "" {
		t.Errorf("got the subject %q", e.Subject)
	}
	if _, err := e.Payload(); err != nil {
		t.Errorf("its payload is of a known kind and gives %v", err)
	}
}

// The photos of a kind that is not known are found all the same, because
// their thumbnails travel with the entry.
func TestPhotosOfAnyKind(t *testing.T) {
	raw := strings.Replace(string(golden(t, journal.TorqueApplied)), "torque.applied/1", "wheel.balanced/3", 1)
	e, err := journal.Decode([]byte(raw))
	if err != nil {
		t.Fatal(err)
	}
	photos, err := e.Photos()
	if err != nil {
		t.Fatal(err)
	}
	if want := []journal.Photo{journaltest.Picture("the marked bolts")}; !slices.Equal(photos, want) {
		t.Errorf("got %+v", photos)
	}
}

// The longest trace that the cap of an entry promises room for.
func TestLongProbeTraceFits(t *testing.T) {
	var seconds []string
	for i := range 2 * 60 * 60 {
		seconds = append(seconds, strconv.Itoa(i))
	}
	readings := journal.Readings(strings.TrimSpace(strings.Repeat("187.5 ", len(seconds))))
	trace := &journal.ProbeTrace{Unit: "°C", Seconds: journal.Series(strings.Join(seconds, " "))}
	for _, channel := range []string{"1", "2", "3", "4"} {
		trace.Channels = append(trace.Channels, journal.Channel{Channel: channel, Readings: readings})
	}
	d := journaltest.Sample(journal.ProbeLogged)
	d.Data = trace
	raw, err := journaltest.Golden(d)
	if err != nil {
		t.Fatal(err)
	}
	e, err := journal.Decode(raw)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := e.Payload(); err != nil {
		t.Error(err)
	}
	if most := journal.MaxQuotingBytes + journal.MaxPhotos*journal.MaxThumbBytes; most > journal.MaxSegmentBytes {
		t.Errorf("an entry with its thumbnails can have %d bytes, more than a segment", most)
	}
}
