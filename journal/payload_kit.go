package journal

import (
	"fmt"

	"fettlebook/journal/words"
)

// Kit is the data of kit.received: parts that came in together, so that every
// job is found in which one of a bad batch was fitted.
type Kit struct {
	Kit      KitID  `json:"kit"`
	Contents []Item `json:"contents"`
	Maker    string `json:"maker,omitzero"`
	Number   string `json:"number,omitzero"` // the maker's
	Supplier string `json:"supplier,omitzero"`
	Batch    string `json:"batch,omitzero"`
	UseBy    Date   `json:"use_by,omitzero"`
	Evidence
}

// Fitted is where a part that was fitted came from, if not out of a kit.
type Fitted struct {
	What     string `json:"what"`
	Maker    string `json:"maker,omitzero"`
	Number   string `json:"number,omitzero"`
	Supplier string `json:"supplier,omitzero"`
	Batch    string `json:"batch,omitzero"`
}

// Kind returns kit.received.
func (*Kit) Kind() Kind { return KitReceived }

// Say tells what is in it and where it came from.
func (p *Kit) Say() string {
	return words.Clauses(fmt.Sprintf("kit %s received: %s", p.Kit, items(p.Contents)), p.Origin(), words.Fill("use by %s", p.UseBy.Said(p.writing)))
}

func (p *Kit) check(found *problems) { found.counted("contents", p.Contents) }

// Origin says where the parts came from.
func (p *Kit) Origin() string { return origin(p.Maker, p.Number, p.Supplier, p.Batch) }

// origin says where parts came from, as a clause.
func origin(maker, number, supplier, batch string) string {
	return words.Commas(words.Fill("made by %s", maker), words.Fill("number %s", number), words.Fill("from %s", supplier), words.Fill("batch %s", batch))
}

// String names the part and where it came from.
func (f Fitted) String() string {
	return f.What + words.Fill(" (%s)", origin(f.Maker, f.Number, f.Supplier, f.Batch))
}

// fitted lists parts with where they came from.
func fitted(list []Fitted) string {
	var said []string
	for _, f := range list {
		said = append(said, f.String())
	}
	return words.Commas(said...)
}
