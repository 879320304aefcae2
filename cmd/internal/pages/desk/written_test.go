package desk_test

import (
	"testing"

	"fettlebook/cmd/internal/pages/desk"
	"fettlebook/journal"
)

// Who settles a follow-up is led back to the follow-ups; nobody else is.
func TestWrittenPath(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	about := journal.Subject("job/4f7kk2m9")
	o.Write(about, "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}})
	lot := o.Write("lot/pw-7", "io", &journal.PowderLot{Lot: "pw-7", Chemistry: "polyester/HAA", Colour: "signal orange"})
	for _, c := range []struct {
		data  journal.Payload
		leads string
	}{
		{&journal.Contact{How: journal.ByTelephone, About: "fluid", Reached: true, Answer: "dry", Keeps: "weep"}, "/due"},
		{&journal.Contact{How: journal.ByTelephone, About: "the lot", Of: lot}, "/due"},
		{&journal.Contact{How: journal.ByTelephone, About: "the weather", Reached: true}, ""},
		{&journal.Retorque{Torque: q("120 N.m"), Tool: "tw-1"}, "/due"},
		{&journal.Remark{Evidence: journal.Evidence{Note: "a scratch"}}, ""},
	} {
		id := o.Write(about, "io", c.data)
		if to := desk.WrittenPath(o.Live.View(t.Context()).Line(id)[0]); to != c.leads {
			t.Errorf("%T leads to %q, want %q", c.data, to, c.leads)
		}
	}
}
