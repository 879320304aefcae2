package write_test

import (
	"net/http"
	"net/url"
	"testing"

	"fettlebook/journal"
)

// What a part has is counted all together, or by name: one number stands for each of them
// where it is what the part was stated to have, and nothing that was typed is put aside.
func TestCountedAllTogether(t *testing.T) {
	t.Parallel()
	rows := url.Values{"features.0.what": {"piston bore"}, "features.1.what": {"bolt seat"}, "plugs": {"3"}, "sure": {"1"}}
	for name, c := range map[string]struct {
		typed url.Values
		says  string // "" where it is stamped
	}{
		"as stated":                 {url.Values{"features.all": {"3"}}, ""},
		"by name":                   {url.Values{"features.0.count": {"1"}, "features.1.count": {"2"}}, ""},
		"both":                      {url.Values{"features.all": {"3"}, "features.0.count": {"1"}, "features.1.count": {"2"}}, ""},
		"one too few":               {url.Values{"features.all": {"2"}}, "You counted 2."},
		"in words":                  {url.Values{"features.all": {"three"}}, "“three” is not a whole number."},
		"less than nothing":         {url.Values{"features.all": {"-3"}}, "You counted -3."},
		"by name others":            {url.Values{"features.all": {"3"}, "features.0.count": {"1"}, "features.1.count": {"1"}}, "By name they are 2, and all together 3 were counted."},
		"by name in words":          {url.Values{"features.all": {"3"}, "features.0.count": {"one"}}, "not a whole number"},
		"by name zero":              {url.Values{"features.all": {"3"}, "features.0.count": {"0"}, "features.1.count": {"0"}}, "By name they are 0, and all together 3 were counted."},
		"one row is something else": {url.Values{"features.all": {"3"}, "features.1.what": {"bush bore"}}, "Rows were changed, so count each by name."},
		"a row more":                {url.Values{"features.all": {"3"}, "features.2.what": {"bush bore"}}, "Rows were changed, so count each by name."},
		"nothing counted":           {url.Values{}, "How many"},
	} {
		t.Run(name, func(t *testing.T) {
			s := newShop(t)
			s.write(lfCaliper, &journal.MakeUp{Bores: []journal.Item{{What: "piston bore", Count: 1}}, Seats: []journal.Item{{What: "bolt seat", Count: 2}}, Line: journal.NoLine, Parking: journal.NoParkingBrake})
			p := s.stamp("/write/bore.masked/"+string(lfCaliper), with(rows, c.typed))
			if c.says != "" {
				p.want(t, http.StatusUnprocessableEntity, c.says)
				return
			}
			if p.status != http.StatusSeeOther {
				p.want(t, http.StatusSeeOther)
			}
			l := s.lines(journal.BoreMasked)
			if len(l) != 1 || l[0].Effect().(*journal.Masking).Features[0].Count != 1 || l[0].Effect().(*journal.Masking).Features[1].Count != 2 {
				t.Errorf("written: %+v", l)
			}
		})
	}
}
