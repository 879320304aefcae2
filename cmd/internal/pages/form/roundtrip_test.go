package form_test

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/form"
	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/trade/unit"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"pgregory.net/rapid"
)

// withParts is the form of a run, whose page brings the parts.
func withParts(s form.Sheet) form.Sheet {
	s.Fields = append(slices.Clone(s.Fields), form.Field{Name: "parts", Label: "Parts", Control: form.Several})
	return s
}

// without takes members out of data.
func without(tb testing.TB, raw jsontext.Value, names ...string) string {
	tb.Helper()
	var d map[string]any
	if err := json.Unmarshal(raw, &d); err != nil {
		tb.Fatal(err)
	}
	for _, n := range names {
		delete(d, n)
	}
	out, err := json.Marshal(d, json.Deterministic(true))
	if err != nil {
		tb.Fatal(err)
	}
	return string(out)
}

// TestWhatIsWrittenCanBeTypedAgain: the data of the fullest and the leanest
// sample of every kind comes out of its form as it went in, so that a
// correction changes only what the hand changes.
func TestWhatIsWrittenCanBeTypedAgain(t *testing.T) {
	seen := map[journal.Kind]int{}
	for _, d := range slices.Concat(journaltest.Samples(), journaltest.Minimal()) {
		kind := d.Data.Kind()
		s, err := form.Of(kind)
		if err != nil {
			continue
		}
		seen[kind]++
		raw, err := journal.MarshalPayload(d.Data)
		if err != nil {
			t.Fatal(err)
		}
		if without(t, raw) != without(t, raw, "parts") {
			s = withParts(s)
		}
		got, problems := s.Data(s.Values(raw))
		if kind == journal.PhotoTaken {
			if len(problems) != 1 || problems[""] != "Add the photograph." {
				t.Errorf("a photograph without one gives %v", problems)
			}
			continue
		}
		if len(problems) > 0 {
			t.Errorf("%s: %v", kind, problems)
			continue
		}
		if want := without(t, raw, "photos", "confirmed"); string(got) != want {
			t.Errorf("%s came out as\n%s\ninstead of\n%s", kind, got, want)
		}
	}
	for kind := range journal.Kinds() {
		if _, err := form.Of(kind); err == nil && seen[kind] != 2 {
			t.Errorf("there are %d samples of %s", seen[kind], kind)
		}
	}
}

// TestOddDataCanBeTypedAgain: data that no form wrote comes back unchanged too.
func TestOddDataCanBeTypedAgain(t *testing.T) {
	var spots []string
	for i := range 300 {
		spots = append(spots, fmt.Sprintf(`{"place":"spot %d","readings":["%d µm"]}`, i, 60+i%40))
	}
	for _, trial := range []struct {
		kind       journal.Kind
		data, want string // want "" is the same
	}{
		{journal.TorqueApplied, `{"joint":"banjo bolt","tool":"tw-1","torque":"27N.m"}`, ""},
		{journal.TorqueApplied, `{"joint":"banjo bolt","tool":"tw-1","torque":"27  N.m"}`, ""},
		{journal.TorqueApplied, `{"joint":"banjo bolt","tool":"tw-1","torque":"20 ft·lb"}`, ""},
		{journal.TorqueApplied, `{"joint":"banjo bolt","marked":false,"tool":"tw-1","torque":"27 N.m"}`, `{"joint":"banjo bolt","tool":"tw-1","torque":"27 N.m"}`},
		{journal.PartBlasted, `{"media":"glass bead","pressure":"0.4 MPa"}`, ""},
		{journal.FilmMeasured, `{"spots":[{"place":"flank","readings":["82µm","3.1 mil","79 um"]}]}`, ""},
		{journal.FilmMeasured, `{"spots":[` + strings.Join(spots, ",") + `]}`, ""},
		{journal.ParkbrakeServiced, `{"battery":"−0.5 V","state":"calibrated"}`, ""},
	} {
		s := sheet(t, trial.kind)
		if trial.want == "" {
			trial.want = trial.data
		}
		if got, problems := s.Data(s.Values(jsontext.Value(trial.data))); string(got) != trial.want {
			t.Errorf("%s came out as\n%s, %v\ninstead of\n%s", trial.data, got, problems, trial.want)
		}
	}
	many := `{"spots":[` + strings.Repeat(spots[0]+",", 1000) + spots[1] + `]}`
	s := sheet(t, journal.FilmMeasured)
	if got, problems := s.Data(s.Values(jsontext.Value(many))); got != nil || problems["spots"] == "" {
		t.Errorf("of 1001 spots some are lost without a word: %v", problems)
	}
	if v := s.Values(jsontext.Value(`"no object"`)); len(v) > 0 {
		t.Errorf("out of no data come %v", v)
	}
}

// hand draws what a person may type into a form.
type hand struct {
	*rapid.T
	kind  journal.Kind
	typed form.Values
}

// draw fills a form in so that its kind takes it, in the form in which Values
// gives it back.
func (h hand) draw(s form.Sheet, is schema) {
	groups := map[string]bool{"vehicle": true, "units": true}
	needed := []string{"vehicle.plate", "torque", "tool", "nominal", "fluid", "stands", "shown", "outline", "x", "y", "ready", "warranty.words"} // by their kinds' own rules
	for i := range s.Fields {
		f := &s.Fields[i]
		about, required, _ := is.find(f.Name)
		if group, _, ok := strings.Cut(f.Name, "."); ok {
			if _, drawn := groups[group]; !drawn {
				groups[group] = rapid.Bool().Draw(h.T, group)
			}
			if !groups[group] {
				continue
			}
		}
		if f.Required || required || slices.Contains(needed, f.Name) || rapid.Bool().Draw(h.T, f.Name+"?") {
			h.field(f, f.Name, about)
		}
	}
	if s.Kind == journal.TorqueApplied && h.typed.Get("bolt") != "" {
		delete(h.typed, "count") // one bolt that is named is one
	}
	if s.Kind == journal.BleedDone && h.typed.Get("which") != "" {
		delete(h.typed, "screws") // and one bleeder screw
	}
	if s.Kind == journal.ConditionFound && h.typed.Get("decision") == "" {
		delete(h.typed, "reason") // which is one of a decision
	}
	if s.Kind == journal.RecallMade {
		delete(h.typed, "until") // which is not before the first day
	}
	if s.Kind == journal.EquipmentServiced { // the others ask for more
		h.typed["done"] = []string{string(journal.FilterChanged)}
	}
	for name := range h.typed { // a question is asked once
		if strings.HasPrefix(name, "excludes.") || strings.HasSuffix(name, ".question") {
			h.typed[name] = []string{name}
		}
	}
	if s.Kind == journal.ManualRead { // an order names all four
		for i, c := range rapid.Permutation([]string{"LF", "RF", "LR", "RR"}).Draw(h.T, "corners") {
			h.typed[fmt.Sprintf("order.%d", i)] = []string{c}
		}
	}
	if scale := h.typed.Get("scale"); s.Kind == journal.AdhesionTested {
		classes := map[string][]string{"ISO 2409": {"0", "5"}, "ASTM D3359 B": {"5B", "0B"}}
		h.typed["class"] = []string{rapid.SampledFrom(classes[scale]).Draw(h.T, "class")}
	}
}

func (h hand) field(f *form.Field, name string, about schema) {
	switch f.Control {
	case form.Quantity:
		in := rapid.SampledFrom(f.Units).Draw(h.T, name+".unit")
		number := h.number(f, name, in)
		if rapid.Bool().Draw(h.T, "in one piece") {
			h.typed[name] = []string{number + in}
			return
		}
		h.typed[name], h.typed[name+".unit"] = []string{number}, []string{in}
	case form.Count:
		low, high := h.span(name, "")
		h.typed[name] = []string{fmt.Sprint(rapid.IntRange(int(low), int(min(high, 999))).Draw(h.T, name))}
	case form.Choice:
		h.typed[name] = []string{rapid.SampledFrom(f.Words).Draw(h.T, name)}
	case form.Several:
		h.typed[name] = rapid.SliceOfNDistinct(rapid.SampledFrom(f.Words), 1, len(f.Words), rapid.ID).Draw(h.T, name)
	case form.YesNo:
		h.typed[name] = []string{rapid.SampledFrom([]string{"yes", "no"}).Draw(h.T, name)}
	case form.Tick:
		h.typed[name] = []string{"yes"}
	case form.List, form.Rows:
		for i := range rapid.IntRange(1, 4).Draw(h.T, name) {
			h.row(f, fmt.Sprintf("%s.%d", name, i), i, about)
		}
	default:
		h.typed[name] = []string{h.text(name, about)}
	}
}

// row fills one row in.
func (h hand) row(f *form.Field, at string, i int, about schema) {
	for j := range f.Cells {
		c := &f.Cells[j]
		switch {
		case f.Control == form.List:
			of := schema{}
			if f.Cells[0].Control == form.Pick || f.Cells[0].Control == form.Refer {
				of = *about.Items
			}
			h.typed[at] = []string{h.text(at, of)}
		case f.Name == "probes" && c.Name == "channel": // no two are the same
			h.typed[at+".channel"] = []string{fmt.Sprint(i)}
		case c.Name == "what", c.Name == "joint": // no two are the same
			h.typed[at+"."+c.Name] = []string{fmt.Sprintf("%s, %s %d", h.text(at, schema{}), f.Name, i)}
		case f.Name == "positions": // at least one is said, of a part of the rack
			h.typed[at+"."+c.Name] = []string{"job/4f7kk2m9/corner/LF/part/caliper"}
		case c.Name == "readings":
			h.readings(c, at+".readings")
		case c.Required || rapid.Bool().Draw(h.T, at+"?"):
			cell, _, _ := about.Items.find(c.Name)
			h.field(c, at+"."+c.Name, cell)
		}
	}
}

func (h hand) readings(c *form.Field, name string) {
	var words []string
	for range rapid.IntRange(1, 5).Draw(h.T, name) {
		words = append(words, h.number(c, name, "mil")) // which are as many µm at least
	}
	if rapid.Bool().Draw(h.T, "of two units") && len(words) > 1 {
		h.typed[name] = []string{strings.Join(words, "µm ") + " mil"}
		return
	}
	h.typed[name], h.typed[name+".unit"] = []string{strings.Join(words, " ")}, []string{rapid.SampledFrom(c.Units).Draw(h.T, name+".unit")}
}

// number draws a figure that may lie at a path, in a unit.
func (h hand) number(f *form.Field, path, in string) string {
	if f.Name == "odometer" { // of which 63.120 may be thousands
		return rapid.StringMatching(`[1-9][0-9]{0,4}(\.[0-9]{1,2})?|[1-9][0-9]{0,2} [0-9]{3}|[1-5]( [0-9]{3}){2}`).Draw(h.T, f.Name)
	}
	low, high := h.span(path, in)
	digits := rapid.IntRange(0, 3).Draw(h.T, "digits")
	fits := rapid.Custom(func(t *rapid.T) string {
		return strconv.FormatFloat(rapid.Float64Range(low, high).Draw(t, "figure"), 'f', digits, 64)
	}).Filter(func(number string) bool {
		x, _ := unit.Decimal(number)
		return low <= x && x <= high
	})
	sign := strings.NewReplacer()
	if rapid.Bool().Draw(h.T, "a true minus") {
		sign = strings.NewReplacer("-", "−")
	}
	return sign.Replace(fits.Draw(h.T, f.Name))
}

// span is between what a figure at a path can lie, in a unit.
func (h hand) span(path, in string) (low, high float64) {
	span, ok := journal.SpanOf(h.kind, regexp.MustCompile(`\.[0-9]+`).ReplaceAllString(path, ""))
	if !ok {
		h.T.Fatalf("%s %s has no span", h.kind, path)
	}
	of := func(limit string) float64 {
		number, spelling := unit.Split(limit)
		x, _ := unit.Decimal(number)
		if spelling != "" {
			x, _ = unit.Between(x, spelling, in)
		}
		return x
	}
	return of(span.Low), of(span.High)
}

// text draws a text that the schema's pattern takes.
func (h hand) text(name string, about schema) string {
	switch {
	case about.Type == "integer":
		return fmt.Sprint(rapid.IntRange(1, 99).Draw(h.T, name))
	case about.Format == "date":
		day := rapid.IntRange(0, 30000).Draw(h.T, name)
		return time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, day).Format(time.DateOnly)
	case regexp.MustCompile(`probes\.\d+\.on|^as$`).MatchString(name):
		return "job/4f7kk2m9/corner/LF/part/caliper"
	case strings.HasSuffix(name, ".photo"): // the hash of nothing is none
		return rapid.StringMatching(`sha256:[1-9a-f][0-9a-f]{63}`).Draw(h.T, name)
	case strings.HasPrefix(name, "vins."):
		return "WDX1284A" + strings.TrimPrefix(name, "vins.")
	case strings.HasPrefix(name, "fits."):
		return "estate " + strings.TrimPrefix(name, "fits.")
	case strings.HasPrefix(name, "kits."):
		return strings.ReplaceAll(name, ".", "-") // each kit once
	case about.Most == journal.MaxName:
		return rapid.StringMatching(`[A-Za-z0-9][A-Za-z0-9._-]{0,39}`).Draw(h.T, name)
	case about.Pattern != "":
		return rapid.StringMatching(about.Pattern).Draw(h.T, name)
	default:
		return rapid.StringMatching(`[!-~µ°ß]([ -~µ°ß\n]{0,30}[!-~µ°ß])?`).Draw(h.T, name)
	}
}

// TestAnyFormTypedAgain: whatever is typed into the form of any kind and
// becomes data comes out of the data as it was typed, and into it again.
func TestAnyFormTypedAgain(t *testing.T) {
	for kind := range journal.Kinds() {
		s, err := form.Of(kind)
		if err != nil || kind == journal.PhotoTaken { // it has nothing but its photograph
			continue
		}
		is := schemaOf(t, kind)
		t.Run(string(kind), rapid.MakeCheck(func(t *rapid.T) {
			h := hand{t, kind, form.Values{}}
			h.draw(s, is)
			s := s
			if kind == journal.BakeStarted {
				s = withParts(s)
				h.typed["parts"] = []string{"job/4f7kk2m9/corner/LF/part/caliper"}
			}
			for name := range h.typed {
				if row, ok := strings.CutSuffix(name, ".parts"); ok && strings.HasPrefix(row, "counted.") {
					h.typed[row+".defects"] = []string{"1"} // of which there are no more than parts
				}
			}
			data, problems := s.Data(h.typed)
			if len(problems) > 0 {
				t.Fatalf("%q: %q", h.typed, problems)
			}
			back := s.Values(data)
			if !maps.EqualFunc(back, h.typed, slices.Equal[[]string]) {
				t.Fatalf("typed %q\ncame back as %q\nout of %s", h.typed, back, data)
			}
			if again, _ := s.Data(back); string(again) != string(data) {
				t.Fatalf("%s became %s", data, again)
			}
		}))
	}
}
