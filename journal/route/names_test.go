package route_test

import (
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// A thing is the same in the plural, and a figure is one of its own joint, also
// where the card has no name for it.
func TestNamesOfSeatsAndFigures(t *testing.T) {
	judged(t, []work{
		{"a seat that was named in the plural and is cleaned since", "seats-bare", at("LF", "bracket"), func(s *story) {
			s.after("LF rebuilt", s.steps[s.index("LF seats bracket")])
			edit(s, "LF seats bracket", func(p *journal.SeatProof) {
				*p = journal.SeatProof{Seats: []string{"Bolt seats"}, State: journal.FilmLeft}
			})
		}, true, ""},
		{"the figure of the wheel nuts at the banjo bolt", "banjo-torque", at("LF", ""), func(s *story) {
			edit(s, "LF banjo bolt", func(d *journal.Torque) { d.Torque, d.Tool, d.Spec = q[unit.Torque]("120 N.m"), "tw-3", "wheel" })
		}, false, "the figure wheel is for another joint, wheel nuts"},
		{"a figure whose joint nobody knows", "banjo-torque", at("LF", ""), func(s *story) {
			edit(s, "spec banjo", func(f *journal.TorqueSpec) { f.Joint = "hollow bolt M10" })
		}, true, ""},
	})
}
