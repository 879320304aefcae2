package recorder_test

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/recorder"
	"fettlebook/journal/trade/bake"
)

const caliper = journal.Subject("job/4f7kk2m9/corner/LF/part/caliper")

var probes = []journal.Probe{
	{Channel: "thin", Place: "ear", On: caliper},
	{Channel: "2", Place: "oven air"},
}

func read(t *testing.T, file string, f recorder.Format) *recorder.Log {
	t.Helper()
	l, err := recorder.Read([]byte(file), f)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestLog(t *testing.T) {
	const file = "time;thin °C;air °C\n2026-03-02 10:00:00;20;180\n2026-03-02 10:00:10;21.5;\n2026-03-02 10:00:20;23;200\n"
	l := read(t, file, recorder.Format{})
	want := []recorder.Channel{{Name: "thin", Peak: 23}, {Name: "air", Missing: 1, Peak: 200}}
	if l.Samples != 3 || l.Interval != 10 || l.Longest != 10 || l.Lasts != 20 || l.Begun != "2026-03-02 10:00:00" || !slices.Equal(l.Channels, want) {
		t.Errorf("got %+v", l)
	}
	zone := time.FixedZone("", 3600)
	f, err := l.File([]recorder.Place{{Probe: "thin"}, {}}, probes, "door opened once", zone)
	if err != nil {
		t.Fatal(err)
	}
	trace := &journal.ProbeTrace{
		Begun: journal.Stamp(time.Date(2026, 3, 2, 10, 0, 0, 0, zone)), Unit: "°C", Seconds: "0 10 20", File: sha256.Sum256([]byte(file)),
		Channels: []journal.Channel{{Channel: "thin", Readings: "20 21.5 23"}, {Channel: "air", Readings: "180 - 200"}},
		Evidence: journal.Evidence{Note: "door opened once"},
	}
	if f.Lost != 1 || len(f.Traces) != 1 || !reflect.DeepEqual(f.Traces[0], trace) {
		t.Errorf("lost %d, traces %+v", f.Lost, f.Traces)
	}
	if _, err := recorder.Read([]byte("s;T °C\n0;1\n1;x\n"), recorder.Format{}); !errors.As(err, new(*recorder.LineError)) {
		t.Errorf("a broken file gives %v", err)
	}
}

// What is written in °F stays in °F, digit for digit.
func TestLogInFahrenheit(t *testing.T) {
	for name, f := range map[string]recorder.Format{"time,1 °F\n": {}, "time,1\n": {Scale: bake.Fahrenheit}} {
		l := read(t, name+"00:00:00,70\n00:01:00,212\n00:02:00,400.5\n", f)
		filing, err := l.File([]recorder.Place{{}}, nil, "", time.UTC)
		if err != nil {
			t.Fatal(err)
		}
		if got := filing.Traces[0]; got.Unit != "°F" || got.Channels[0].Readings != "70 212 400.5" || got.Seconds != "0 60 120" || !time.Time(got.Begun).IsZero() {
			t.Errorf("%q gives %+v", name, got)
		}
	}
	mixed := read(t, "s;A °C;B °F\n0;100;212\n1;101;392\n", recorder.Format{})
	if f, err := mixed.File([]recorder.Place{{}, {}}, nil, "", time.UTC); err != nil || f.Traces[0].Unit != "°C" || f.Traces[0].Channels[1].Readings != "100 200" {
		t.Errorf("two scales give %+v, %v", f.Traces, err)
	}
}

func TestBegunAt(t *testing.T) {
	zone := time.FixedZone("shop", 2*3600)
	for _, test := range []struct {
		file   string
		format recorder.Format
		want   string // "" if it is not known
	}{
		{"time;T °C\n2026-03-12 10:00:00;1\n", recorder.Format{}, "2026-03-12T10:00:00+02:00"},
		{"time;T °C\n2026-03-12T10:00:00.25Z;1\n", recorder.Format{}, "2026-03-12T10:00:00.25Z"},
		{"time;T °C\n2026-03-12T10:00:00-05:30;1\n", recorder.Format{}, "2026-03-12T10:00:00-05:30"},
		{"time;T °C\n12.03.2026 10:00;1\n", recorder.Format{}, "2026-03-12T10:00:00+02:00"},
		{"date;time;T °C\n28.02.24;23:59:59;1\n", recorder.Format{}, "2024-02-28T23:59:59+02:00"},
		{"time;T °C\n03/04/2026 1:00:00 PM;1\n", recorder.Format{Dates: recorder.MonthFirst}, "2026-03-04T13:00:00+02:00"},
		{"DD/MM/YYYY hh:mm;T °C\n03/04/2026 10:00;1\n", recorder.Format{}, "2026-04-03T10:00:00+02:00"},
		{"time;T °C\n03/04/2026 10:00;1\n", recorder.Format{}, ""},
		{"time;T °C\n10:00:00;1\n", recorder.Format{}, ""},
		{"s;T °C\n0;1\n", recorder.Format{}, ""},
	} {
		r, err := recorder.NewReader(strings.NewReader(test.file), test.format)
		if err != nil {
			t.Fatal(err)
		}
		at, known := r.BegunAt(zone)
		if got := at.Format(time.RFC3339Nano); known != (test.want != "") || known && got != test.want {
			t.Errorf("%q: %s, %v; want %q", test.file, got, known, test.want)
		}
	}
}

func TestOddities(t *testing.T) {
	for _, test := range []struct {
		file string
		want []recorder.Oddity
		says string
	}{
		{"s;A °C\n0;100\n60;101\n", nil, ""},
		{"s;A °C\n0;100\n", []recorder.Oddity{{Kind: recorder.FewSamples, Of: 1}}, "fewer than two readings"},
		{"s;A °C\n0;100\n90;101\n", []recorder.Oddity{{Kind: recorder.FarApart, Seconds: 90}}, "only one reading every 90 s"},
		{"s;A °C\n0;100\n10;101\n20;101\n320;102\n", []recorder.Oddity{{Kind: recorder.Gap, Seconds: 300}}, "without a reading is 5 min"},
		{"s;A °C;B °C\n0;100;\n60;101;\n", []recorder.Oddity{{Kind: recorder.NoReading, Channel: "B", Samples: 2, Of: 2}}, "B has no readings at all"},
		{"s;A °C;B °C\n0;100;\n60;101;99\n", []recorder.Oddity{{Kind: recorder.MissingSample, Channel: "B", Samples: 1, Of: 2}}, "B has no readings in 1 of 2 samples"},
		{"s;A °C\n0;20\n60;79.4\n", []recorder.Oddity{{Kind: recorder.NeverHot, Channel: "A", Celsius: 79.4}}, "A never got above 79 °C"},
	} {
		got := read(t, test.file, recorder.Format{}).Oddities()
		if !slices.Equal(got, test.want) || len(got) > 0 && !strings.Contains(got[0].Say(0), test.says) {
			t.Errorf("%q: %+v", test.file, got)
		}
	}
}

func TestGuess(t *testing.T) {
	l := read(t, "s;Probe 2 °C;THIN °C;spare °C;thin 3 °C\n0;1;2;;4\n1;1;2;;4\n", recorder.Format{})
	want := []recorder.Place{{Probe: "2"}, {Probe: "thin"}, {Out: true}, {}}
	for i, w := range want {
		if got := l.Guess(i, probes); got != w {
			t.Errorf("channel %s: %+v, want %+v", l.Channels[i].Name, got, w)
		}
	}
}

func TestPlacesThatAreRefused(t *testing.T) {
	l := read(t, "s;A °C;B °C\n0;100;\n60;101;99\n", recorder.Format{})
	for says, places := range map[string][]recorder.Place{
		"has no probe thick":            {{Probe: "thick"}, {}},
		"Two channels are said to be 2": {{Probe: "2"}, {Probe: "2"}},
		"Every channel is left out":     {{Out: true}, {Out: true}},
		"B has fewer than two readings": {{}, {}},
	} {
		var refused *recorder.PlaceError
		if _, err := l.File(places, probes, "", time.UTC); !errors.As(err, &refused) || !strings.Contains(refused.Problem, says) {
			t.Errorf("%+v: %v, want %q", places, err, says)
		}
	}
}

// long is a log of so many samples, with one channel for each name.
func long(samples int, names ...string) string {
	var b strings.Builder
	b.WriteString("s")
	for _, n := range names {
		b.WriteString(";" + n + " °C")
	}
	for s := range samples {
		fmt.Fprintf(&b, "\n%d", s)
		for i := range names {
			fmt.Fprintf(&b, ";%.1f", 20+math.Mod(float64(s)*0.37+float64(i), 180))
		}
	}
	return b.String()
}

// What does not fit is cut by part and then in time. Every piece is an entry that the
// journal takes, no reading is lost, and a part's probes stay together.
func TestFileIsSplit(t *testing.T) {
	const right = journal.Subject("job/4f7kk2m9/corner/RF/part/caliper")
	four := []journal.Probe{{Channel: "a", On: caliper}, {Channel: "b", On: caliper}, {Channel: "c", On: right}, {Channel: "air"}}
	var places []recorder.Place
	for _, p := range four {
		places = append(places, recorder.Place{Probe: p.Channel})
	}
	for samples, want := range map[int][]string{
		6000:  {"a b c air"},
		10000: {"a b", "c", "air"},
		20001: {"a b", "a b", "c", "c", "air", "air"},
	} {
		l := read(t, long(samples, "a", "b", "c", "air"), recorder.Format{})
		f, err := l.File(places, four, "note", time.UTC)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		n := map[string]int{}
		for i, p := range f.Traces {
			var names []string
			for _, c := range p.Channels {
				names = append(names, c.Channel)
				n[c.Channel] += strings.Count(string(c.Readings), " ") + 1
			}
			got = append(got, strings.Join(names, " "))
			if err := (&journal.Draft{Subject: "run/b7", By: "io", Data: p}).Valid(); err != nil {
				t.Errorf("piece %d: %v", i+1, err)
			}
			if p.File.IsZero() != (i > 0) || len(f.Traces) > 1 && !strings.Contains(p.Note, fmt.Sprintf("note (piece %d of %d of the recorder’s file sha256:", i+1, len(want))) {
				t.Errorf("piece %d: %q, %v", i+1, p.Note, p.File)
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("%d samples: %q, want %q", samples, got, want)
		}
		if says := fmt.Sprintf("written as %d entries", len(want)); strings.Contains(f.Split(), says) != (len(want) > 1) {
			t.Errorf("%d samples: %q", samples, f.Split())
		}
		for _, p := range four {
			if n[p.Channel] != samples {
				t.Errorf("%d samples: %d readings of %s", samples, n[p.Channel], p.Channel)
			}
		}
	}
}

func TestHeld(t *testing.T) {
	l := read(t, long(45001, "a", "b", "c"), recorder.Format{})
	filing := func(places ...recorder.Place) recorder.Filing {
		f, err := l.File(places, nil, "", time.UTC)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	f := filing(recorder.Place{}, recorder.Place{}, recorder.Place{})
	other := filing(recorder.Place{}, recorder.Place{}, recorder.Place{Out: true})
	foreign := &journal.ProbeTrace{Unit: "°C", Seconds: "0 1", Channels: []journal.Channel{{Channel: "a", Readings: "1 2"}}}
	if len(f.Traces) < 3 {
		t.Fatalf("%d pieces", len(f.Traces))
	}
	count := func(held []bool) (n int) {
		for _, h := range held {
			if h {
				n++
			}
		}
		return n
	}
	for name, test := range map[string]struct {
		run  []*journal.ProbeTrace
		want int
	}{
		"nothing":                 {nil, 0},
		"another file":            {[]*journal.ProbeTrace{foreign}, 0},
		"the first piece":         {f.Traces[:1], 1},
		"the last piece":          {f.Traces[len(f.Traces)-1:], 1},
		"all":                     {f.Traces, len(f.Traces)},
		"under other channels":    {other.Traces[:1], len(f.Traces)},
		"later pieces, otherwise": {other.Traces[1:], 0},
	} {
		if got := count(f.Held(test.run)); got != test.want {
			t.Errorf("%s: %d pieces are held, want %d", name, got, test.want)
		}
	}
}
