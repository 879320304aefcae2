package facts

import (
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// Thing is a thing of the register that an entry used, as the register had it
// at that moment: what makes the entry proof is written there.
type Thing struct {
	Thing journal.Subject `json:"thing"`
	What  string          `json:"what,omitzero"` // a torque wrench, DOT 4, a powder's colour, a joint

	Serial      string    `json:"serial,omitzero"`
	Certificate string    `json:"certificate,omitzero"`
	ValidTo     string    `json:"valid_to,omitzero"` // the last day of the check
	Doubt       ToolDoubt `json:"doubt,omitzero"`    // why the tool proves nothing

	Figure string `json:"figure,omitzero"` // of a joint, or a bake schedule, as printed
	Low    string `json:"low,omitzero"`
	High   string `json:"high,omitzero"`
	From   string `json:"from,omitzero"` // where it is printed
	Page   string `json:"page,omitzero"`
	For    string `json:"for,omitzero"` // the vehicles that a joint's figure names

	Maker    string `json:"maker,omitzero"` // of a kit
	Number   string `json:"number,omitzero"`
	Supplier string `json:"supplier,omitzero"`

	Opened journal.Date `json:"opened,omitzero"`
	Batch  string       `json:"batch,omitzero"`
	UseBy  journal.Date `json:"use_by,omitzero"`
	Past   bool         `json:"past,omitzero"` // the entry is later than that
	Say    string       `json:"say"`           // one clause, as programs read it

	in   words.Writing
	told string // the clause as people read it
}

// Told is the clause as the shop writes it for people.
func (t Thing) Told() string { return t.told }

// says puts the clause, which is worked out once for programs and once for people.
func (t *Thing) says(clause func(words.Writing) string) {
	t.Say, t.told = clause(words.Writing{}), clause(t.in)
}

// Verdict reports whether a statement about an entry of a kind belongs beside
// its line in a record: what it comes to, and not what helps who fills it in.
func (s Statement) Verdict(kind journal.Kind) bool {
	switch s.Quantity {
	case ToolUses, FluidUseBy, LotUseBy, KitUseBy, SensorCheck: // they stand with the thing
		return false
	case VIN, BoilingPoint, ScheduleAsked, FluidBalance, FluidSinceFirst:
		return false
	case PlugsLeft: // where they are counted out, or while some are in
		return kind == journal.BoreUnmasked || s.Met != NotAsked
	case BakeSeen: // once, with the temperatures
		return kind == journal.ProbeLogged
	}
	return s.Because != Warned
}

// Things lists what an entry used of the register's things, in the order in
// which it names them.
func (s *Stock) Things(l *record.Line) []Thing {
	data := l.Effect()
	if data == nil {
		return nil
	}
	var list []Thing
	for _, u := range journal.Uses(data) {
		t := Thing{Thing: u.Of, in: s.Writing()}
		switch id := u.Of.Last(); u.Of.Word() {
		case "tool":
			t.tool(s.ToolAt(journal.ToolID(id), l))
		case "spec":
			t.spec(s, journal.SpecID(id))
		case "fluid":
			t.fluid(s, journal.FluidID(id), l)
		case "lot":
			t.lot(s, journal.LotID(id), l)
		case "kit":
			t.kit(s, journal.KitID(id), l)
		}
		list = append(list, t)
	}
	return list
}

// unknown says that the register has no such thing.
func (t *Thing) unknown(what string) {
	t.says(func(words.Writing) string { return fmt.Sprintf("%s %s is not on the register", what, t.Thing.Last()) })
}

func (t *Thing) tool(is ToolState) {
	if is.Stated == nil {
		t.Doubt = is.Doubt
		t.unknown("the tool")
		return
	}
	t.What, t.Serial, t.Doubt = string(is.Stated.What), is.Stated.Serial, is.Doubt
	if is.Check != nil {
		t.Certificate = is.Check.Certificate
	}
	if !is.Due.IsZero() {
		t.ValidTo = is.Due.On.Format(time.DateOnly)
	}
	t.says(func(w words.Writing) string {
		return words.Commas(fmt.Sprintf("%s %s", t.What, t.Thing.Last()), words.Fill("serial %s", t.Serial), words.Fill("certificate %s", t.Certificate), words.Fill("valid to %s", journal.Date(t.ValidTo).Said(w))) +
			words.Fill(": %s", is.because(words.Choose(w == (words.Writing{}), is.Validity.Reason, is.Validity.Told)))
	})
}

func (t *Thing) spec(s *Stock, id journal.SpecID) {
	is, _ := s.Spec(id)
	if is == nil {
		t.unknown("the figure")
		return
	}
	t.What, t.Figure, t.Low, t.High, t.From, t.Page = is.Joint, is.Printed(), is.Low.String(), is.High.String(), string(is.From), is.Page
	t.For = is.Vehicles()
	asked := words.Choose(t.Low+t.High == "", is.Nominal.String()+words.Given(" ± %s", is.Tolerance)+words.Given(" ± %s", is.General), words.Span(is.Low, is.High))
	if is.Angle > 0 {
		asked = words.Fill("%s and ", asked) + fmt.Sprintf("%d°", is.Angle)
	}
	t.says(func(w words.Writing) string {
		return words.Commas(is.Joint+" "+w.Number(asked), t.From, words.Fill("page %s", t.Page), words.Fill("for %s", t.For))
	})
}

func (t *Thing) fluid(s *Stock, id journal.FluidID, l *record.Line) {
	is := s.FluidAt(id, time.Time(l.Clocks.Device))
	if is.Stated == nil {
		t.unknown("the fluid container")
		return
	}
	t.What, t.Opened, t.Batch = string(is.Stated.Grade), is.On, is.Stated.Batch
	t.dated(is.Stated.UseBy, l)
	t.says(func(w words.Writing) string {
		return words.Commas(fmt.Sprintf("%s from %s", t.What, id), "opened on "+t.Opened.Said(w), words.Fill("batch %s", t.Batch)) + t.until(w)
	})
}

func (t *Thing) lot(s *Stock, id journal.LotID, l *record.Line) {
	is, _ := s.Lot(id)
	if is == nil {
		t.unknown("the powder lot")
		return
	}
	t.What, t.From = is.Colour, is.Sheet
	t.Figure = is.Printed()
	t.dated(is.UseBy, l)
	t.says(func(w words.Writing) string {
		return words.Commas(fmt.Sprintf("powder lot %s", id), t.What, words.Fill("schedule %s", w.Number(t.Figure)), t.From, words.Fill("opened on %s", is.Opened.Said(w)), words.Fill("stored: %s", is.Storage)) + t.until(w)
	})
}

func (t *Thing) kit(s *Stock, id journal.KitID, l *record.Line) {
	is, _ := s.Kit(id)
	if is == nil {
		t.unknown("the kit")
		return
	}
	t.Maker, t.Number, t.Supplier, t.Batch = is.Maker, is.Number, is.Supplier, is.Batch
	t.dated(is.UseBy, l)
	t.says(func(w words.Writing) string { return words.Commas(fmt.Sprintf("kit %s", id), is.Origin()) + t.until(w) })
}

// dated notes a use-by day and whether the entry is later.
func (t *Thing) dated(by journal.Date, l *record.Line) {
	t.UseBy = by
	if !by.IsZero() {
		t.Past = DueOn(by, time.Time(l.Clocks.Device)).Past()
	}
}

func (t *Thing) until(w words.Writing) string {
	return words.Fill(", use by %s", t.UseBy.Said(w)) + words.If(t.Past, ", which was past")
}
