package journal

import "fettlebook/journal/words"

// Recall is the data of recall.made. It is about a thing of the register,
// and about every job in which that was used within some days.
type Recall struct {
	Why    string `json:"why"`
	Remedy string `json:"remedy"`         // what is done about each vehicle
	Since  Date   `json:"since,omitzero"` // of the uses that are meant; all of them without
	Until  Date   `json:"until,omitzero"`
	Evidence
}

func (*Recall) Kind() Kind { return RecallMade }

func (p *Recall) Say() string {
	return words.Clauses("recalled: "+p.Why, words.Fill("used since %s", p.Since.Said(p.writing)), words.Fill("used until %s", p.Until.Said(p.writing)), "what to do: "+p.Remedy)
}

// Meant reports whether a use on a day is one of those that are recalled.
func (p *Recall) Meant(day Date) bool {
	return (p.Since == "" || day >= p.Since) && (p.Until == "" || day <= p.Until)
}

func (p *Recall) check(found *problems) {
	if p.Since != "" && p.Until != "" && p.Until < p.Since {
		found.add("until", Clash, "is before the day on which it begins")
	}
}
