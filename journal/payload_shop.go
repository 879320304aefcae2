package journal

import (
	"fmt"
	"time"

	"fettlebook/journal/words"
)

// The payloads of the shop, its people and its route cards.
type (
	// Shop is the data of shop.founded.
	Shop struct {
		Shop ShopID `json:"shop"`
		Name string `json:"name"`
		// LogKey verifies the hub's own log, CosignKey its countersignatures;
		// both in the verifier form of a signed note.
		LogKey    string `json:"log_key"`
		CosignKey string `json:"cosign_key"`
		Evidence
	}

	// Person is the data of person.added. The person's full name is not in
	// the log; who wants it kept writes a card.
	Person struct {
		Person   PersonID `json:"person"`
		Initials string   `json:"initials"` // as pressed into a stamp
		Duties   []Duty   `json:"duties,omitempty"`
		Card     CardID   `json:"card,omitzero"`
		Evidence
	}

	// Retirement is the data of person.retired.
	Retirement struct {
		Person PersonID `json:"person"`
		Evidence
	}

	// RouteCard is the data of route.published.
	RouteCard struct {
		Route   RouteID `json:"route"`
		Edition int     `json:"edition" span:"edition"`     // from 1
		Text    string  `json:"text"`                       // the card as written
		Because EntryID `json:"because,omitzero" since:"2"` // the investigation that the change came out of
		Evidence
	}
)

func (*Shop) Kind() Kind       { return ShopFounded }
func (*Person) Kind() Kind     { return PersonAdded }
func (*Retirement) Kind() Kind { return PersonRetired }
func (*RouteCard) Kind() Kind  { return RoutePublished }

func (p *Shop) Say() string { return fmt.Sprintf("the journal of %s was started", p.Name) }

func (p *Person) Say() string {
	return words.Clauses(fmt.Sprintf("%s works here", p.Person), words.Fill("stamp %s", p.Initials), words.Fill("authorised for: %s", words.Commas(p.Duties...)), words.Fill("card %s", p.Card))
}

func (p *Retirement) Say() string { return fmt.Sprintf("%s no longer works here", p.Person) }

func (p *RouteCard) Say() string {
	return words.Clauses(fmt.Sprintf("route card %s, edition %d, is in force from now on", p.Route, p.Edition), words.If(!p.Because.IsZero(), "it came out of an investigation"))
}

// Duty is what a person may do in the shop, and as what the person works in it:
// at the bench, as the one who looks a second time, at the desk, as its owner.
type Duty = Choice[duties]

type duties struct{}

func (duties) words() []string {
	return written(BenchDuty, DeskDuty, SecondCheckDuty, WaiveDuty, ReleaseDuty, OwnerDuty)
}

// The words of [Duty].
const (
	BenchDuty       Duty = "bench"
	DeskDuty        Duty = "desk"
	SecondCheckDuty Duty = "second check"
	WaiveDuty       Duty = "waive"
	ReleaseDuty     Duty = "release"
	OwnerDuty       Duty = "owner" // of the shop; it holds no other duty by itself
)

// Date is a calendar day, 2026-03-02.
type Date string

// UnmarshalText checks the day.
func (d *Date) UnmarshalText(text []byte) error {
	if _, err := time.Parse(time.DateOnly, string(text)); err != nil {
		return fmt.Errorf("%s is not a day such as 2026-03-02", words.Quoted(fmt.Sprintf("%.20s", text)))
	}
	*d = Date(text)
	return nil
}

// Said is the day as a person reads it: "2 March 2026" where the shop chose no other way.
func (d Date) Said(w words.Writing) string {
	day, err := time.Parse(time.DateOnly, string(d))
	if err != nil {
		return string(d)
	}
	return w.Day(day)
}

// Weekday is Said with the day's name: "Monday, 2 March 2026". It is "" of what is not a day.
func (d Date) Weekday(w words.Writing) string {
	day, err := time.Parse(time.DateOnly, string(d))
	if err != nil {
		return ""
	}
	return w.Weekday(day)
}

// IsZero reports whether no day is set.
func (d Date) IsZero() bool { return d == "" }

func (r *RouteCard) check(p *problems) {
	p.least("edition", r.Edition, 1)
}
