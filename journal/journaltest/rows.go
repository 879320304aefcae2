package journaltest

import (
	"flag"
	"hash/fnv"
	"io"
	"os"
	"testing"
)

// whole reports whether long tables are gone through whole: where FETTLEBOOK_ROWS=all
// asks for it, as before every change lands, and for whoever names a test with -run.
func whole() bool {
	run := flag.Lookup("test.run")
	return os.Getenv("FETTLEBOOK_ROWS") == "all" || run != nil && run.Value.String() != ""
}

// Rows are those of a long table that a test tries: one in so many, from a place
// on that its name chooses, or all of them.
func Rows[R any](t testing.TB, every int, all []R) []R {
	t.Helper()
	if whole() || every < 2 || len(all) < every {
		return all
	}
	h := fnv.New32a()
	io.WriteString(h, t.Name())
	var some []R
	for i := int(h.Sum32()>>8) % every; i < len(all); i += every {
		some = append(some, all[i])
	}
	t.Logf("%d rows of %d; FETTLEBOOK_ROWS=all or -run tries them all", len(some), len(all))
	return some
}

// Long leaves out a test that takes long and goes, for the most part, the ways of
// others, unless long tables are gone through whole.
func Long(t testing.TB) {
	t.Helper()
	if !whole() {
		t.Skip("this is done with FETTLEBOOK_ROWS=all, or when it is named with -run")
	}
}

// Times is how often a test tries something: few, or as often as is wanted where
// long tables are gone through whole.
func Times(few, all int) int {
	if whole() {
		return all
	}
	return few
}
