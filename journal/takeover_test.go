package journal_test

import (
	"errors"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
)

// A quote names what it quotes rightly, or it is not an entry of its kind.
func TestQuotesAreWhole(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*journal.TakenOver)
		path   string
	}{
		"bytes that are not an entry": {func(q *journal.TakenOver) { q.Entry = "{}" }, "entry"},
		"another device":              {func(q *journal.TakenOver) { q.Device = "other" }, "device"},
		"no photographs":              {func(q *journal.TakenOver) { q.Photos = nil }, "photos"},
		"another thumbnail":           {func(q *journal.TakenOver) { q.Photos[0].Thumb[0]++ }, "photos"},
		"before the log":              {func(q *journal.TakenOver) { q.Index = -1 }, "index"},
		"a proof that is too long":    {func(q *journal.TakenOver) { q.Proof = make([]journal.Digest, journal.MaxProof+1) }, "proof"},
		"no checkpoint":               {func(q *journal.TakenOver) { q.Checkpoint = "" }, "checkpoint"},
		"no reason":                   {func(q *journal.TakenOver) { q.Branch = "" }, "branch"},
	} {
		d := journaltest.Sample(journal.EntryTakenOver)
		c.change(d.Data.(*journal.TakenOver))
		var invalid *journal.Invalid
		if err := d.Valid(); !errors.As(err, &invalid) || !strings.HasPrefix(invalid.Problems[0].Path, c.path) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// What counts of a quote is the quoted entry, and of every other entry itself.
func TestQuotes(t *testing.T) {
	for _, d := range journaltest.Samples() {
		raw, err := journaltest.Golden(d)
		if err != nil {
			t.Fatal(err)
		}
		e, err := journal.Decode(raw)
		if err != nil {
			t.Fatal(err)
		}
		q, quoted := e.Quotes()
		if is := d.Data.Kind() == journal.EntryTakenOver; (q != nil) != is || is && quoted.Type.Kind != journal.PartDegreased {
			t.Errorf("%s quotes %v", d.Data.Kind(), quoted)
		}
	}
}

// Nobody may quote what only the hub may write, a quote, another shop's entry,
// or for somebody else or about something else.
func TestWhoMayQuoteWhat(t *testing.T) {
	by := journal.Authority{Shop: journaltest.Shop, Hub: "office"}
	for kind := range journal.Kinds() {
		q := &journal.Entry{Source: journal.Source{Shop: journaltest.Shop, Device: "old"}, Type: journal.Type{Kind: kind, Version: 1}, Subject: "job/a", By: "io"}
		e := &journal.Entry{Source: journal.Source{Shop: journaltest.Shop, Device: "office"}, Type: journal.Type{Kind: journal.EntryTakenOver, Version: 1}, Subject: "job/a", By: "io"}
		want := journal.Void("")
		if kind.Writer() == journal.HubOnly || kind == journal.EntryTakenOver {
			want = journal.NotQuotable
		}
		if v := by.VoidsQuote(e, q); v != want {
			t.Errorf("%s: %q, want %q", kind, v, want)
		}
		for name, change := range map[string]func(){
			"another shop":    func() { q.Source.Shop = "elsewhere" },
			"another subject": func() { e.Subject = "job/b" },
			"another person":  func() { e.By = "ms" },
		} {
			was, now := *q, *e
			change()
			if v := by.VoidsQuote(e, q); v != journal.NotQuotable {
				t.Errorf("%s, %s: %q", kind, name, v)
			}
			*q, *e = was, now
		}
	}
	for _, v := range []journal.Void{journal.NotQuotable, journal.NotProven, journal.CountsAlready} {
		if v.Sentence() == string(v) {
			t.Errorf("%q has no sentence", v)
		}
	}
}
