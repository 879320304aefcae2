package record_test

import (
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/record"
)

// Who owns a shop is stated; in one that stated nobody it is who founded it, and then
// whoever has been there for longest. A shop with people always has an owner.
func TestOwners(t *testing.T) {
	person := func(id string, retired bool, duties ...journal.Duty) *record.Person {
		p := &record.Person{Retired: retired}
		p.ID, p.Stated = journal.PersonID(id), &journal.Person{Person: journal.PersonID(id), Duties: duties}
		return p
	}
	named := new(record.Person) // by an entry alone
	named.ID = "zz"
	founded := &record.Line{By: "io"}
	for name, c := range map[string]struct {
		shop *record.Shop
		want string
	}{
		"stated":                      {&record.Shop{Founded: founded, People: []*record.Person{person("io", false, "desk"), person("mk", false, "owner"), person("jr", false, "bench", "owner")}}, "mk jr"},
		"stated nobody":               {&record.Shop{Founded: founded, People: []*record.Person{person("aa", false), person("io", false, "desk")}}, "io"},
		"the founder has left":        {&record.Shop{Founded: founded, People: []*record.Person{named, person("io", true, "owner"), person("mk", false), person("jr", false)}}, "mk"},
		"the last owner has left":     {&record.Shop{Founded: founded, People: []*record.Person{person("io", false, "desk"), person("mk", true, "owner")}}, "io"},
		"the founding is not here":    {&record.Shop{People: []*record.Person{person("jr", false, "bench")}}, "jr"},
		"nobody works here":           {&record.Shop{Founded: founded, People: []*record.Person{named, person("io", true, "owner")}}, ""},
		"nobody was ever on the list": {&record.Shop{Founded: founded}, ""},
	} {
		var got []string
		for _, p := range c.shop.Owners() {
			got = append(got, string(p.ID))
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%s: %v, want %s", name, got, c.want)
		}
	}
}
