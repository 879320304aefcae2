package paper_test

import (
	"testing"

	"fettlebook/cmd/internal/paper"
	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// A figure that turns out to be another vehicle's is said to be borrowed on the customer's
// paper and in the report, where the joint's limits would stand otherwise.
func TestPapersSayWhatIsBorrowed(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	job := o.Job("job")
	low, err := unit.Parse[unit.Torque]("20 N·m")
	if err != nil {
		t.Fatal(err)
	}
	high, err := unit.Parse[unit.Torque]("24 N·m")
	if err != nil {
		t.Fatal(err)
	}
	o.Write("spec/estate-banjo", "io", &journal.TorqueSpec{Spec: "estate-banjo", Joint: "banjo bolt", Low: low, High: high, From: journal.FromManual, VINs: []string{"WDX1284A900012345"}})
	for _, w := range []written{o.wrote(job), o.report(paper.About{Jobs: []journal.JobID{job}})} {
		w.says("is not proven: the figure estate-banjo is borrowed from VIN WDX1284A…, and nothing shows that it holds for this vehicle")
		w.silent("WDX1284A9")
	}
}
