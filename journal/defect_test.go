package journal_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/trade/unit"

	"github.com/go-json-experiment/json/jsontext"
)

// A defect whose look and cause were one word is read as it was written, and
// nobody is said to have been sure of the cause in it.
func TestDefectOfEarlierEntry(t *testing.T) {
	raw, err := os.ReadFile(filepath.Join("..", "testdata", "entries", "defect.found.v1.json"))
	if err != nil {
		t.Fatal(err)
	}
	e, err := journal.Decode(raw)
	if err != nil {
		t.Fatal(err)
	}
	data, err := e.Payload()
	if err != nil {
		t.Fatal(err)
	}
	d := data.(*journal.Defect)
	const want = "defect: outgassing pinhole at outer face by the bridge; 3 of them; size 0.5 mm; seen after bake; thought to come from run bake-17"
	if d.Say() != want || d.Looks != journal.Pinhole || len(d.Causes) > 0 {
		t.Errorf("it reads %q, looks %s, causes %v", d.Say(), d.Looks, d.Causes)
	}
}

// Every name that an earlier entry may have says what was seen.
func TestNamesOfDefectsSayWhatIsSeen(t *testing.T) {
	for _, name := range journal.DefectName("").Words() {
		data, err := journal.ParsePayload(journal.Type{Kind: journal.DefectFound, Version: 1}, jsontext.Value(`{"defect":"`+name+`","face":"edge","seen":"after bake"}`))
		if err != nil {
			t.Fatal(err)
		}
		if d := data.(*journal.Defect); d.Called() != name || d.Looks == "" || d.Looks == journal.OtherLook && name != "other" {
			t.Errorf("%s reads %q, looks %q", name, d.Called(), d.Looks)
		}
	}
}

func TestPlaceOfDefect(t *testing.T) {
	share := func(text string) unit.Ratio {
		q, err := unit.Parse[unit.Ratio](text)
		if err != nil {
			t.Fatal(err)
		}
		return q
	}
	with := func(change func(*journal.Defect)) *journal.Defect {
		d := &journal.Defect{Looks: journal.Pinhole, Face: "edge", Seen: journal.AfterBake}
		change(d)
		return d
	}
	mark := journal.Mark{Photo: journaltest.Picture("the pinhole").Ref, X: share("10 %"), Y: share("20 %")}
	for _, trial := range []struct {
		what  string
		does  func(*journal.Defect)
		field string // where it is refused; "" takes it
	}{
		{"words alone", func(*journal.Defect) {}, ""},
		{"on a drawing", func(d *journal.Defect) { d.Outline, d.X, d.Y = journal.BracketBack, share("0 %"), share("100 %") }, ""},
		{"a drawing without a place", func(d *journal.Defect) { d.Outline = journal.BracketBack }, "outline"},
		{"a place without a drawing", func(d *journal.Defect) { d.X, d.Y = share("3 %"), share("4 %") }, "outline"},
		{"half a place", func(d *journal.Defect) { d.Outline, d.X = journal.BracketBack, share("3 %") }, "outline"},
		{"beside the drawing", func(d *journal.Defect) { d.Outline, d.X, d.Y = journal.BracketBack, share("101 %"), share("4 %") }, "x"},
		{"a point on a photograph", func(d *journal.Defect) { d.Marks = []journal.Mark{mark} }, ""},
		{"beside the photograph", func(d *journal.Defect) {
			d.Marks = []journal.Mark{mark, {Photo: journaltest.Picture("the pinhole").Ref, X: share("10 %"), Y: share("120 %")}}
		}, "marks.1.y"},
		{"a circle larger than it", func(d *journal.Defect) {
			d.Marks = []journal.Mark{{Photo: mark.Photo, X: mark.X, Y: mark.Y, Radius: share("101 %")}}
		}, "marks.0.radius"},
	} {
		err := (&journal.Draft{Subject: journal.About("4f7kk2m9", "LF", "caliper"), By: "io", Data: with(trial.does)}).Valid()
		var no *journal.Invalid
		switch {
		case trial.field == "" && err != nil:
			t.Errorf("%s: %v", trial.what, err)
		case trial.field != "" && (!errors.As(err, &no) || no.Problems[0].Path != trial.field):
			t.Errorf("%s: %v", trial.what, err)
		}
	}
}
