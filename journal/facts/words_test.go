package facts

import (
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"strconv"
	"strings"
	"testing"

	"fettlebook/journal"
)

// constants returns the constants of a type in quantity.go, group by group,
// with the comment over each group.
func constants(t *testing.T, of string) map[string][]string {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), "quantity.go", nil, parser.ParseComments)
	if err != nil {
		t.Fatal(err)
	}
	groups := make(map[string][]string)
	for _, d := range file.Decls {
		g, ok := d.(*ast.GenDecl)
		if !ok || g.Tok != token.CONST {
			continue
		}
		title := strings.TrimSpace(g.Doc.Text())
		for _, spec := range g.Specs {
			v := spec.(*ast.ValueSpec)
			if typed, ok := v.Type.(*ast.Ident); !ok || typed.Name != of {
				continue
			}
			word, err := strconv.Unquote(v.Values[0].(*ast.BasicLit).Value)
			if err != nil {
				t.Fatal(err)
			}
			groups[title] = append(groups[title], word)
		}
	}
	return groups
}

// full is a statement that has everything that words can ask for.
func full() Statement {
	return Statement{
		Of: "2", Value: "3", Unit: "min", Limit: Limit{Low: "1", High: "4"}, Source: "the manual", Result: clause("so it is"), Fault: errors.New("it cannot be"),
		Tool: &ToolState{ID: "tw-1", Doubt: NeverChecked, Stated: new(journal.Tool)},
	}
}

// Whatever can be stated has words.
func TestEverythingHasWords(t *testing.T) {
	seen := make(map[string]bool)
	tell := func(s Statement, name, text string) {
		if seen[name] {
			t.Errorf("%q stands for two things", name)
		}
		seen[name] = true
		if text == "" || strings.Contains(text, "%!") {
			t.Errorf("%q is told as %q", name, text)
		}
		if s.Say() == "" {
			t.Errorf("%q says nothing", name)
		}
	}
	quantities := 0
	for _, group := range constants(t, "Quantity") {
		for _, name := range group {
			s := full()
			s.Quantity, s.Sure = Quantity(name), Written
			if name == string(ToolUses) {
				s.Tool.Stated = nil
			}
			text := s.entryWords() + s.makeUpWords() + s.partWords() + s.coatWords() + s.lifeWords() + s.cornerWords() + s.drivingWords() + s.vehicleWords() + s.mannerWords()
			tell(s, name, text)
			quantities++
		}
	}
	clear(seen)
	causes := constants(t, "Cause")
	for _, name := range causes["What is still to come."] {
		s := full()
		s.Sure, s.Because = NotYet, Cause(name)
		tell(s, name, s.pending())
	}
	for _, name := range causes["How a later entry undid something."] {
		s := full()
		s.Tool, s.Sure, s.Because = nil, Undone, Cause(name)
		tell(s, name, s.undone())
	}
	if quantities < 50 || len(causes) != 3 || len(seen) < 60 {
		t.Errorf("only %d quantities and %d causes in %d groups were found", quantities, len(seen), len(causes))
	}
}

// Counts are right for every number.
func TestCount(t *testing.T) {
	for n, want := range map[string]string{"0": "0 plugs", "1": "1 plug", "2": "2 plugs", "11": "11 plugs"} {
		if got := count(n, "plug"); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

// A quantity is cut where its number ends, with or without a space, and however its
// thousands are set apart.
func TestSplit(t *testing.T) {
	for typed, want := range map[string][2]string{
		"27 N.m": {"27", "N.m"}, "27N.m": {"27", "N.m"}, "63 120 km": {"63 120", "km"}, "63\u202f120\u00a0km": {"63\u202f120", "km"},
		"4 US fl oz": {"4", "US fl oz"}, "80.5   µm": {"80.5", "µm"}, "–": {"–", ""}, "": {"", ""},
	} {
		if value, unit := split(clause(typed)); value != want[0] || unit != want[1] {
			t.Errorf("%q parts into %q and %q, want %q", typed, value, unit, want)
		}
	}
}
