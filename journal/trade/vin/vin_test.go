package vin_test

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"os"
	"strconv"
	"strings"
	"testing"

	"fettlebook/journal/trade/vin"

	"pgregory.net/rapid"
)

const sample = "00FAH59H35G118341" // invented: no region of the world has the code 0, so no maker has 00F

// published reads check digits that somebody else worked out.
func published(t *testing.T) [][]string {
	f, err := os.Open("../../../testdata/published/vin/check_digits.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%d rows: %v", len(rows), err)
	}
	return rows[1:]
}

func TestCheckDigit(t *testing.T) {
	type check struct {
		vin    vin.VIN
		sum    int
		want   byte
		fits   bool
		source string
	}
	tests := []check{{sample, 366, '3', true, "invented"}}
	for _, row := range published(t) {
		sum, err := strconv.Atoi(row[1])
		if err != nil {
			t.Fatal(err)
		}
		tests = append(tests, check{vin.VIN(row[0]), sum, row[2][0], row[3] == "true", row[4]})
	}
	for _, test := range tests {
		if want, ok := test.vin.CheckDigit(); want != test.want || ok != test.fits {
			t.Errorf("%s: check digit %c, %v; want %c, %v (%s)", test.vin, want, ok, test.want, test.fits, test.source)
		}
		got := vin.Check(test.vin.String())
		if got.VIN != test.vin || got.Sum != test.sum || got.Digit != test.want || got.Fits != test.fits {
			t.Errorf("%s: %+v; want sum %d (%s)", test.vin, got, test.sum, test.source)
		}
		if (got.Note == "") != test.fits {
			t.Errorf("%s: fits %v with the note %q", test.vin, got.Fits, got.Note)
		}
	}
	if want, ok := vin.VIN("short").CheckDigit(); want != 0 || ok {
		t.Errorf("what is no VIN has the check digit %q, %v", want, ok)
	}
}

// 49 CFR 565.15, table III. At position 17 a character weighs twice its value.
func TestLetterValues(t *testing.T) {
	for i, letters := range []string{"AJ", "BKS", "CLT", "DMU", "ENV", "FW", "GPX", "HY", "RZ"} {
		for _, letter := range letters {
			if got := vin.Check("0000000000000000" + string(letter)).Sum; got != 2*(i+1) {
				t.Errorf("%c counts %d/2, want %d", letter, got, i+1)
			}
		}
	}
}

func TestParse(t *testing.T) {
	tests := []struct {
		text    string
		want    vin.VIN
		problem string
	}{
		{text: sample, want: sample},
		{text: " 00f ah59h-35g\u2011118341\n", want: sample},
		{text: "00FZZZ1KZAW000001", want: "00FZZZ1KZAW000001"},
		{text: "", problem: "a VIN has 17 characters and this has 0: count them again on the plate"},
		{text: sample[1:], problem: "a VIN has 17 characters and this has 16: count them again on the plate"},
		{text: sample + "1", problem: "a VIN has 17 characters and this has 18: count them again on the plate"},
		{text: "00FAH59H35GI18341", problem: "position 12 is I, and a VIN has no I, O or Q: look again, it is probably 1"},
		{text: "oG4AH59H45G118341", problem: "position 1 is O, and a VIN has no I, O or Q: look again, it is probably 0"},
		{text: "00FAH59H35G1183Q1", problem: "position 16 is Q, and a VIN has no I, O or Q: look again, it is probably 0"},
		{text: "00FAH59H35G1183é1", problem: "position 16 is 'é', and a VIN has only letters A-Z and digits: look again"},
		{text: "00FAH59H35G11834*", problem: "position 17 is '*', and a VIN has only letters A-Z and digits: look again"},
	}
	for _, test := range tests {
		got, err := vin.Parse(test.text)
		var refused *vin.Error
		switch {
		case test.problem == "" && (err != nil || got != test.want):
			t.Errorf("Parse(%q) = %q, %v", test.text, got, err)
		case test.problem != "" && (!errors.As(err, &refused) || refused.Problem != test.problem || refused.Text != test.text || got != ""):
			t.Errorf("Parse(%q) = %q, %v; want the problem %q", test.text, got, err, test.problem)
		}
	}
	if _, err := vin.Parse(strings.Repeat("1", 9000)); len(err.Error()) > 200 {
		t.Errorf("the error repeats the text: %d bytes", len(err.Error()))
	}
}

func TestJSON(t *testing.T) {
	type payload struct {
		VIN vin.VIN `json:"vin,omitzero"`
	}
	var p payload
	if err := json.Unmarshal([]byte(`{"vin":"`+sample+`"}`), &p); err != nil || p.VIN != sample {
		t.Errorf("read %q, %v", p.VIN, err)
	}
	if text, err := json.Marshal(p); err != nil || string(text) != `{"vin":"`+sample+`"}` {
		t.Errorf("wrote %s, %v", text, err)
	}
	if text, err := json.Marshal(payload{}); err != nil || string(text) != `{}` {
		t.Errorf("nothing known is written as %s, %v", text, err)
	}
	var refused *vin.Error
	if err := json.Unmarshal([]byte(`{"vin":"17"}`), &p); !errors.As(err, &refused) || p.VIN != sample {
		t.Errorf("a wrong VIN gave %v and left %q", err, p.VIN)
	}
}

// invented draws a VIN whose check digit fits. The first character is 1, so that every
// one can be misread somewhere, and the last four are digits.
func invented(t *rapid.T) vin.VIN {
	text := rapid.StringMatching(`1[A-HJ-NPR-Z0-9]{12}[0-9]{4}`).Draw(t, "vin")
	v, err := vin.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return vin.WithCheckDigit(v)
}

func TestWithCheckDigitFits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := invented(t)
		if got := vin.Check(v.String()); got.VIN != v || !got.Fits || got.Note != "" || got.Suggestions != nil {
			t.Fatalf("%s: %+v", v, got)
		}
		if vin.WithCheckDigit(v) != v {
			t.Fatalf("%s changed although its check digit fits", v)
		}
	})
	if got := vin.WithCheckDigit("short"); got != "" {
		t.Errorf("what is no VIN became %q", got)
	}
}
