package shop_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/trade/unit"
)

// carded are logs with customers' cards beside them.
type carded struct {
	*logs
	cards []journal.CardState
}

func (c *carded) CardsSince(_ context.Context, rev int64) ([]journal.CardState, error) {
	return c.cards[rev:], nil
}

func (c *carded) Card(_ context.Context, id journal.CardID) (journal.Card, error) {
	for _, s := range c.cards {
		switch {
		case s.Card.Card != id:
		case s.Erased:
			return journal.Card{}, journal.ErrCardErased
		default:
			return s.Card, nil
		}
	}
	return journal.Card{}, journal.ErrNoCard
}

// customer has the card of somebody lie here, and returns what a job cites.
func (c *carded) customer(t *testing.T, id journal.CardID, name string, erased bool) *journal.Citation {
	t.Helper()
	card, err := journal.NewCard(id, journal.Details{Name: name, Address: "7 Tarnside Row"}, journaltest.Rand(name))
	if err != nil {
		t.Fatal(err)
	}
	to, err := card.Commitment()
	if err != nil {
		t.Fatal(err)
	}
	if erased {
		card.Details = journal.Details{}
	}
	c.cards = append(c.cards, journal.CardState{Card: card, Erased: erased, Rev: int64(len(c.cards) + 1)})
	return &journal.Citation{Card: id, Commitment: to}
}

// A vehicle that was here before is told by its VIN, its plate or its customer, with what is
// known of it now. What only looks like it is not told as if it were it.
func TestReturning(t *testing.T) {
	const one, two, three, four = "ZZZ11AAA0A0000001", "ZZZ11AAA0A0000022", "ZZZ11AAA0A0000303", "ZZZ11AAA0A0004004"
	w := newWriters(t)
	c := &carded{logs: w.logs}
	tarn, gone := c.customer(t, "c7w1m3e9", "W. Tarn", false), c.customer(t, "c8w1m3e9", "A. Ruhl", true)
	brask, ostrow := c.customer(t, "c9w1m3e9", "Ida Brask", false), c.customer(t, "caw1m3e9", "Olle Östrow", false)
	opens := func(id journal.JobID, vin, plate, odometer string, of *journal.Citation) {
		t.Helper()
		job := &journal.Job{Vehicle: journal.Vehicle{VIN: vin, Plate: plate}, Customer: of, Corners: []journal.Corner{"LF"}}
		if odometer != "" {
			job.Odometer = quantity[unit.Distance](odometer)
		}
		w.write("bench-1", journal.About(id, "", ""), "io", job)
	}
	days := func(n int) { w.watch.Advance(time.Duration(n) * 24 * time.Hour) }
	opens("1aaaaaaa", two, "HX 41 TRE", "90000 mi", gone)
	days(200)
	opens("2aaaaaaa", three, "KLM 77", "", brask)
	opens("3aaaaaaa", "", "SLD 1", "10 km", tarn)
	days(170)
	opens("4aaaaaaa", one, "TRL 4471", "61000 km", tarn)
	days(20)
	w.write("bench-1", journal.About("4aaaaaaa", "", ""), "io", &journal.Release{Odometer: quantity[unit.Distance]("61 040 km")})
	opens("5aaaaaaa", four, "KLM 77", "5 km", ostrow)
	opens("6aaaaaaa", "", "SLD 1", "20 km", ostrow)
	days(5)
	opens("7aaaaaaa", "", "GVN 0316", "", tarn)
	days(5)
	opens("8aaaaaaa", one, "TRL 4471", "", nil) // nobody said more, since it was here lately
	s, idx := openWith(t, c, t.TempDir())
	defer idx.Close()
	if err := s.CatchUp(t.Context()); err != nil {
		t.Fatal(err)
	}

	const (
		green = one + ", job 8aaaaaaa, of W. Tarn, 61 040 km on 27 March 2027"
		grey  = "GVN0316, job 7aaaaaaa, of W. Tarn, no reading"
		far   = two + ", job 1aaaaaaa, customer erased, 90000 mi on 2 March 2026"
		old   = three + ", job 2aaaaaaa, of Ida Brask, no reading"
		now   = four + ", job 5aaaaaaa, of Olle Östrow, 5 km on 27 March 2027"
		sold  = "SLD1, job 6aaaaaaa, of Olle Östrow, 20 km on 27 March 2027"
	)
	for name, trial := range map[string]struct {
		vin, plate, customer string
		want                 []string
	}{
		"a plate, written otherwise":            {"", "trl-4471", "", []string{"plate: " + green}},
		"a VIN, written otherwise":              {"zzz11 aaa0a 0000001", "", "", []string{"VIN: " + green}},
		"a VIN and its plate":                   {one, "TRL 4471", "W. Tarn", []string{"VIN: " + green, "customer: " + grey}},
		"a VIN with one character wrong":        {"ZZZ11AAA0A0000007", "", "", []string{"VIN with a slip: " + green}},
		"a VIN that is another one's":           {two, "", "", []string{"VIN: " + far}},
		"a VIN that nobody had":                 {"ZZZ99AAA0A0000077", "", "", nil},
		"a VIN and the plate of another":        {two, "TRL 4471", "", []string{"VIN: " + far, "plate: " + green}},
		"a plate that another VIN has now":      {"", "KLM 77", "", []string{"plate: " + now, "plate: " + old}},
		"a car of 400 days ago, and no card":    {"", "HX41TRE", "", []string{"plate: " + far}},
		"two cars of a customer, and one sold":  {"", "", "tarn", []string{"customer: " + green, "customer: " + grey}},
		"whoever has it now":                    {"", "", "olle öst", []string{"customer: " + sold, "customer: " + now}},
		"a customer who was erased":             {"", "", "Ruhl", nil},
		"a name that is only in an address":     {"", "", "Tarnside", nil},
		"too little of a name":                  {"", "", "W.", nil},
		"a name with a word more than the card": {"", "", "Wim Tarn Holm", nil},
		"a part of a plate":                     {"", "TRL", "", nil},
		"nothing":                               {"", "", "", nil},
	} {
		v := s.View(t.Context())
		var got []string
		for _, r := range v.Returning(journal.Vehicle{VIN: trial.vin, Plate: trial.plate}, trial.customer, c) {
			_, called := r.Key.Parts()
			of, read := "nobody", "no reading"
			switch {
			case r.Erased:
				of = "customer erased"
			case r.Card.Card != "":
				of = "of " + r.Card.Details.Name
			}
			if r.Read.Line != nil {
				read = fmt.Sprintf("%s on %s", r.Read.Odometer, time.Time(r.Read.Line.Clocks.Device).Format("2 January 2006"))
			}
			got = append(got, fmt.Sprintf("%s: %s, job %s, %s, %s", r.Fits, called, r.Last.ID, of, read))
		}
		if g, want := strings.Join(got, "\n"), strings.Join(trial.want, "\n"); g != want {
			t.Errorf("%s:\n%s\nwant\n%s", name, g, want)
		}
		if v.Err() != nil {
			t.Fatal(v.Err())
		}
	}
}
