package evidence_test

import (
	"bytes"
	"errors"
	"reflect"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/evidence/evidencetest"
)

func TestDossierComesBackAsItWas(t *testing.T) {
	d := evidencetest.New(t, "round", 5).Dossier(evidencetest.Options{Card: true}).About
	raw, err := d.Encode()
	if err != nil {
		t.Fatal(err)
	}
	got, err := evidence.Decode(raw)
	if err != nil || !reflect.DeepEqual(*got, d) {
		t.Errorf("read back as %+v, %v", got, err)
	}
	if again, err := got.Encode(); err != nil || !bytes.Equal(again, raw) {
		t.Errorf("written again it is other bytes: %v", err)
	}
	newer := bytes.Replace(raw, []byte(`"edition": 1`), []byte(`"edition": 2`), 1)
	if _, err := evidence.Decode(newer); !errors.Is(err, journal.ErrNewer) {
		t.Errorf("an edition of tomorrow: %v", err)
	}
}

// What cannot be is refused, whatever the files beside it are.
func TestDecodeRefuses(t *testing.T) {
	h := evidencetest.New(t, "refuse", 3)
	for name, change := range map[string]func(*evidence.Dossier){
		"no hub":                    func(d *evidence.Dossier) { d.Hub = "" },
		"another hub":               func(d *evidence.Dossier) { d.Hub = "nobody" },
		"about nothing":             func(d *evidence.Dossier) { d.About.Jobs = nil },
		"about two things":          func(d *evidence.Dossier) { d.About.Vehicle, d.About.Claim = "TRL 4471", d.Entries[0].ID },
		"no choice of photographs":  func(d *evidence.Dossier) { d.Asked.Photos = "some" },
		"a log twice":               func(d *evidence.Dossier) { d.Logs = append(d.Logs, d.Logs[0]) },
		"a log without a key":       func(d *evidence.Dossier) { d.Logs[0].Keys = nil },
		"a log without a state":     func(d *evidence.Dossier) { d.Logs[0].States = nil },
		"states that fall":          func(d *evidence.Dossier) { d.Logs[0].States = append(d.Logs[0].States, d.Logs[0].States[0]) },
		"a state of nothing":        func(d *evidence.Dossier) { d.Logs[0].States[0].Size = 0 },
		"a proof that is too long":  func(d *evidence.Dossier) { d.Cited[0].Grown = make([]journal.Digest, 200) },
		"an entry twice":            func(d *evidence.Dossier) { d.Entries = append(d.Entries, d.Entries[0]) },
		"an entry of no log":        func(d *evidence.Dossier) { d.Entries[0].At.Device = "aaa" },
		"an entry for no reason":    func(d *evidence.Dossier) { d.Entries[0].Why = "why not" },
		"an entry without an ID":    func(d *evidence.Dossier) { d.Entries[0].ID = journal.EntryID{} },
		"a seal of no job":          func(d *evidence.Dossier) { d.Seals[0].Job = "" },
		"a cited state of no log":   func(d *evidence.Dossier) { d.Cited[0].Device = "aaa" },
		"a cited state twice":       func(d *evidence.Dossier) { d.Cited = append(d.Cited, d.Cited[0]) },
		"a photograph nobody cites": func(d *evidence.Dossier) { d.Photos[0].Cited = nil },
		"a photograph of no format": func(d *evidence.Dossier) { d.Photos[0].Ext, d.Photos[0].Original = "pdf", true },
		"an original with its copy": func(d *evidence.Dossier) { d.Photos[0].Original, d.Photos[0].Copy = true, d.Photos[0].Ref },
		"a photograph that is not":  func(d *evidence.Dossier) { d.Photos[1].Missing = evidence.Withdrawn },
	} {
		d := h.Dossier(evidencetest.Options{}).About
		change(&d)
		if raw, err := d.Encode(); !errors.Is(err, evidence.ErrDossier) {
			t.Errorf("%s: written as %.80s, %v", name, raw, err)
		}
	}
	for _, text := range []string{"", "{}", "null", `{"form":"fettlebook dossier","edition":0}`, `{"form":"x","edition":1}`, `{"form":"fettlebook dossier","edition":1,"more":1}`} {
		if d, err := evidence.Decode([]byte(text)); !errors.Is(err, evidence.ErrDossier) {
			t.Errorf("%s: read as %+v, %v", text, d, err)
		}
	}
}

func FuzzDossier(f *testing.F) {
	d := evidencetest.New(f, "fuzz", 2).Dossier(evidencetest.Options{Card: true}).About
	raw, err := d.Encode()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(raw)
	f.Add([]byte(strings.Replace(string(raw), "t3fz8c1n/0", "t3fz8c1n/00", 1)))
	f.Fuzz(func(t *testing.T, raw []byte) {
		d, err := evidence.Decode(raw)
		if err != nil {
			return
		}
		again, err := d.Encode()
		if err != nil {
			t.Fatal(err)
		}
		if back, err := evidence.Decode(again); err != nil || !reflect.DeepEqual(back, d) {
			t.Errorf("%s\nis read as %+v, and written and read as %+v, %v", raw, d, back, err)
		}
	})
}
