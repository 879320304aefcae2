package record

import (
	"fettlebook/journal"
	"fettlebook/journal/trade/unit"

	"github.com/go-json-experiment/json/jsontext"
)

// Caution stands at the end of every record.
const Caution = "This is a record, not an approval. The vehicle maker’s data, local rules and licensed practice come first."

// Options say what a record shows. The zero value gives the record that is
// the same on every machine, without the clocks in its text.
type Options struct {
	// Receipts shows the hub's times of receipt and what follows from them.
	Receipts bool
	// Clocks shows every clock of every line in the text. JSON always has them.
	Clocks bool
	// IDs shows the id of every line in the text, by which it can be corrected. JSON always
	// has them.
	IDs bool
	// Beside says what stands beside a line: what its entry amounts to is not
	// the fold's to say. Nil shows the entries alone.
	Beside func(*Line) *Beside
}

// Beside is what an entry rests on and amounts to, beside its line.
type Beside struct {
	Says  []string       `json:"says,omitempty"` // one clause each
	Facts jsontext.Value `json:"facts,omitzero"` // the same as data
}

// The record as JSON; the package comment shows it whole.
type (
	// View is the record of one vehicle, or of one job of it.
	View struct {
		Format   string        `json:"format"`
		Vehicle  *VehicleView  `json:"vehicle,omitzero"`
		Jobs     []JobView     `json:"jobs"`
		Runs     []RunView     `json:"runs,omitempty"`
		Castings []CastingView `json:"castings,omitempty"`
		People   []PersonView  `json:"people,omitempty"`
		Caution  string        `json:"caution"`
	}

	// VehicleView is what is known of the vehicle.
	VehicleView struct {
		Key     Key      `json:"key"`
		VIN     string   `json:"vin,omitzero"`
		VINNote string   `json:"vin_note,omitzero"`
		Plates  []string `json:"plates,omitempty"`
		Looks   []string `json:"looks,omitempty"`
		Notes   []string `json:"notes,omitempty"`
	}

	// JobView is one job.
	JobView struct {
		Job      journal.JobID     `json:"job"`
		State    State             `json:"state"`
		Opened   journal.EntryID   `json:"opened,omitzero"`
		Released journal.EntryID   `json:"released,omitzero"`
		Sealed   journal.EntryID   `json:"sealed,omitzero"`
		Customer *CustomerView     `json:"customer,omitzero"`
		Odometer unit.Distance     `json:"odometer,omitzero"`
		Wish     string            `json:"wish,omitzero"`
		Ready    journal.Date      `json:"ready,omitzero"`
		Warranty *journal.Warranty `json:"warranty,omitzero"`
		Route    journal.RouteID   `json:"route,omitzero"`
		Edition  int               `json:"edition,omitzero"`
		Lines    []*Line           `json:"lines,omitempty"`
		Corners  []CornerView      `json:"corners,omitempty"`
	}

	// CustomerView cites the customer's card.
	CustomerView struct {
		journal.Citation
		Erased bool `json:"erased,omitzero"`
	}

	// CornerView is one corner.
	CornerView struct {
		Corner journal.Corner `json:"corner"`
		Lines  []*Line        `json:"lines,omitempty"`
		Parts  []PartView     `json:"parts,omitempty"`
	}

	// PartView is one part; the lines of its runs stand with the runs.
	PartView struct {
		Part    journal.PartID  `json:"part"`
		Tag     string          `json:"tag,omitzero"`
		Number  string          `json:"number,omitzero"`
		Pattern string          `json:"pattern,omitzero"`
		Mark    string          `json:"mark,omitzero"`
		Metal   journal.Metal   `json:"metal,omitzero"`
		Runs    []journal.RunID `json:"runs,omitempty"`
		Unhung  []journal.RunID `json:"unhung,omitempty"`
		Lines   []*Line         `json:"lines,omitempty"`
	}

	// RunView is a run as far as it concerns the parts of this record.
	RunView struct {
		Run        journal.RunID     `json:"run"`
		What       []string          `json:"what,omitempty"`
		Lots       []journal.LotID   `json:"lots,omitempty"`
		Parts      []journal.Subject `json:"parts,omitempty"`
		OtherParts int               `json:"other_parts,omitzero"`
		OtherJobs  int               `json:"other_jobs,omitzero"`
		Lines      []*Line           `json:"lines"`
	}

	// CastingView is a casting; OtherParts counts its lives in other records.
	CastingView struct {
		Number     string            `json:"number,omitzero"`
		Mark       string            `json:"mark"`
		Parts      []journal.Subject `json:"parts"`
		OtherParts int               `json:"other_parts,omitzero"`
		Notes      []string          `json:"notes,omitempty"`
	}

	// PersonView says whose initials are in the stamps.
	PersonView struct {
		Person   journal.PersonID `json:"person"`
		Initials string           `json:"initials"`
	}
)
