package recur_test

import (
	"fmt"
	"reflect"
	"sync"
	"testing"

	"fettlebook/journal/invented"
	"fettlebook/journal/parts"
	"fettlebook/journal/recur"
)

// A study that is kept is the one that would be made anew: for each question
// its own, and none of a table that is no longer the shop's.
func TestKept(t *testing.T) {
	table := invented.Make(invented.Setting{Seed: 3, Parts: 300, Days: 365, Cause: invented.OneLot}).Table()
	other := table.Where(filter(t, "metal=iron"))
	var k recur.Kept
	ask := func(table *parts.Table, q recur.Question) *recur.Study {
		t.Helper()
		got, err := k.Of(table, q)
		if err != nil {
			t.Fatal(err)
		}
		want, err := recur.Of(table, q)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("%+v: another study is kept", q)
		}
		return got
	}
	questions := []recur.Question{{}, {Defect: "pinhole"}, {Defect: "pinhole", People: true}, {Defect: "pinhole", Filter: filter(t, "metal=iron")}, {Defect: "orange peel"}}
	for range 2 {
		for _, q := range questions {
			ask(table, q)
		}
	}
	if ask(table, questions[1]) != ask(table, questions[1]) {
		t.Error("a study is made twice")
	}
	ask(other, questions[1])
	first := ask(table, questions[1])
	for i := range 40 { // more than are kept
		if _, err := k.Of(table, recur.Question{Defect: "pinhole", Filter: filter(t, fmt.Sprintf("film_um>%d", i))}); err != nil {
			t.Fatal(err)
		}
	}
	if ask(table, questions[1]) == first {
		t.Error("studies are kept without end")
	}
	if _, err := k.Of(table, recur.Question{Defect: "wheel"}); err == nil {
		t.Error("a wheel is studied")
	}
	var all sync.WaitGroup
	for i := range 8 {
		all.Go(func() {
			if _, err := k.Of(table, questions[i%len(questions)]); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
}

func filter(t testing.TB, conditions ...string) parts.Filter {
	t.Helper()
	f, err := parts.ParseFilter(conditions...)
	if err != nil {
		t.Fatal(err)
	}
	return f
}
