package exchange_test

import (
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/exchange"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/trade/unit"

	"github.com/go-json-experiment/json"
)

// name is the name of an entry by the hash of its bytes, worked out apart.
func name(h *hub, e *journal.Entry) string {
	for _, l := range h.log {
		if got, err := journal.Decode(l.Bytes); err == nil && got.ID == e.ID {
			return named(l.Bytes)
		}
	}
	h.Fatalf("entry %s is not here", e.ID)
	return ""
}

func named(raw []byte) string {
	sum := sha256.Sum256(raw)
	return "ni:///sha-256;" + base64.RawURLEncoding.EncodeToString(sum[:])
}

// find returns the event of an entry.
func find(t *testing.T, doc any, id string) map[string]any {
	t.Helper()
	all := events(doc)
	i := slices.IndexFunc(all, func(e map[string]any) bool { return e["eventID"] == id })
	if i < 0 {
		t.Fatalf("there is no event %s", id)
	}
	return all[i]
}

func (h *hub) correct(about journal.Subject, of *journal.Entry, instead journal.Payload) *journal.Entry {
	h.Helper()
	c := &journal.Correction{Of: of.ID, Reason: "a slip"}
	if instead != nil {
		raw, err := json.Marshal(instead)
		if err != nil {
			h.Fatal(err)
		}
		c.Data = raw
	}
	return h.write(about, c)
}

// A struck entry stays as it was written and is declared an error; what stands instead is the
// corrective event, at the time of what was struck, also if the correction was
// corrected in its turn.
func TestStruckEntriesAreDeclaredErrors(t *testing.T) {
	schema := epcisSchema(t)
	h := newHub(t)
	job := h.open("4f7kk2m9", "FB 204")
	corner := journal.Subject(job + "/corner/LF")
	torque := func(text string) *journal.Torque {
		return &journal.Torque{Joint: "banjo bolt", Torque: q[unit.Torque](t, text), Tool: "tw-1"}
	}
	plain := h.write(corner, torque("21 N.m"))
	replaced := h.write(corner, torque("2 N.m"))
	instead := h.correct(corner, replaced, torque("22 N.m"))
	gone := h.write(corner, torque("23 N.m"))
	struck := h.correct(corner, gone, nil)
	twice := h.write(corner, torque("9 N.m"))
	first := h.correct(corner, twice, torque("99 N.m"))
	again := journal.Correction{Of: twice.ID, Reason: "19, not 99"}
	again.Data, _ = json.Marshal(torque("19 N.m"))
	second := h.correct(corner, first, &again)
	back := h.write(corner, torque("24 N.m"))
	wrong := h.correct(corner, back, nil)
	h.correct(corner, wrong, nil) // it was right after all

	doc := decoded(t, written(t, exchange.EPCIS, h.source("4f7kk2m9")))
	if err := schema.Validate(doc); err != nil {
		t.Fatal(err)
	}
	reading := func(e map[string]any) any {
		list, ok := e["sensorElementList"].([]any)
		if !ok {
			return nil
		}
		reports := list[0].(map[string]any)["sensorReport"].([]any)
		r := reports[0].(map[string]any)
		if len(reports) != 1 || r["uom"] != "NU" || r["deviceID"] != "urn:fettlebook:"+string(journaltest.Shop)+":tool/tw-1" {
			t.Errorf("%v", reports)
		}
		return fmt.Sprint(r["value"])
	}
	for _, c := range []struct {
		what   string
		of     *journal.Entry
		reason any
		by     *journal.Entry // the corrective event
		value  any
		when   *journal.Entry
	}{
		{"as it is", plain, nil, nil, "21", plain},
		{"replaced", replaced, "incorrect_data", instead, "2", replaced},
		{"its correction", instead, nil, nil, "22", replaced},
		{"struck", gone, "did_not_occur", nil, "23", gone},
		{"its strike", struck, nil, nil, nil, struck},
		{"corrected twice", twice, "incorrect_data", second, "9", twice},
		{"the first correction", first, "incorrect_data", second, nil, first},
		{"the second correction", second, nil, nil, "19", twice},
		{"struck by mistake", back, nil, nil, "24", back},
		{"the mistake", wrong, "did_not_occur", nil, nil, wrong},
	} {
		e := find(t, doc, name(h, c.of))
		var reason any
		var by []any
		if is, ok := e["errorDeclaration"].(map[string]any); ok {
			reason = is["reason"]
			by, _ = is["correctiveEventIDs"].([]any)
		}
		if reason != c.reason {
			t.Errorf("%s: declared %v, want %v", c.what, reason, c.reason)
		}
		if c.by == nil && len(by) > 0 || c.by != nil && (len(by) != 1 || by[0] != name(h, c.by)) {
			t.Errorf("%s: corrected by %v", c.what, by)
		}
		if got := reading(e); got != c.value {
			t.Errorf("%s: measured %v, want %v", c.what, got, c.value)
		}
		var stamp journal.Stamp
		if err := stamp.UnmarshalText([]byte(e["eventTime"].(string))); err != nil || stamp.String() != c.when.Time.String() {
			t.Errorf("%s: at %v, want %s", c.what, e["eventTime"], c.when.Time)
		}
	}
}
