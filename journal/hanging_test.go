package journal_test

import (
	"errors"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
)

// Where a part hung is its rack, its hook or its place, or it is not said.
func TestWherePartsHang(t *testing.T) {
	lf := journal.About("4f7kk2m9", "LF", "caliper")
	for _, trial := range []struct {
		at    journal.HungAt
		field string // where it is refused; "" takes it
	}{
		{journal.HungAt{Part: lf, Hook: "5"}, ""},
		{journal.HungAt{Part: lf, Place: "by the door"}, ""},
		{journal.HungAt{Part: lf, Rack: "2"}, ""},
		{journal.HungAt{Part: lf}, "positions.0"},
		{journal.HungAt{Hook: "5"}, "positions.0.part"},
	} {
		coat := *journaltest.Sample(journal.PowderApplied).Data.(*journal.Coating)
		coat.Positions = []journal.HungAt{trial.at}
		err := (&journal.Draft{Subject: lf, By: "io", Data: &coat}).Valid()
		var no *journal.Invalid
		if trial.field == "" && err != nil || trial.field != "" && (!errors.As(err, &no) || no.Problems[0].Path != trial.field) {
			t.Errorf("%+v: %v", trial.at, err)
		}
	}
}
