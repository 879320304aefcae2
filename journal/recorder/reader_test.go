package recorder_test

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"
	"testing/iotest"

	"fettlebook/journal/recorder"
	"fettlebook/journal/trade/bake"
)

// show reads a file and writes its channels and samples in one line.
func show(file string, format recorder.Format) (string, error) {
	r, err := recorder.NewReader(strings.NewReader(file), format)
	if err != nil {
		return "", err
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s:", strings.Join(r.Channels(), "|"))
	for s, err := range r.Samples() {
		if err != nil {
			return b.String(), err
		}
		fmt.Fprintf(&b, " %g", s.Second)
		for _, c := range s.Celsius {
			if math.IsNaN(c) {
				b.WriteString(",-")
			} else {
				fmt.Fprintf(&b, ",%.6g", c)
			}
		}
	}
	return b.String(), nil
}

func TestReaderShapes(t *testing.T) {
	celsius, seconds := recorder.Format{Scale: bake.Celsius}, recorder.Format{Scale: bake.Celsius, Time: recorder.Seconds}
	tests := []struct {
		name   string
		file   string
		format recorder.Format
		want   string
	}{
		{"comma", "Time (s),Probe 1 [°C],Air [°C]\n0,20.5,180\n10,21,181.25\n", recorder.Format{}, "Probe 1|Air: 0,20.5,180 10,21,181.25"},
		{"semicolon and decimal comma", "Zeit [s];Probe 1 (°C);Luft (°C)\n0,0;20,5;180\n0,5;21;181,25\n", recorder.Format{}, "Probe 1|Luft: 0,20.5,180 0.5,21,181.25"},
		{"semicolon and decimal point", "t/s;T/°C\n0;20.5\n1;21\n", recorder.Format{}, "T: 0,20.5 1,21"},
		{"tab and decimal comma", "t (min)\tT (°C)\n0\t20,5\n0,5\t21,5\n", recorder.Format{}, "T: 0,20.5 30,21.5"},
		{"decimal comma in quotes", "time s,\"part, thick °C\"\n\"0\",\"20,5\"\n\"1\",\"21,5\"\n", recorder.Format{}, "part, thick: 0,20.5 1,21.5"},
		{"no header", "0;20\n1;21\n", seconds, "1: 0,20 1,21"},
		{"long preamble", "recorder: bench 2\n" + strings.Repeat("note: nothing\n", 20000) + "\n\nUnit: °C\nminutes,A,B\n5,20,21\n6,30,31\n", recorder.Format{}, "A|B: 0,20,21 60,30,31"},
		{"line of units", "time;A;B\ns;°C;°F\n0;100;212\n1;100;392\n", recorder.Format{}, "A|B: 0,100,100 1,100,200"},
		{"Fahrenheit from the header", "s,T (F)\n0,212\n1,392\n", recorder.Format{}, "T: 0,100 1,200"},
		{"Fahrenheit as an option", "s,T\n0,212\n1,392\n", recorder.Format{Scale: bake.Fahrenheit}, "T: 0,100 1,200"},
		{"Latin-1 degree sign", "s;T \xB0C\n0;100\n1;200\n", recorder.Format{}, "T: 0,100 1,200"},
		{"byte-order mark and CRLF", "\xEF\xBB\xBFs;T °C\r\n0;100\r\n1;200\r\n", recorder.Format{}, "T: 0,100 1,200"},
		{"no newline at the end", "s;T °C\n0;100\n1;200", recorder.Format{}, "T: 0,100 1,200"},
		{"a probe that fell out", "s;A °C;B °C\n0;100;50\n1;;51\n2;---;52\n3;102;NaN\n4;OL;54\n", recorder.Format{}, "A|B: 0,100,50 1,-,51 2,-,52 3,102,- 4,-,54"},
		{"a probe that is not there at first", "s;A °C;B °C\n0;;50\n1;100;51\n", recorder.Format{}, "A|B: 0,-,50 1,100,51"},
		{"separator at the line's end", "s;A °C;\n0;100;\n1;101;\n", recorder.Format{}, "A: 0,100 1,101"},
		{"blank lines", "s;A °C\n\n0;100\n\n1;101\n\n", recorder.Format{}, "A: 0,100 1,101"},
		{"same names", "s;T °C;T °C\n0;1;2\n", recorder.Format{}, "T|T 2: 0,1,2"},
		{"words between", "s;A °C;state;B °C\n0;1;heat;2\n1;2;soak;3\n", recorder.Format{}, "A|B: 0,1,2 1,2,3"},
		{"ISO", "time,T °C\n2026-03-12 23:59:50,1\n2026-03-13T00:00:00,2\n2026-03-13T00:00:10.5,3\n", recorder.Format{}, "T: 0,1 10,2 20.5,3"},
		{"ISO with offsets", "time,T °C\n2026-03-29T01:59:50+01:00,1\n2026-03-29T03:00:00+02:00,2\n2026-03-29T01:00:10Z,3\n", recorder.Format{}, "T: 0,1 10,2 20,3"},
		{"ISO over a leap day", "time,T °C\n2028-02-28 12:00:00,1\n2028-03-01 12:00:00,2\n", recorder.Format{}, "T: 0,1 172800,2"},
		{"points in dates", "Zeit;T °C\n31.12.2026 23:59:59;1\n01.01.2027 00:00:01;2\n", recorder.Format{}, "T: 0,1 2,2"},
		{"month first, as the number shows", "time,T °C\n03/13/2026 10:00:00,1\n03/13/2026 10:00:05,2\n", recorder.Format{}, "T: 0,1 5,2"},
		{"day first, as the number shows", "time,T °C\n31/03/2026 23:59:59,1\n01/04/2026 00:00:00,2\n", recorder.Format{}, "T: 0,1 1,2"},
		{"a scale that a person chose where the header names both", "°C or °F\ns;T\n0;1\n1;2\n", recorder.Format{Scale: bake.Celsius}, "T: 0,1 1,2"},
		{"month first, as the header says", "MM/DD/YYYY hh:mm:ss,T °C\n03/04/2026 23:59:59,1\n03/05/2026 00:00:00,2\n", recorder.Format{}, "T: 0,1 1,2"},
		{"day first as an option", "time,T °C\n03/04/2026 23:59:59,1\n04/04/2026 00:00:00,2\n", recorder.Format{Dates: recorder.DayFirst}, "T: 0,1 1,2"},
		{"day and month equal", "time,T °C\n03/03/2026 10:00:00,1\n03/03/2026 10:00:01,2\n", recorder.Format{}, "T: 0,1 1,2"},
		{"afternoon", "time,T °C\n3/13/2026 11:59:59 AM,1\n3/13/2026 12:00:00 PM,2\n3/13/2026 1:00:00 PM,3\n", recorder.Format{}, "T: 0,1 1,2 3601,3"},
		{"date of its own", "date;time;T °C\n12.03.2026;23:59;1\n13.03.2026;00:00;2\n", recorder.Format{}, "T: 0,1 60,2"},
		{"date after the time", "time;date;T °C\n23:59:59;31/12/26;1\n00:00:00;01/01/27;2\n", recorder.Format{}, "T: 0,1 1,2"},
		{"morning", "time,T °C\n12/31/2026 12:00:00 AM,1\n12/31/2026 1:00:00 am,2\n", recorder.Format{}, "T: 0,1 3600,2"},
		{"index number", "No.;time;T °C\n1;10:00:00;1\n2;10:00:05;2\n", recorder.Format{}, "T: 0,1 5,2"},
		{"index number and seconds", "No.;s;T °C\n1;0;1\n2;5;2\n", recorder.Format{}, "T: 0,1 5,2"},
		{"hh:mm:ss", "0:00:00;1\n0:59:59;2\n100:00:00;3\n", celsius, "1: 0,1 3599,2 360000,3"},
		{"mm:ss", "00:00;1\n59:59;2\n75:30.5;3\n", celsius, "1: 0,1 3599,2 4530.5,3"},
		{"hh:mm", "time (hh:mm);T °C\n10:00;1\n10:01;2\n", recorder.Format{}, "T: 0,1 60,2"},
		{"milliseconds", "ms;T °C\n0;1\n500;2\n", recorder.Format{}, "T: 0,1 0.5,2"},
		{"hours as an option", "t;T °C\n0;1\n0.5;2\n", recorder.Format{Time: recorder.Hours}, "T: 0,1 1800,2"},
		{"long and odd numbers", "s;T °C\n0;187.12345678901234567\n1;+1.875E2\n2;-5\n3;.5\n", recorder.Format{}, "T: 0,187.123 1,187.5 2,-5 3,0.5"},
	}
	for _, test := range tests {
		got, err := show(test.file, test.format)
		if err != nil || got != test.want {
			t.Errorf("%s:\n got %s, %v\nwant %s", test.name, got, err, test.want)
		}
	}
}

func TestReaderRefuses(t *testing.T) {
	tests := []struct {
		name   string
		file   string
		format recorder.Format
		line   int
		text   string // of the line
		says   string
	}{
		{"nothing", "", recorder.Format{}, 0, "", "empty"},
		{"a mark only", "\xEF\xBB\xBF", recorder.Format{}, 0, "", "no line with a time"},
		{"header only", "s;T °C\n", recorder.Format{}, 0, "", "no line with a time"},
		{"UTF-16", "\xFF\xFEs\x00;\x00", recorder.Format{}, 1, "", "UTF-16"},
		{"UTF-16 without a mark", "s\x00;\x00T\x00", recorder.Format{}, 1, "", "UTF-16"},
		{"bad reading", "s;T °C\n0;1\n1;2x\n", recorder.Format{}, 3, "1;2x", `"2x" is not a number`},
		{"thousands", "s;T °C\n0;1\n1;1.234,5\n", recorder.Format{}, 3, "1;1.234,5", "thousands"},
		{"bad first reading", "s;T °C\n0;1x\n1;2\n", recorder.Format{}, 2, "0;1x", "begins like a line of readings"},
		{"bad time", "s;T °C\n0;1\nx;2\n", recorder.Format{}, 3, "x;2", "time"},
		{"footer", "s;T °C\n0;1\nend of log\n", recorder.Format{}, 3, "end of log", "time"},
		{"cut short", "s;A °C;B °C\n0;1;2\n1;2\n", recorder.Format{}, 3, "1;2", "cut short"},
		{"too long", "s;A °C\n0;1\n1;2;3\n", recorder.Format{}, 3, "1;2;3", "more than the 2 columns"},
		{"decimal comma between commas", "s,T °C\n0,187,5\n1,188,5\n", recorder.Format{}, 2, "0,187,5", "decimal comma between commas"},
		{"repeated time", "s;T °C\n0;1\n1;2\n1;3\n", recorder.Format{}, 4, "1;3", "not later"},
		{"time runs back", "s;T °C\n0;1\n2;2\n1;3\n", recorder.Format{}, 4, "1;3", "not later"},
		{"past midnight without dates", "time;T °C\n23:59:59;1\n00:00:00;2\n", recorder.Format{}, 3, "00:00:00;2", "midnight"},
		{"ambiguous date", "time;T °C\n03/04/2026 10:00:00;1\n", recorder.Format{}, 2, "03/04/2026 10:00:00;1", "day first or month first"},
		{"ambiguous date later", "time;T °C\n03/03/2026 23:59:59;1\n03/04/2026 00:00:00;2\n", recorder.Format{}, 3, "03/04/2026 00:00:00;2", "day first or month first"},
		{"no such day", "time;T °C\n28.02.2026 10:00:00;1\n29.02.2026 10:00:00;2\n", recorder.Format{}, 3, "29.02.2026 10:00:00;2", "time"},
		{"no scale", "s;T\n0;1\n", recorder.Format{}, 0, "", "°C or °F"},
		{"two scales", "°C or °F\ns;T\n0;1\n", recorder.Format{}, 0, "", "both °C and °F"},
		{"scale against the header", "s;T °C\n0;1\n", recorder.Format{Scale: bake.Fahrenheit}, 0, "", "°C, but °F was asked for"},
		{"no unit of time", "t;T °C\n0;1\n", recorder.Format{}, 2, "0;1", "seconds or minutes"},
		{"two units of time", "s or min;T °C\n0;1\n", recorder.Format{}, 2, "0;1", "seconds or minutes"},
		{"no such month", "time;T °C\n2026-13-01 10:00:00;1\n", recorder.Format{}, 0, "", "no line with a time"},
		{"no such offset", "time;T °C\n2026-12-01 10:00:00+1;1\n", recorder.Format{}, 0, "", "no line with a time"},
		{"no such time", "time;T °C\n25:00 PM;1\n", recorder.Format{}, 0, "", "no line with a time"},
		{"unit of time against the header", "min;T °C\n0;1\n", recorder.Format{Time: recorder.Seconds}, 0, "", "min, but s was asked for"},
		{"no unit of time at all", "t;T °C\n0;1\n", recorder.Format{Time: "days"}, 0, "", `"days"`},
		{"order against the header", "DD/MM/YYYY;T °C\n03/04/2026 10:00:00;1\n", recorder.Format{Dates: recorder.MonthFirst}, 0, "", "day first, but month first"},
		{"endless line", strings.Repeat("x", 100000), recorder.Format{}, 1, strings.Repeat("x", 100), "longer"},
	}
	for _, test := range tests {
		_, err := show(test.file, test.format)
		var line *recorder.LineError
		if !errors.As(err, &line) {
			t.Errorf("%s: got %v, want a LineError", test.name, err)
			continue
		}
		if line.Line != test.line || test.text != "" && line.Text != test.text || !strings.Contains(line.Problem, test.says) {
			t.Errorf("%s: got line %d %q: %s", test.name, line.Line, line.Text, line.Problem)
		}
		if where := fmt.Sprintf("line %d (", line.Line); !strings.HasSuffix(err.Error(), line.Problem) || strings.Contains(err.Error(), where) != (line.Line > 0) || len(err.Error()) > 400 {
			t.Errorf("%s: reads %q", test.name, err)
		}
	}
}

// A file arrives in pieces of any size, and lines lie across the edges of the buffer.
func TestReaderInPieces(t *testing.T) {
	var file strings.Builder
	file.WriteString("s;T °C\r\n")
	for i := range 40000 {
		fmt.Fprintf(&file, "%d;%d.25\r\n", i, i%200)
	}
	whole, err := show(file.String(), recorder.Format{})
	if err != nil {
		t.Fatal(err)
	}
	for name, from := range map[string]io.Reader{
		"halves":  iotest.HalfReader(strings.NewReader(file.String())),
		"bytes":   iotest.OneByteReader(strings.NewReader(file.String())),
		"at once": iotest.DataErrReader(strings.NewReader(file.String())),
	} {
		r, err := recorder.NewReader(from, recorder.Format{})
		if err != nil {
			t.Fatal(err)
		}
		n, sum := 0, 0.0
		for s, err := range r.Samples() {
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if s.Second != float64(n) || s.Celsius[0] != float64(n%200)+0.25 {
				t.Fatalf("%s: sample %d is %v", name, n, s)
			}
			n++
			sum += s.Celsius[0]
		}
		if n != 40000 {
			t.Errorf("%s: %d samples", name, n)
		}
	}
	if !strings.HasSuffix(whole, " 39999,199.25") {
		t.Errorf("ends with %s", whole[len(whole)-20:])
	}
}

func TestReaderPassesOnWhatBreaks(t *testing.T) {
	broken := errors.New("the stick was pulled out")
	r, err := recorder.NewReader(io.MultiReader(strings.NewReader("s;T °C\n0;1\n1;2\n"), iotest.ErrReader(broken)), recorder.Format{})
	if err == nil {
		_, err = bake.MinutesAbove(r, 150)
	}
	if !errors.Is(err, broken) {
		t.Errorf("got %v", err)
	}
	r, err = recorder.NewReader(strings.NewReader("s;T °C\n0;1\n"), recorder.Format{})
	if err != nil {
		t.Fatal(err)
	}
	for range r.Samples() {
		break
	}
	if _, err := bake.MinutesAbove(r, 150); !errors.Is(err, recorder.ErrReadTwice) {
		t.Errorf("second reading: %v", err)
	}
}

func TestBegun(t *testing.T) {
	for file, want := range map[string]string{
		"s;T °C\n0;1\n":                           "", // no date
		"time;T °C\n10:00:00;1\n":                 "",
		"Zeit;T °C\n12.03.2026 10:00:00;1\n":      "12.03.2026 10:00:00",
		"date;time;T °C\n12.03.2026;10:00:00;1\n": "12.03.2026 10:00:00",
	} {
		r, err := recorder.NewReader(strings.NewReader(file), recorder.Format{})
		if err != nil {
			t.Fatal(err)
		}
		if got := r.Begun(); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func FuzzReader(f *testing.F) {
	f.Add([]byte("s;1 °C;2 °C\n0;20;180\n300;120;200\n600;181;200\n660;;200\n"), "", "", "")
	f.Fuzz(func(t *testing.T, file []byte, scale, unit, dates string) {
		r, err := recorder.NewReader(strings.NewReader(string(file)), recorder.Format{Scale: bake.Scale(scale), Time: recorder.TimeUnit(unit), Dates: recorder.DateOrder(dates)})
		if err != nil {
			return
		}
		last := math.Inf(-1)
		for s, err := range r.Samples() {
			if err != nil {
				return
			}
			if !(s.Second > last) && last != math.Inf(-1) || len(s.Celsius) != len(r.Channels()) {
				t.Fatalf("sample %v after second %v of channels %q", s, last, r.Channels())
			}
			last = s.Second
			for _, c := range s.Celsius {
				if c < -273.15 || math.IsInf(c, 0) {
					t.Fatalf("reading %v", c)
				}
			}
		}
	})
}
