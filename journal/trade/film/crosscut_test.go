package film_test

import (
	"errors"
	"testing"

	"fettlebook/journal/trade/film"
)

// The scales run in opposite directions (ISO 2409, ASTM D3359 method B).
func TestCrossCut(t *testing.T) {
	for i, pair := range [][2]string{{"0", "5B"}, {"1", "4B"}, {"2", "3B"}, {"3", "2B"}, {"4", "1B"}, {"5", "0B"}} {
		iso, err := film.JudgeCrossCut(film.ISO2409, pair[0])
		if err != nil || iso.Class != i || iso.Pass != (i <= 1) {
			t.Errorf("ISO 2409 %s is %+v, %v", pair[0], iso, err)
		}
		if astm, err := film.JudgeCrossCut(film.ASTMD3359B, pair[1]); err != nil || astm != iso {
			t.Errorf("ASTM D3359 %s is %+v, %v, want %+v", pair[1], astm, err, iso)
		}
	}
	for _, wrong := range [][2]string{{film.ISO2409, "5B"}, {film.ASTMD3359B, "0"}, {film.ISO2409, "6"}, {"", "0"}} {
		var refused *film.Error
		if _, err := film.JudgeCrossCut(wrong[0], wrong[1]); !errors.As(err, &refused) {
			t.Errorf("%q is a class: %v", wrong, err)
		}
	}
}
