package recur_test

import (
	"slices"
	"testing"

	"fettlebook/journal/invented"
	"fettlebook/journal/parts"
	"fettlebook/journal/recur"
	"fettlebook/journal/trade/stat"
)

// What an investigation keeps of a study is counted again in the same table with
// the same result, in any shop, whatever was planted.
func TestAgainIsTheSame(t *testing.T) {
	kept := 0
	for _, cause := range causes() {
		table := invented.Make(invented.Setting{Seed: 5, Parts: 1000, Days: 365, Cause: cause}).Table()
		for _, q := range []recur.Question{{Defect: "pinhole"}, {Defect: "pinhole", Filter: filter(t, "metal=iron")}, {Defect: "pinhole", People: true}} {
			s, err := recur.Of(table, q)
			if err != nil {
				t.Fatal(err)
			}
			tallies := s.Tallies()
			kept += len(tallies)
			for i, a := range s.Again(table, q, tallies) {
				if a.Wrong != nil || a.Now != (stat.Sample{Defects: a.Then.Sample.Defects, Parts: a.Then.Sample.Parts}) {
					t.Errorf("%s: %q was %v and is %v (%v)", cause, a.Then.With, a.Then.Sample, a.Now, a.Wrong)
				}
				if a.Stands != (i > 0) {
					t.Errorf("%s: %q stands out: %v", cause, a.Then.With, a.Stands)
				}
				if f, err := parts.ParseFilter(a.Then.With); i > 0 && (err != nil || f[0].Column.Person || f[0].Column.Role != parts.Factor) {
					t.Errorf("%q is kept (%v)", a.Then.With, err)
				}
			}
			if list := s.Further(tallies); slices.ContainsFunc(list, func(a recur.Accused) bool {
				return s.Of(a.Name).From != "" && a.Name != recur.SameDay && a.Name != recur.SameRack && a.Name != recur.CameBack && a.Name != parts.Person
			}) {
				t.Errorf("%s: %v are said to be further ones", cause, list)
			}
		}
	}
	if kept < 12 {
		t.Errorf("%d counts were kept", kept)
	}
}

// Counted later there are more parts; a condition that cannot be read says so,
// and hides none of the others.
func TestAgainLater(t *testing.T) {
	var c coats
	c.add(40, 12, "powder_lot=L1")
	c.add(40, 1, "powder_lot=L2")
	then := []recur.Tally{{With: "", Sample: stat.Sample{Defects: 13, Parts: 80}}, {With: "powder_lot=L1", Sample: stat.Sample{Defects: 12, Parts: 40}}, {With: "moon=full", Sample: stat.Sample{Parts: 1}}, {With: "powder_lot=L9", Sample: stat.Sample{Defects: 1, Parts: 1}}}
	c.add(20, 10, "powder_lot=L1")
	table, q := parts.New(c.rows...), recur.Question{Defect: "pinhole"}
	s, err := recur.Of(table, q)
	if err != nil {
		t.Fatal(err)
	}
	list := s.Again(table, q, then)
	if len(list) != 4 {
		t.Fatalf("%d are counted", len(list))
	}
	for i, more := range [][2]int{{10, 20}, {10, 20}} {
		if bad, all := list[i].More(); bad != more[0] || all != more[1] || list[i].Rate == nil {
			t.Errorf("%+v: %d more of %d", list[i], bad, all)
		}
	}
	if !list[1].Stands || list[2].Wrong == nil || list[3].Now != (stat.Sample{}) || list[3].Rate != nil {
		t.Errorf("%+v", list)
	}
	if further := s.Further(then[:1]); len(further) != 1 || further[0].Name != parts.PowderLot {
		t.Errorf("further ones: %+v", further)
	}
	if further := s.Further(then); len(further) != 0 {
		t.Errorf("further ones: %+v", further)
	}
	// Nobody was looked at: nothing is kept.
	bare, err := recur.Of(parts.New(), q)
	if err != nil || bare.Tallies() != nil || len(bare.Further(nil)) != 0 || bare.Again(parts.New(), q, then)[0].Now.Parts != 0 {
		t.Errorf("of an empty table: %+v, %v", bare, err)
	}
}
