package folder_test

import (
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// A correction puts no figure that cannot be in the place of another, nor does one of a
// correction. What is wrong and can be is written, and shown for what it is.
func TestACorrectionStaysWithinSpans(t *testing.T) {
	f := open(t, found(t))
	corner := journal.About("4f7kk2m9", "LF", "")
	write := func(data journal.Payload) (journal.EntryID, error) {
		e, err := f.Append(t.Context(), journal.Draft{Subject: corner, By: "io", Data: data})
		if err != nil {
			return journal.EntryID{}, err
		}
		return e.ID, nil
	}
	must := func(data journal.Payload) journal.EntryID {
		t.Helper()
		id, err := write(data)
		if err != nil {
			t.Fatal(err)
		}
		return id
	}
	figure, err := unit.Parse[unit.Torque]("22 N.m")
	if err != nil {
		t.Fatal(err)
	}
	of := must(&journal.Torque{Joint: "banjo bolt", Torque: figure, Tool: "tw-1"})
	slip := must(&journal.Correction{Of: of, Reason: "slip", Data: []byte(`{"joint":"banjo bolt","torque":"24 N.m","tool":"tw-1"}`)})
	for _, trial := range []struct {
		of         journal.EntryID
		data, says string
	}{
		{of, `{"joint":"banjo bolt","torque":"27 N.m","tool":"tw-1"}`, ""},
		{of, `{"joint":"banjo bolt","torque":"220 N.m","tool":"tw-1"}`, ""}, // wrong, and can be
		{of, `{"joint":"banjo bolt","torque":"22000 N.m","tool":"tw-1"}`, "the field torque: 22000 N.m cannot be right"},
		{of, `{"joint":"banjo bolt","torque":"27 N.m","tool":"tw-1","count":0}`, "the field count: 0 cannot be right"},
		{slip, `{"of":"` + of.String() + `","reason":"slip","data":{"joint":"banjo bolt","torque":"22000 N.m","tool":"tw-1"}}`, "the field torque: 22000 N.m cannot be right"},
		{of, "", ""}, // strikes it out
	} {
		c := &journal.Correction{Of: trial.of, Reason: "slip"}
		if trial.data != "" {
			c.Data = []byte(trial.data)
		}
		_, err := write(c)
		if (err == nil) != (trial.says == "") || err != nil && !strings.Contains(err.Error(), trial.says) {
			t.Errorf("%s: got %v, want %q", trial.data, err, trial.says)
		}
	}
}
