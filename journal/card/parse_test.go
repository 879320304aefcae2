package card_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fettlebook/journal/card"
)

// The mistakes of each card in testdata/bad, told as in the file beside it.
func TestMistakes(t *testing.T) {
	cards, err := filepath.Glob("testdata/bad/*.yaml")
	if err != nil || len(cards) == 0 {
		t.Fatalf("no bad cards: %v", err)
	}
	for _, path := range cards {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".yaml"), func(t *testing.T) {
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			want, err := os.ReadFile(strings.TrimSuffix(path, ".yaml") + ".txt")
			if err != nil {
				t.Fatal(err)
			}
			_, err = card.Parse(string(text))
			var m card.Mistakes
			if !errors.As(err, &m) {
				t.Fatalf("got %v, want mistakes", err)
			}
			if got := err.Error() + "\n"; got != string(want) {
				t.Errorf("got\n%swant\n%s", got, want)
			}
			for _, one := range m {
				lines := strings.Split(string(text), "\n")
				if one.Line > len(lines) || !strings.HasPrefix(string([]rune(lines[one.Line-1])[one.Column-1:]), strings.TrimSuffix(one.Text, "…")) {
					t.Errorf("line %d, column %d does not read %q", one.Line, one.Column, one.Text)
				}
			}
		})
	}
}

func FuzzParse(f *testing.F) {
	for _, glob := range []string{"testdata/bad/*.yaml", "cards/*.yaml"} {
		cards, _ := filepath.Glob(glob)
		for _, path := range cards {
			text, err := os.ReadFile(path)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(string(text))
		}
	}
	f.Fuzz(func(t *testing.T, text string) {
		read, err := card.Parse(text)
		if err == nil && len(read.Stages) == 0 {
			t.Error("a card without stages was read")
		}
		var m card.Mistakes
		if err != nil && (!errors.As(err, &m) || m[0].Line < 1 || m[0].Column < 1 || m[0].Problem == "") {
			t.Errorf("a mistake without a place or a word: %v", err)
		}
	})
}
