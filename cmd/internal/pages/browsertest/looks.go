package browsertest

import (
	"hash/fnv"
	"io"
	"os"
	"testing"
)

// Look is one way in which a page is looked at.
type Look struct {
	Size Size
	Dark bool
}

// Theme is the look's theme by name.
func (l Look) Theme() string {
	if l.Dark {
		return "dark"
	}
	return "light"
}

// Everywhere reports whether pages are looked at in every way, as
// FETTLEBOOK_PAGES=all asks for.
func Everywhere() bool { return os.Getenv("FETTLEBOOK_PAGES") == "all" }

// OnlyEverywhere leaves out a test that takes long and goes, for the most part, the ways
// of others, unless pages are looked at everywhere, as they are before every change lands.
func OnlyEverywhere(t *testing.T) {
	t.Helper()
	if !Everywhere() {
		t.Skip("this is done with FETTLEBOOK_PAGES=all")
	}
}

// AllLooks are all ways: every size, in light and in dark.
func AllLooks() []Look {
	var all []Look
	for _, size := range []Size{Landscape, Upright, Phone} {
		all = append(all, Look{size, false}, Look{size, true})
	}
	return all
}

// Looks are the ways in which the page of a name is looked at: one, which the name
// chooses, so that the pages of a set are looked at in different ways, or all of
// them where pages are looked at everywhere.
func Looks(name string) []Look { return Sample(name, AllLooks()) }

// Sample is one of several cases, which a name chooses, or all of them where
// pages are looked at everywhere.
func Sample[C any](name string, all []C) []C {
	if Everywhere() {
		return all
	}
	n := lot(name, len(all))
	return all[n : n+1]
}

// OneIn reports whether what has a name is among the one in so many that are looked at,
// which all are where pages are looked at everywhere.
func OneIn(many int, name string) bool { return Everywhere() || lot(name, many) == 0 }

// lot is a number below n that a name chooses.
func lot(name string, n int) int {
	h := fnv.New32a()
	io.WriteString(h, name)
	return int(h.Sum32()>>8) % n
}
