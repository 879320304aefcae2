package browsertest

import (
	"fmt"
	"iter"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// Set is what the pages of a kind of machine must keep to, beside what the checker of
// accessibility wants.
type Set struct {
	name   string
	gloved bool
	Target int     // px on a side
	Text   float64 // px
}

// The pages of a bench, which gloved hands use, and of a desk.
var (
	BenchSet = Set{name: "bench", gloved: true, Target: 60, Text: 18}
	DeskSet  = Set{name: "desk", Target: 44, Text: 14}
)

const mostWeight = 60 << 10 // bytes over the line, without photographs

// Shape is what addresses have in common that differ in names only: one of
// each is looked at. Of several answers in a query the first counts; pages
// with more of them are combinations of what is looked at anyway.
func Shape(path string) string {
	path, query, _ := strings.Cut(path, "?")
	parts := strings.Split(strings.Trim(path, "/"), "/")
	words := map[string]bool{}
	for _, w := range strings.Fields("job corner part run person lot tool fluid spec device card") {
		words[w] = true
	}
	for i, p := range parts {
		switch parts[0] {
		case "picture":
			if i > 0 {
				parts[i] = "x"
			}
		case "write", "stage":
			if i > 1 && words[parts[i-1]] && p != "new" || i == 1 && parts[0] == "stage" {
				parts[i] = "x"
			}
		default:
			if i == len(parts)-1 && i > 0 && !slices.Contains([]string{"new", "edit", "check", "publish", "invite"}, p) || i > 1 || i == 1 && parts[0] == "routes" {
				parts[i] = "x"
			}
		}
	}
	first, more, _ := strings.Cut(query, "&")
	key, _, _ := strings.Cut(first, "=")
	if more != "" && parts[0] != "write" {
		return "" // a combination
	}
	return strings.Join(append(parts, key), "/")
}

// looksAt are the ways in which a page is looked at: one, which its shape chooses, or
// all of them.
func looksAt(path string) []Look {
	if strings.HasPrefix(path, "/trace") || strings.HasPrefix(path, "/now/") { // each is another page at each size
		return Sample(path, AllLooks())
	}
	return Looks(Shape(path))
}

// zoomed are the screens on which a page of the bench is looked at with a zoom of 200 %:
// the narrowest, for one page in four, or all.
func (s Set) zoomed(path string) []Size {
	switch {
	case !s.gloved || !OneIn(4, "zoomed "+Shape(path)):
		return nil
	case Everywhere():
		return []Size{Landscape.Twice(), Upright.Twice(), Phone.Twice()}
	default:
		return []Size{Phone.Twice()}
	}
}

// Every opens pages of a set and looks at one in six, in the way that its shape chooses,
// or at all of them in every way. It returns which it opened.
func Every(t *testing.T, p *Page, from string, set Set, paths iter.Seq[string]) (all []string) {
	t.Helper()
	shots := os.Getenv("FETTLEBOOK_SHOTS")
	heaviest, where, looked := 0, "", 0
	defer func() {
		t.Logf("%d pages of the %s; the heaviest, %s, has %d bytes", looked, set.name, where, heaviest)
	}()
	taken := map[string]int{} // pictures of pages with addresses of one shape
	for path := range paths {
		if slices.Contains(all, path) { // it was led to, and is named as well
			continue
		}
		looked++
		all = append(all, path)
		name := strings.Trim(regexp.MustCompile(`[^A-Za-z0-9]+`).ReplaceAllString(Shape(path), "-"), "-")
		if taken[name]++; taken[name] > 1 {
			name += fmt.Sprintf("-%d", taken[name])
		}
		complain := func(what string, found []string) {
			for _, f := range found {
				t.Errorf("%s, %s: %s", path, what, f)
			}
		}
		if !OneIn(6, "page "+Shape(path)) {
			p.Resize(Upright)
			p.Open(from + path)
			complain("complaint", p.Complaints())
			continue
		}
		for i, c := range looksAt(path) {
			p.Resize(c.Size)
			p.Dark(c.Dark)
			switch {
			case i == 0: // with the style sheet and the script, as on a first visit
				weight := p.WeightOf(from + path)
				if weight > heaviest {
					heaviest, where = weight, path
				}
				if weight > mostWeight {
					t.Errorf("%s weighs %d bytes", path, weight)
				}
			case !c.Dark:
				p.Open(from + path)
			}
			if i == 0 {
				complain("says twice", twice(path, p.Twice()))
				complain("straight quotes", p.Quotes())
				complain("shop default", p.Defaults())
			}
			if i == 0 || !c.Dark {
				complain("at "+c.Size.Name, p.Overflow())
				complain("cut off at "+c.Size.Name, p.CutOff())
				complain("over another at "+c.Size.Name, p.Overlaps())
				complain("small target at "+c.Size.Name, p.Targets(set.Target))
				complain("small text at "+c.Size.Name, p.SmallText(set.Text))
			}
			switch { // what it finds hangs on the colours and the markup, hardly on the size
			case c.Size == Upright && !c.Dark:
				complain("light", p.Axe(set.gloved))
			case c.Size == Upright && Everywhere():
				complain("dark", p.AxeColours(set.gloved))
			}
			if shots != "" {
				p.Shot(filepath.Join(shots, set.name, name+"-"+c.Size.Name+"-"+c.Theme()+".png"))
			}
		}
		for _, size := range set.zoomed(path) {
			p.Resize(size)
			p.Dark(false)
			complain("at "+size.Name, p.Overflow())
			complain("cut off at "+size.Name, p.CutOff())
			complain("over another at "+size.Name, p.Overlaps())
			if shots != "" {
				p.Shot(filepath.Join(shots, set.name, name+"-"+size.Name+".png"))
			}
		}
		complain("complaint", p.Complaints())
	}
	if s := p.Strangers(); len(s) > 0 {
		t.Errorf("pages ask other machines: %v", s)
	}
	return all
}
