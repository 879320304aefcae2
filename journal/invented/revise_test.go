package invented_test

import (
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/invented"
	"fettlebook/journal/parts"
	"fettlebook/journal/recur"
)

// The investigation of an invented year keeps what the parts table told when it was
// written, as a study of what the journal held until then counts it.
func TestInvestigationCounted(t *testing.T) {
	p := invented.Make(invented.Setting{Seed: 1, Parts: 150, Cause: invented.CoolSoak, Mixed: true, Revised: 240})
	steps, err := p.Steps()
	if err != nil {
		t.Fatal(err)
	}
	at := slices.IndexFunc(steps, func(s invented.Step) bool {
		data, err := s.Data()
		if err != nil { // it cites what was not written yet
			return false
		}
		_, is := data.(*journal.Investigation)
		return is
	})
	if at < 0 {
		t.Fatal("nothing was investigated")
	}
	data, err := steps[at].Data()
	if err != nil {
		t.Fatal(err)
	}
	kept := data.(*journal.Investigation).Counted

	shop := written(t, steps[:at]).Shop()
	stock := facts.StockOf(shop)
	var rows []parts.Row
	for _, j := range p.Jobs {
		if job := shop.Job(j.ID); job != nil {
			rows = append(rows, stock.Coats(job)...)
		}
	}
	s, err := recur.Of(parts.New(rows...), recur.Question{Defect: string(journal.Pinhole)})
	if err != nil {
		t.Fatal(err)
	}
	tallies := s.Tallies(parts.SoakOverBake)
	if len(tallies) != 2 || len(kept) != 2 {
		t.Fatalf("the study tells %v, kept were %v; want all coats, and those of cooler soaks", tallies, kept)
	}
	for i, told := range tallies {
		if want := (journal.Count{With: told.With, Defects: told.Sample.Defects, Parts: told.Sample.Parts}); kept[i] != want {
			t.Errorf("kept was %+v, the study of the journal tells %+v", kept[i], want)
		}
	}
	t.Logf("%+v", kept)
}
