package record_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/record"
)

func TestVehicles(t *testing.T) {
	one, two := invented(1), invented(2)
	tests := []struct {
		name  string
		given []string // VIN and plate of each job, in the order of opening
		want  string   // keys with the jobs on them
	}{
		{"one VIN, written twice", []string{one + " AB1", strings.ToLower(one[:9]) + "-" + one[9:] + " CD2"}, "vin/" + one + ": 0 1"},
		{"one plate", []string{"- AB-1", "- ab1"}, "plate/AB1: 0 1"},
		{"plate first, VIN later", []string{"- AB1", one + " AB1"}, "vin/" + one + ": 0 1"},
		{"VIN first, plate later", []string{one + " AB1", "- ab-1"}, "vin/" + one + ": 0 1"},
		{"two VINs with one plate", []string{one + " AB1", two + " AB1"}, "vin/" + one + ": 0, vin/" + two + ": 1"},
		{"a plate on two VINs", []string{one + " AB1", "- AB1", two + " AB1"}, "plate/AB1: 1, vin/" + one + ": 0, vin/" + two + ": 2"},
		{"a plate does not join two VINs", []string{one + " AB1", "- CD2", two + " CD2"}, "vin/" + one + ": 0, vin/" + two + ": 1 2"},
		{"an old chassis number", []string{"12-345 -", "12345 AB1"}, "vin/12345: 0 1"},
		{"nothing that names a vehicle", []string{"- -", "- -"}, "job/j0: 0, job/j1: 1"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			office := newTablet(t, "office")
			for i, given := range test.given {
				number, plate, _ := strings.Cut(given, " ")
				office.says(journal.Of("job", fmt.Sprintf("j%d", i)), "mo", opening(number, plate))
			}
			var got []string
			for _, v := range fold(office.log).Vehicles {
				line := string(v.Key) + ":"
				for _, j := range v.Jobs {
					line += " " + string(j.ID[1:])
				}
				got = append(got, line)
			}
			if joined := strings.Join(got, ", "); joined != test.want {
				t.Errorf("got  %s\nwant %s", joined, test.want)
			}
		})
	}
}

func TestVehicleHead(t *testing.T) {
	office := newTablet(t, "office")
	first := opening(invented(1), "AB 1")
	first.Vehicle.Looks = "green estate"
	again := opening(invented(1), "CD 2")
	again.Vehicle.Looks = "Green Estate"
	office.says("job/j0", "mo", first)
	office.says("job/j1", "mo", again)
	office.says("job/j2", "mo", opening(invented(1), "ab-1"))
	office.says("job/j3", "mo", opening(invented(2), "ab1"))
	office.says("job/j4", "mo", opening("", "AB1"))
	shop := fold(office.log)
	v := shop.Job("j0").Vehicle
	if !slices.Equal(v.Plates, []string{"CD 2", "ab-1"}) || !slices.Equal(v.Looks, []string{"Green Estate"}) {
		t.Errorf("got plates %q, looks %q", v.Plates, v.Looks)
	}
	if len(v.Notes) != 1 || strings.Contains(v.Notes[0], invented(2)) || len(shop.Job("j4").Vehicle.Notes) != 1 {
		t.Errorf("got notes %q; want the doubt, without the other customer's VIN", v.Notes)
	}
	for _, bad := range []string{"00FETT1E6T0000017", "12345"} {
		if (&record.Vehicle{VIN: bad}).VINNote() == "" {
			t.Errorf("nothing is said about the VIN %s", bad)
		}
	}
}
