package record_test

import (
	"fmt"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/record"
)

func TestFind(t *testing.T) {
	logs := day(t)
	bench := newTablet(t, "bench-3")
	bench.says("job/4f7aaaaa/corner/RR/part/arm", "io", &journal.Coating{Lot: "pw-9", Coat: 1})
	bench.says("job/9w3", "io", note("an id that another begins with"))
	shop := fold(append(logs, bench.log)...)
	tests := []struct{ query, want string }{
		{invented(17), "VIN 4f7kk2m9"},
		{" " + strings.ToLower(invented(17)[:8]) + "-" + invented(17)[8:], "VIN 4f7kk2m9"},
		{"AB12CDE", "plate 4f7kk2m9"},
		{"xy-77-zz", "plate 9w3c0x1t"},
		{"4F7K K2M9", "job 4f7kk2m9"},
		{"4f7k", "job 4f7kk2m9"},
		{"4f7", "job 4f7aaaaa, job 4f7kk2m9"},
		{"9w3", "job 9w3"},
		{"4f", ""},
		{"k7-2291", "cast mark 4f7kk2m9 LF caliper"},
		{"rf1", "tag 4f7kk2m9 RF caliper"},
		{"PW 0412", "lot pw-0412, lot pw-0412 run bake-17"},
		{"pw9", "lot pw-9, lot pw-9 4f7aaaaa RR arm"},
		{"", ""},
		{" - ", ""},
		{"nothing", ""},
	}
	for _, test := range tests {
		var got []string
		for _, m := range shop.Find(test.query) {
			got = append(got, described(m))
		}
		if joined := strings.Join(got, ", "); joined != test.want {
			t.Errorf("%q found %q, want %q", test.query, joined, test.want)
		}
	}
}

// TestFindPieces: who has read three characters finds what has them, and what
// Find gives is not given twice.
func TestFindPieces(t *testing.T) {
	shop := fold(day(t)...)
	for query, want := range map[string]string{
		"b12":     "plate 4f7kk2m9",
		"ab12cde": "",
		"229":     "cast mark 4f7kk2m9 LF caliper",
		"ab":      "",
		"-":       "",
		"nowhere": "",
	} {
		var got []string
		for _, m := range shop.FindPieces(query) {
			got = append(got, described(m))
		}
		if joined := strings.Join(got, ", "); joined != want {
			t.Errorf("%q found %q, want %q", query, joined, want)
		}
	}
}

func described(m record.Match) string {
	words := []string{m.By}
	if m.Lot != nil {
		words = append(words, string(m.Lot.ID))
	}
	switch {
	case m.Part != nil:
		words = append(words, fmt.Sprintf("%s %s %s", m.Job.ID, m.Part.Corner.Corner, m.Part.ID))
	case m.Run != nil:
		words = append(words, "run "+string(m.Run.ID))
	case m.Job != nil:
		words = append(words, string(m.Job.ID))
	case m.Vehicle != nil:
		words = append(words, string(m.Vehicle.Jobs[0].ID))
	}
	return strings.Join(words, " ")
}
