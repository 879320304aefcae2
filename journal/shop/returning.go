package shop

import (
	"errors"
	"slices"
	"strings"
	"time"
	"unicode"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/record"
)

// Returning is a vehicle that was here before and may be the one that comes in.
type Returning struct {
	*record.Vehicle
	Fits   Fit
	Last   *record.Job    // that was opened last
	Card   journal.Card   // of the customer of its last job that has one; zero if it is not here
	Erased bool           // that card was erased: nobody can tell any more who the customer was
	Read   record.Reading // what the odometer showed last
}

// Fit is by what a vehicle that was here before may be the one that comes in.
type Fit string

// What fits.
const (
	SameVIN      Fit = "VIN"
	NearVIN      Fit = "VIN with a slip"
	SamePlate    Fit = "plate"
	SameCustomer Fit = "customer"
)

// MostReturning is how many vehicles [View.Returning] tells of.
const MostReturning = 4

// Bounds of what is looked through for them.
const (
	mostComing   = 20 // jobs
	fewestOfName = 3  // letters of a customer's name that tell somebody apart
)

// Returning lists the vehicles that were here before and of which one may be what comes
// in: with the VIN, or one that is a slip away where none has it, with the plate, and
// those of a customer of that name; of those that fit by the same the last one first.
func (v *View) Returning(is journal.Vehicle, customer string, cards CardReader) (list []Returning) {
	same := func(by string) func(Match) bool { return func(m Match) bool { return m.Whole && m.By == by } }
	add := func(fits Fit, found []Match, is func(Match) bool) {
		from := len(list)
		for _, m := range found {
			if m.Job == nil || !is(m) {
				continue
			}
			r, ok := v.returning(m, cards)
			named := fits != SameCustomer || r.Card.Card == m.Job.Customer && HasName(r.Card.Details.Name, customer)
			if ok && named && !slices.ContainsFunc(list, func(o Returning) bool { return o.Key == r.Key }) {
				r.Fits = fits
				list = append(list, r)
			}
		}
		slices.SortStableFunc(list[from:], func(a, b Returning) int { return b.opened().Compare(a.opened()) })
	}
	if is.VIN != "" {
		if add(SameVIN, v.Find(is.VIN, mostComing), same(index.VIN)); len(list) == 0 {
			add(NearVIN, v.Near(is.VIN, mostComing), func(m Match) bool { return m.By == index.VIN })
		}
	}
	if is.Plate != "" {
		add(SamePlate, v.Find(is.Plate, mostComing), same(index.Plate))
	}
	if len([]rune(strings.Join(wordsOf(customer), ""))) >= fewestOfName {
		add(SameCustomer, v.Customers(customer, mostComing), func(Match) bool { return true })
	}
	return list[:min(len(list), MostReturning)]
}

func (r Returning) opened() time.Time { return time.Time(r.Last.Opened.Clocks.Device) }

// returning tells of the vehicle of a job that was found.
func (v *View) returning(m Match, cards CardReader) (r Returning, ok bool) {
	found := v.Job(m.Job.Job)
	if found == nil || found.Vehicle == nil {
		return r, false
	}
	r.Vehicle = found.Vehicle
	for _, of := range slices.Backward(r.Jobs) {
		j := v.Job(of.ID) // by its own case, which has all of its lines
		if j == nil || j.Opened == nil {
			continue
		}
		if r.Last == nil {
			r.Last = j
		}
		if r.Card.Card == "" && !r.Erased && j.Customer != nil {
			card, err := cards.Card(v.ctx, j.Customer.Card)
			switch {
			case err == nil:
				r.Card = card
			case errors.Is(err, journal.ErrCardErased):
				r.Erased = true
			case !errors.Is(err, journal.ErrNoCard):
				v.note(err)
			}
		}
		if r.Read.Line == nil {
			r.Read = j.Reading()
		}
		if r.Read.Line != nil && (r.Card.Card != "" || r.Erased) {
			break
		}
	}
	return r, r.Last != nil
}

// HasName reports whether every word that was typed begins one of a name.
func HasName(name, typed string) bool {
	has := wordsOf(name)
	for _, w := range wordsOf(typed) {
		if !slices.ContainsFunc(has, func(h string) bool { return strings.HasPrefix(h, w) }) {
			return false
		}
	}
	return true
}

func wordsOf(text string) []string {
	return strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}
