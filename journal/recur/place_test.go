package recur_test

import (
	"fmt"
	"strings"
	"testing"

	"fettlebook/journal/recur"
	"fettlebook/journal/words"
)

// Film where the defect was is compared with the film of the same coat, and nothing is
// said of more than was read.
func TestFilmAtThePlace(t *testing.T) {
	film := func(there, whole int) []string {
		return []string{fmt.Sprint("film_at_defect_um=", there), fmt.Sprint("film_um=", whole)}
	}
	for _, trial := range []struct {
		name string
		add  func(*coats)
		want string // "" for nothing
	}{
		{"nowhere read", func(c *coats) { c.add(4, 4, "film_um=80") }, ""},
		{"of good coats nothing is asked", func(c *coats) { c.add(4, 0, film(140, 80)...) }, ""},
		{"one coat", func(c *coats) { c.add(1, 1, film(140, 80)...) },
			"film where it was: read there on 1 coat, thicker there than on the coat as a whole on 1 and thinner on 0"},
		{"all alike", func(c *coats) { c.add(3, 3, film(80, 80)...) },
			"film where it was: read there on 3 coats, as thick there as on the coat as a whole"},
		{"thicker", func(c *coats) {
			c.add(2, 2, film(120, 80)...)
			c.add(2, 2, film(130, 84)...)
			c.add(1, 1, film(80, 80)...)
		}, // differences 40, 40, 46, 46, 0: R's t.test gives 34.4, 10.03 to 58.77
			"film where it was: read there on 5 coats, thicker there than on the coat as a whole on 4 and thinner on 0; the difference is +34 µm on average, +10 to +59 µm with 95 % confidence"},
		{"not told", func(c *coats) {
			c.add(1, 1, film(70, 80)...)
			c.add(1, 1, film(92, 80)...)
			c.add(1, 1, film(79, 80)...)
		}, // differences -10, 12, -1: R's t.test gives 0.33, -27.12 to 27.78
			"film where it was: read there on 3 coats, thicker there than on the coat as a whole on 1 and thinner on 2; the difference is 0 µm on average, -27 to +28 µm with 95 % confidence, so this does not show that the film there is another one"},
		{"another defect was there first", func(c *coats) { c.add(3, 3, append(film(140, 80), "defect_run=yes")...) }, ""},
	} {
		t.Run(trial.name, func(t *testing.T) {
			var c coats
			trial.add(&c)
			s := c.study(t, recur.Question{})
			if s.Place == nil {
				if trial.want != "" {
					t.Fatal("nothing is told of the place")
				}
				return
			}
			if got := s.Place.Say(words.Writing{}); got != trial.want {
				t.Errorf("%s\nwant %s", got, trial.want)
			}
			if said := strings.Join(s.Say(words.Writing{}), " "); !strings.Contains(said, "Film where it was") {
				t.Errorf("the study does not say it: %s", said)
			}
		})
	}
}
