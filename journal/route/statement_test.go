package route_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/route"
	"fettlebook/journal/trade/unit"

	"pgregory.net/rapid"
)

// Whatever is missing from a job, a verdict's sentence is its statements put
// in words, and each statement names what it is about and rests on entries of
// the verdict.
func TestVerdictsAreStatements(t *testing.T) {
	pinned := supplied(t, "caliper")
	whole := complete(t)
	rapid.Check(t, func(rt *rapid.T) {
		s := &story{tb: t, steps: slices.Clone(whole.steps)}
		last := s.index("opened")
		for range rapid.IntRange(0, 6).Draw(rt, "dropped") {
			// A step whose entry another one names stays.
			if i := rapid.IntRange(last+1, len(s.steps)-1).Draw(rt, "step"); s.steps[i].name != "road" {
				s.steps = slices.Delete(s.steps, i, i+1)
			}
		}
		s.steps = s.steps[:rapid.IntRange(last+1, len(s.steps)).Draw(rt, "until")]
		for _, v := range checked(pinned, s.write().log).List {
			hold(rt, v)
		}
	})
}

func hold(t *rapid.T, v route.Verdict) {
	var said, notes []string
	for _, s := range v.Statements {
		if v.State == route.Met && s.Fails() { // what the hold does not ask is a note behind what meets it
			notes = append(notes, "note: "+s.Say())
		} else {
			said = append(said, s.Say())
		}
		if s.Quantity == "" || s.About == "" || s.Sure == "" {
			t.Errorf("%s %s: a statement says too little: %+v", v.Hold, v.Subject, s)
		}
		if (s.Sure == facts.NotYet || s.Sure == facts.Undone || s.Sure == facts.NotProven) && s.Because == "" {
			t.Errorf("%s %s: %s without a cause", v.Hold, v.Subject, s.Say())
		}
		if s.Sure == facts.Undone && s.Undone.IsZero() || v.State == route.Met && (s.Sure == facts.Undone || s.Sure == facts.NotYet) {
			t.Errorf("%s %s is %s by %+v", v.Hold, v.Subject, v.State, s)
		}
		if v.Undone.IsZero() && s.Sure == facts.Undone {
			t.Errorf("%s %s: the verdict does not know what undid it: %s", v.Hold, v.Subject, s.Say())
		}
	}
	if text := strings.Join(append(said, notes...), "; "); len(v.Statements) > 0 && !strings.HasPrefix(v.Why, text) {
		t.Errorf("%s %s: %q is not the words of its statements, %q", v.Hold, v.Subject, v.Why, text)
	}
	if slices.IsSortedFunc(v.Entries, func(a, b journal.EntryID) int { return strings.Compare(a.String(), b.String()) }) == false {
		t.Errorf("%s %s: its entries are not in order", v.Hold, v.Subject)
	}
}

// What a statement gives beside a value is a unit, and not part of a number.
func TestStatementsHaveUnits(t *testing.T) {
	seen := map[string]bool{}
	for _, v := range checked(supplied(t, "caliper"), complete(t).write().log).List {
		for _, s := range v.Statements {
			for _, f := range append(slices.Clone(s.With), facts.Figure{Name: string(s.Quantity), Value: s.Value, Unit: s.Unit}) {
				if f.Unit != "" && !unit.Alike(f.Unit, f.Unit) {
					t.Errorf("%s: %s, %q of %q", v.Hold, f.Name, f.Unit, f.Value)
				}
				seen[f.Unit] = true
			}
		}
	}
	for _, spelled := range []string{"K", "mL", "N.m", "km"} {
		if !seen[spelled] {
			t.Errorf("nothing is stated in %s, but in %v", spelled, seen)
		}
	}
}

// A statement can be read by a program: figures, units, limits and causes
// stand beside the words.
func TestStatementAsJSON(t *testing.T) {
	w := complete(t).write()
	v := stands(checked(supplied(t, "caliper"), w.log), "banjo-torque", at("LF", ""))
	i := slices.IndexFunc(v.Statements, func(s facts.Statement) bool { return s.Quantity == facts.JointTorque })
	if i < 0 {
		t.Fatalf("no torque is stated: %+v", v)
	}
	raw, err := json.Marshal(v.Statements[i])
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		About, Quantity, Of, Value, Unit, Source, Met, Sure string
		Limit                                               struct{ Low, High string }
		Entries                                             []string
	}
	if err := json.Unmarshal(raw, &got); err != nil {
		t.Fatal(err)
	}
	if got.About != string(at("LF", "")) || got.Quantity != "torque" || got.Of != "Banjo bolt" || got.Value != "22" || got.Unit != "N.m" || got.Met != "yes" ||
		got.Sure != "measured on the part" || got.Limit.Low != "20.0 N·m" || got.Limit.High != "24.0 N·m" || got.Source != "maker's manual, 4-17" || len(got.Entries) != 4 {
		t.Errorf("got %s", raw)
	}
}
