package day_test

import (
	"iter"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/demo"
	"fettlebook/cmd/internal/pages/browsertest"
)

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
// and of pages that are narrowed one in twelve, unless pages are looked at everywhere. Whoever takes it opens it; where
// that leads to is asked of the page then.
func crawl(p *browsertest.Page) iter.Seq[string] {
	return func(yield func(string) bool) {
		seen := map[string]bool{}
		waiting := []string{"/"}
		for len(waiting) > 0 {
			path := waiting[0]
			waiting = waiting[1:]
			key := browsertest.Shape(path)
			if key == "" || seen[key] {
				continue
			}
			seen[key] = true
			if strings.HasPrefix(path, "/photo/") || strings.HasPrefix(path, "/thumb/") || path == "/live" || strings.HasPrefix(path, "/receipt/") { // a paper: package paper looks at it
				continue
			}
			if (form(key) || narrowed(key)) && !browsertest.OneIn(12, key) {
				continue
			}
			if !yield(path) {
				return
			}
			waiting = append(waiting, p.Links()...)
		}
	}
}

// TestEveryPage looks at every page of a bench and a desk on which a day was
// worked, and at one in twelve of the forms and of the pages that are narrowed: each at one size, in light or in dark, and
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
		looked := browsertest.Every(t, p, sites[0], browsertest.DeskSet, slices.Values([]string{"/signin"}))
		p.Open(sites[0] + "/signin")
		p.Fill("Passphrase", demo.Passphrase)
		p.Go("Sign in")
		p.Open(sites[0] + "/who")
		p.Go("IO")
		looked = append(looked, browsertest.Every(t, p, sites[0], browsertest.DeskSet, chain(crawl(p), slices.Values(unlinked(job)), slices.Values(claims)))...)
		rest(t, looked, deskRoutes)
	})
	t.Run("trace", func(t *testing.T) {
		p := b.Page(browsertest.Upright).For(t)
		p.Open(sites[1] + "/who")
		p.Go("JR")
		browsertest.Every(t, p, sites[1], browsertest.BenchSet, slices.Values([]string{"/trace?q=TRL+4417", "/trace?q=so-118", "/trace?q=K7", "/trace"}))
		traced(t, p, sites[1]+"/trace?q=TRL+4417")
	})
	t.Run("bench", func(t *testing.T) {
		p := b.Page(browsertest.Upright).For(t)
		p.Open(sites[1] + "/who")
		p.Go("JR")
		looked := browsertest.Every(t, p, sites[1], browsertest.BenchSet, chain(crawl(p), slices.Values(unlinked(job))))
		rest(t, looked, benchRoutes)
	})
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
