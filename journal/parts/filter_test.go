package parts_test

import (
	"strings"
	"testing"
	"time"

	"fettlebook/journal/parts"
)

func TestFilter(t *testing.T) {
	long := parts.NewRow("job/4f7kk2m9/corner/LF/part/caliper", 1)
	long.Put(parts.SoakMinutes, parts.Num(45))
	long.Put(parts.Pattern, parts.Text("K17"))
	long.Put(parts.Date, parts.On(time.Date(2026, 3, 14, 23, 0, 0, 0, time.FixedZone("", -7200))))
	long.Put(parts.Looked, parts.Yes(true))
	bare := parts.NewRow("job/4f7kk2m9/corner/RF/part/caliper", 1)
	table := parts.New(bare, long)

	for _, c := range []struct {
		conditions string
		rows       string
	}{
		{"", "LF RF"},
		{"pattern=k17", "LF"},
		{"pattern!=K17", ""},
		{"pattern=?", "RF"},
		{"pattern!=?", "LF"},
		{"soak_minutes<45", ""},
		{"soak_minutes<=45", "LF"},
		{"soak_minutes >= 45, day>=2026-03", "LF"},
		{"day>=2026-03, day<2026-04", "LF"},
		{"day=2026-03-14", "LF"},
		{"day<2026", ""},
		{"looked=yes", "LF"},
		{"looked=no", ""},
		{"coat=1", "LF RF"},
	} {
		var conditions []string
		if c.conditions != "" {
			conditions = strings.Split(c.conditions, ", ")
		}
		f, err := parts.ParseFilter(conditions...)
		if err != nil {
			t.Errorf("%s: %v", c.conditions, err)
			continue
		}
		var got []string
		for i, some := 0, table.Where(f); i < some.Len(); i++ {
			got = append(got, string(some.Row(i).Subject().Corner()))
		}
		if rows := strings.Join(got, " "); rows != c.rows {
			t.Errorf("%s lets through %q, want %q", c.conditions, rows, c.rows)
		}
	}
}

func TestWrongFilters(t *testing.T) {
	for condition, want := range map[string]string{
		"pattern":           "is not a condition",
		"colour of it=red":  "no column",
		"soak_minutes<long": "is not a number",
		"pattern<K17":       "ask with = or !=",
		"pattern=":          "asks for nothing",
		"day>=yesterday":    "is not a day",
		"looked=perhaps":    "neither yes nor no",
		"soak_minutes<?":    "ask with = or !=",
		"soak_minutes!30":   "is not a condition",
	} {
		if _, err := parts.ParseFilter(condition); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", condition, err, want)
		}
	}
}

func FuzzFilter(f *testing.F) {
	for _, seed := range []string{"pattern=K17", "day>=2026-03", "soak_minutes<=3e1", "looked!=?"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		some, err := parts.ParseFilter(text)
		if err != nil {
			return
		}
		again, err := parts.ParseFilter(some[0].String())
		if err != nil || again[0].String() != some[0].String() {
			t.Errorf("%q is written %q, which reads as %v, %v", text, some[0], again, err)
		}
	})
}
