package record_test

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
)

func jsonOf(tb testing.TB, j interface {
	JSON(record.Options) ([]byte, error)
}, o record.Options) string {
	tb.Helper()
	raw, err := j.JSON(o)
	if err != nil {
		tb.Fatal(err)
	}
	return string(raw)
}

func TestJSON(t *testing.T) {
	shop := fold(day(t)...)
	var pretty bytes.Buffer
	if err := json.Indent(&pretty, []byte(jsonOf(t, shop.Job(jobTwo), record.Options{Receipts: true})), "", " "); err != nil {
		t.Fatal(err)
	}
	golden(t, "job.json", pretty.String()+"\n")
}

// Every entry of the vehicle is in its record, struck or not.
func TestJSONIsComplete(t *testing.T) {
	shop := fold(day(t)...)
	text := jsonOf(t, shop.Job(jobOne).Vehicle, record.Options{})
	for l := range shop.All() {
		if l.Subject.Job() == jobOne && strings.Count(text, `{"id":"`+l.ID.String()+`"`) != 1 {
			t.Errorf("%s %s is not in the record once", l.Kind, l.ID)
		}
	}
	for _, r := range shop.Job(jobOne).Corners[0].Parts[0].Runs {
		for _, l := range r.Lines {
			if strings.Count(text, `{"id":"`+l.ID.String()+`"`) != 1 {
				t.Errorf("%s of run %s is not in the record once", l.Kind, r.ID)
			}
		}
	}
}

// What a shared run says of other vehicles stays out, whatever the kind of
// entry says it; that there were others does not.
func TestOthersStayOut(t *testing.T) {
	logs := day(t)
	bench := newTablet(t, "bench-3")
	bench.newer("run/bake-17", `{"next":{"job/9w3c0x1t/corner/LR/part/bracket":[1,2.50]},"escaped":"\u006aob/9w3c0x1t","free":"job/ is how it begins","rows":[["job/9w3c0x1t"],"job/4f7kk2m9"]}`)
	shop := fold(append(logs, bench.log)...)
	for _, o := range []record.Options{{}, {Receipts: true, Clocks: true}} {
		text := jsonOf(t, shop.Job(jobOne), o)
		if !strings.Contains(text, `{"next":{},"escaped":"a part of another job","free":"job/ is how it begins","rows":[[],"job/4f7kk2m9"]},"withheld":3`) {
			t.Errorf("want the newer kind without the other job's parts, got %s", text)
		}
		var b strings.Builder
		if err := shop.Job(jobOne).WriteText(&b, o); err != nil {
			t.Fatal(err)
		}
		for _, all := range []string{text, b.String()} {
			for _, theirs := range []string{"9w3c0x1t", "XY 77 ZZ", "N0-88", "grey van"} {
				if strings.Contains(all, theirs) {
					t.Errorf("the record of one vehicle holds %q of another:\n%s", theirs, all)
				}
			}
		}
		if !strings.Contains(text, `"other_parts":1,"other_jobs":1`) || !strings.Contains(b.String(), "1 other part of 1 other job") {
			t.Error("the record does not say that there were others")
		}
	}
}

// Where parts of other jobs hung and which probe stands for them is told in no
// record but theirs, in the text neither: there an LF caliper is one's own.
func TestWhereOthersHungStaysOut(t *testing.T) {
	bench := newTablet(t, "bench-1")
	mine, theirs := one("LF", "caliper"), journal.About(jobTwo, "LR", "bracket")
	rack := journal.Rack{Parts: []journal.Subject{mine, theirs}}
	positions := []journal.HungAt{{Part: mine, Hook: "3"}, {Part: theirs, Hook: "4"}}
	bench.says(journal.Of("run", "coat-1"), "io", &journal.Coating{Rack: rack, Lot: "so-118", Coat: 1, Positions: positions})
	bake := &journal.BakeStart{Rack: rack, Set: q[unit.Temperature]("200 °C"), Positions: positions, Probes: []journal.Probe{{Channel: "1", Place: "thick section", On: mine}},
		StandIns: []journal.StandIn{{Part: theirs, Probe: "1", Is: journal.Lighter}}}
	of := bench.says(journal.Of("run", "bake-1"), "io", bake)
	bench.says(journal.Of("run", "bake-1"), "io", correct(of, "slip", bake))
	shop := fold(bench.log)
	for id, others := range map[journal.JobID]string{jobOne: "LR bracket", jobTwo: "LF caliper"} {
		var b strings.Builder
		if err := shop.Job(id).WriteText(&b, record.Options{}); err != nil {
			t.Fatal(err)
		}
		if text := b.String(); strings.Contains(text, others+": hook") || id == jobOne && strings.Contains(text, "stands for") || id == jobTwo && strings.Count(text, "also stands for the LR bracket") != 2 {
			t.Errorf("the record of %s:\n%s", id, text)
		}
	}
}

// An entry on another job's part that names one of this job's is told here
// without saying whose it was.
func TestOthersSubjectStaysOut(t *testing.T) {
	bench := newTablet(t, "bench-1")
	theirs := journal.About(jobTwo, "LR", "bracket")
	bench.says(theirs, "io", &journal.Cooling{Rack: journal.Rack{Parts: []journal.Subject{theirs, one("LF", "caliper")}}})
	shop := fold(bench.log)
	text := jsonOf(t, shop.Job(jobOne), record.Options{})
	if strings.Contains(text, string(jobTwo)) || !strings.Contains(text, `"data":{"parts":["job/4f7kk2m9/corner/LF/part/caliper"]},"withheld":2`) {
		t.Errorf("got %s", text)
	}
}

// Without times of receipt, hub and tablet give the same bytes.
func TestReceipts(t *testing.T) {
	hub := day(t)
	tablet := day(t)
	for i := range tablet[1] {
		tablet[1][i].Received = hub[1][i].Received.AddDate(0, 0, -1) // would put every clock ahead
	}
	there, here := fold(hub...).Job(jobOne), fold(tablet...).Job(jobOne)
	if jsonOf(t, there, record.Options{}) != jsonOf(t, here, record.Options{}) {
		t.Error("the record without receipts hangs on them")
	}
	with := jsonOf(t, here, record.Options{Receipts: true})
	if !strings.Contains(with, `"clock ahead"`) || !strings.Contains(with, `"received":"2026-03-01T`) {
		t.Error("the record with receipts lacks them")
	}
	for _, o := range []record.Options{{Receipts: true}, {}} {
		var b strings.Builder
		if err := here.WriteText(&b, o); err != nil {
			t.Fatal(err)
		}
		if strings.Contains(b.String(), "[clock ahead]") != o.Receipts {
			t.Errorf("receipts %v, got\n%s", o.Receipts, b.String())
		}
	}
}

func TestJSONOfJobThatIsNotOpenedHere(t *testing.T) {
	bench := newTablet(t, "bench-1")
	bench.says(one("", ""), "io", note("wheels in the shed"))
	text := jsonOf(t, fold(bench.log).Job(journal.JobID(jobOne)), record.Options{})
	if !strings.HasPrefix(text, `{"format":"fettlebook record 1","jobs":[{"job":"4f7kk2m9","state":"not opened here yet","lines":[{`) {
		t.Errorf("got %s", text)
	}
}
