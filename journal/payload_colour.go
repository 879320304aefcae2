package journal

import "fettlebook/journal/words"

// ColourApproval is the data of colour.approved: what the customer approved
// before the powder went on. A colour is what the customer and the maker of the
// powder call it; no system of codes is looked into.
type ColourApproval struct {
	Sample  string `json:"sample"` // which one the customer held: "panel 3"
	Code    string `json:"code,omitzero"`
	Gloss   string `json:"gloss,omitzero"`
	Texture string `json:"texture,omitzero"`
	Lot     LotID  `json:"lot,omitzero"` // of which the sample was coated
	Evidence
}

// Kind returns colour.approved.
func (*ColourApproval) Kind() Kind { return ColourApproved }

// Say reads "the customer accepted sample panel 3; code …".
func (p *ColourApproval) Say() string {
	return words.Clauses("the customer accepted sample "+p.Sample, words.Fill("code %s", p.Code), words.Fill("gloss: %s", p.Gloss), words.Fill("texture: %s", p.Texture), words.Fill("coated from lot %s", p.Lot))
}
