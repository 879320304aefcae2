package pages_test

import (
	"fmt"
	"iter"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/demo"
	"fettlebook/cmd/internal/pages/browsertest"
)

// What a page must keep to, beside what the checker of accessibility wants.
const (
	benchTarget = 60 // px on a side, for gloved hands
	deskTarget  = 44
	benchText   = 18       // px
	deskText    = 14       // px
	mostWeight  = 60 << 10 // bytes over the line, without photographs
)

// shape is what addresses have in common that differ in names only: one of
// each is looked at. Of several answers in a query the first counts; pages
// with more of them are combinations of what is looked at anyway.
func shape(path string) string {
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

// form reports whether a page is the form of one kind of entry. They are many, and made
// by one template.
func form(shape string) bool {
	return strings.HasPrefix(shape, "write/") || strings.HasPrefix(shape, "stage/") && strings.HasSuffix(shape, "/kind")
}

// narrowed reports whether a page is one that is looked at anyway, with less on it.
func narrowed(shape string) bool {
	return regexp.MustCompile(`^(job|vehicle|record)/.*/(all|corner|what|stage)$`).MatchString(shape)
}

// crawl follows the links of a site and yields one address of each shape; of the forms
// and of pages that are narrowed one in three, unless pages are looked at everywhere. Whoever takes it opens it; where
// that leads to is asked of the page then.
func crawl(p *browsertest.Page) iter.Seq[string] {
	return func(yield func(string) bool) {
		seen := map[string]bool{}
		waiting := []string{"/"}
		for len(waiting) > 0 {
			path := waiting[0]
			waiting = waiting[1:]
			key := shape(path)
			if key == "" || seen[key] {
				continue
			}
			seen[key] = true
			if strings.HasPrefix(path, "/photo/") || strings.HasPrefix(path, "/thumb/") || path == "/live" || strings.HasPrefix(path, "/receipt/") { // a paper: package paper looks at it
				continue
			}
			if (form(key) || narrowed(key)) && !browsertest.OneIn(3, key) {
				continue
			}
			if !yield(path) {
				return
			}
			waiting = append(waiting, p.Links()...)
		}
	}
}

// looks are the ways in which a page is looked at: one, which its shape chooses, or
// all of them.
func looks(path string) []browsertest.Look {
	if !strings.HasPrefix(path, "/trace") && !strings.HasPrefix(path, "/now/") {
		return browsertest.Looks(shape(path))
	}
	all := browsertest.AllLooks() // each is another page at each size
	if !browsertest.Everywhere() {
		all = slices.DeleteFunc(all, func(l browsertest.Look) bool { return l.Dark })
	}
	return all
}

// zoomed are the screens on which pages of the bench are looked at with a zoom of 200 %:
// the narrowest, or all.
func zoomed(set string) []browsertest.Size {
	switch {
	case set != "bench":
		return nil
	case browsertest.Everywhere():
		return []browsertest.Size{browsertest.Landscape.Twice(), browsertest.Upright.Twice(), browsertest.Phone.Twice()}
	default:
		return []browsertest.Size{browsertest.Phone.Twice()}
	}
}

// TestEveryPage looks at every page of a bench and a desk on which a day was
// worked, and at one in three of the forms and of the pages that are narrowed: each at one size, in light or in dark, and
// where pages are looked at everywhere at all of them, at every size, in light and in
// dark. The checker of accessibility looks
// at those that stand upright, by default in light only. FETTLEBOOK_SHOTS names a folder
// for pictures of all that is looked at.
func TestEveryPage(t *testing.T) {
	t.Parallel()
	day := house.Day(t)
	sites := day.Sites()
	recordOpens(t, sites[0])
	job, claims := complaints(t, day)
	b := house.Browser(t)
	t.Run("desk", func(t *testing.T) {
		p := b.Page(browsertest.Landscape).For(t)
		p.Open(sites[0] + "/")
		looked := every(t, p, sites[0], "desk", slices.Values([]string{"/signin"}), deskTarget, deskText)
		p.Open(sites[0] + "/signin")
		p.Fill("Passphrase", demo.Passphrase)
		p.Go("Sign in")
		p.Open(sites[0] + "/who")
		p.Go("IO")
		looked = append(looked, every(t, p, sites[0], "desk", chain(crawl(p), slices.Values(unlinked(job)), slices.Values(claims)), deskTarget, deskText)...)
		rest(t, looked, deskRoutes)
	})
	t.Run("trace", func(t *testing.T) {
		p := b.Page(browsertest.Upright).For(t)
		p.Open(sites[1] + "/who")
		p.Go("JR")
		every(t, p, sites[1], "bench", slices.Values([]string{"/trace?q=TRL+4417", "/trace?q=so-118", "/trace?q=K7", "/trace"}), benchTarget, benchText)
		traced(t, p, sites[1]+"/trace?q=TRL+4417")
	})
	t.Run("bench", func(t *testing.T) {
		p := b.Page(browsertest.Upright).For(t)
		p.Open(sites[1] + "/who")
		p.Go("JR")
		looked := every(t, p, sites[1], "bench", chain(crawl(p), slices.Values(unlinked(job))), benchTarget, benchText)
		rest(t, looked, benchRoutes)
	})
}

// every looks at pages, and returns which.
func every(t *testing.T, p *browsertest.Page, from, set string, paths iter.Seq[string], target int, text float64) (all []string) {
	t.Helper()
	shots := os.Getenv("FETTLEBOOK_SHOTS")
	heaviest, where, looked := 0, "", 0
	defer func() { t.Logf("%d pages of the %s; the heaviest, %s, has %d bytes", looked, set, where, heaviest) }()
	taken := map[string]int{} // pictures of pages with addresses of one shape
	for path := range paths {
		if slices.Contains(all, path) { // it was led to, and is named as well
			continue
		}
		looked++
		all = append(all, path)
		name := strings.Trim(regexp.MustCompile(`[^A-Za-z0-9]+`).ReplaceAllString(shape(path), "-"), "-")
		if taken[name]++; taken[name] > 1 {
			name += fmt.Sprintf("-%d", taken[name])
		}
		complain := func(what string, found []string) {
			for _, f := range found {
				t.Errorf("%s, %s: %s", path, what, f)
			}
		}
		for i, c := range looks(path) {
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
				complain("small target at "+c.Size.Name, p.Targets(target))
				complain("small text at "+c.Size.Name, p.SmallText(text))
			}
			if c.Size == browsertest.Upright && (!c.Dark || browsertest.Everywhere()) { // what it finds hangs on the colours and the markup, hardly on the size
				complain(fmt.Sprintf("dark %v", c.Dark), p.Axe(set == "bench"))
			}
			if shots != "" {
				p.Shot(filepath.Join(shots, set, name+"-"+c.Size.Name+"-"+c.Theme()+".png"))
			}
		}
		for _, size := range zoomed(set) {
			p.Resize(size)
			p.Dark(false)
			complain("at "+size.Name, p.Overflow())
			complain("cut off at "+size.Name, p.CutOff())
			complain("over another at "+size.Name, p.Overlaps())
			if shots != "" {
				p.Shot(filepath.Join(shots, set, name+"-"+size.Name+".png"))
			}
		}
		complain("complaint", p.Complaints())
	}
	if s := p.Strangers(); len(s) > 0 {
		t.Errorf("pages ask other machines: %v", s)
	}
	return all
}

// chain is one sequence after another.
func chain(seqs ...iter.Seq[string]) iter.Seq[string] {
	return func(yield func(string) bool) {
		for _, s := range seqs {
			for path := range s {
				if !yield(path) {
					return
				}
			}
		}
	}
}
