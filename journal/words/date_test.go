package words_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"fettlebook/journal/words"
)

func TestDates(t *testing.T) {
	at := time.Date(2027, 3, 2, 9, 5, 7, 0, time.FixedZone("", 3600))
	for got, want := range map[string]string{
		words.Day(at): "2 March 2027", words.Clock(at): "09:05", words.Moment(at): "2 March 2027 09:05", words.ThisYear(at): "2 March 09:05",
		words.Second(at): "2 March 2027 09:05:07", words.Zone(at): "UTC+01:00", words.Zoned(at): "2 March 2027 09:05 UTC+01:00",
		words.Zoned(at.UTC()): "2 March 2027 08:05 UTC+00:00",
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

// There is one form of a day and of a time for people, and it is here. Media know no words,
// and the demonstration's times are its story's.
func TestNobodyElseWritesDates(t *testing.T) {
	layout := regexp.MustCompile(`"(?:[^"\n]*(?:\bJan\b|January|[^0-9T:. -]15:04|02\.01\.)|15:04)[^"\n]*"`)
	root := filepath.Join("..", "..")
	for _, dir := range []string{"journal", "sync", "cmd"} {
		err := filepath.WalkDir(filepath.Join(root, dir), func(path string, d fs.DirEntry, err error) error {
			name := filepath.ToSlash(path)
			if err != nil || d.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") || strings.Contains(name, "journal/words/") || strings.Contains(name, "internal/demo/") {
				return err
			}
			raw, err := os.ReadFile(path)
			for _, found := range layout.FindAllString(string(raw), -1) {
				t.Errorf("%s has a form of its own of dates: %s", name, found)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}
