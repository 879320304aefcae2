package route_test

import (
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/route"
)

// Powder that is past its date when it goes on is not met until somebody says
// a word on it: the maker a later date, or the shop a waiver.
func TestPowderDate(t *testing.T) {
	lf := at("LF", "caliper")
	until := func(day journal.Date) func(*story) {
		return func(s *story) { edit(s, "lot", func(l *journal.PowderLot) { l.UseBy = day }) }
	}
	anew := func(day journal.Date) func(*story) {
		return func(s *story) {
			lot := *s.steps[s.index("lot")].data(nil).(*journal.PowderLot)
			lot.UseBy = day
			s.after("lot", plain("lot anew", office, "lot/so-118", "io", lot))
		}
	}
	judged(t, []work{
		{"no date on the box", "dew-point", lf, func(*story) {}, true, ""},
		{"long before its date", "dew-point", lf, until("2027-09-30"), true, "coat 1: lot so-118 was within its date, 30 September 2027"},
		{"on its last day", "dew-point", lf, until("2026-03-02"), true, "within its date"},
		{"the maker gives it longer", "dew-point", lf, does(until("2026-02-28"), anew("2026-08-31")), true, "within its date, 31 August 2026"},

		{"a day past its date", "dew-point", lf, until("2026-03-01"), false, "coat 1: lot so-118 was 1 day past its date, 1 March 2026"},
		{"months past its date", "dew-point", lf, until("2025-12-31"), false, "61 days past its date"},
		{"corrected to an earlier date", "dew-point", lf, does(until("2026-08-31"), anew("2026-02-28")), false, "2 days past its date"},
		{"the second coat past its date", "dew-point", lf, func(s *story) {
			until("2027-09-30")(s)
			s.after("lot", plain("old lot", office, "lot/so-9", "io", journal.PowderLot{Lot: "so-9", Chemistry: "epoxy", Colour: "clear", UseBy: "2026-01-31"}))
			second := *s.steps[s.index("powder")].data(nil).(*journal.Coating)
			second.Coat, second.Lot = 2, "so-9"
			s.after("cured", plain("powder 2", bench1, "run/coat-2", "mk", second))
		}, false, "coat 2: lot so-9 was 30 days past its date"},
	})

	s := complete(t)
	until("2026-02-28")(s)
	s.add(plain("waiver", office, lf, "io", journal.Waiver{Hold: "dew-point", Reason: "a coupon of the old lot was baked, bent and rubbed: sound"}))
	if v := stands(checked(supplied(t, "caliper"), s.write().log), "dew-point", lf); v.State != route.Waived {
		t.Errorf("with a word on it: %s: %s", v.State, v.Why)
	}
}
