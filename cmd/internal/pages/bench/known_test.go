package bench_test

import (
	"html"
	"maps"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"fettlebook/journal"
)

var (
	takeOf  = regexp.MustCompile(`name="do" value="(take:[^"]+)"`)
	fieldOf = regexp.MustCompile(`<(?:input|textarea)[^>]* name="([a-z_.]+)"(?:[^>]* value="([^"]*)")?[^>]*>([^<]*)`)
)

// fields are what the counter's form holds.
func fields(w *httptest.ResponseRecorder) map[string]string {
	held := make(map[string]string)
	for _, m := range fieldOf.FindAllStringSubmatch(w.Body.String(), -1) {
		held[m[1]] = html.UnescapeString(m[2] + strings.TrimSpace(m[3]))
	}
	return held
}

// opensAs opens a job with something else in the form than usual.
func (s *site) opensAs(change url.Values) journal.JobID {
	s.t.Helper()
	form := job()
	maps.Copy(form, change)
	w := s.ask("/job/new", form)
	s.sees(w, http.StatusSeeOther)
	at := w.Header().Get("Location")
	return journal.JobID(at[strings.LastIndex(at, "/")+1:])
}

// A vehicle that was here before is offered with its customer, and taken over in one press,
// which keeps what was typed. What the odometer showed last stands beside its field, and is
// never filled in by itself.
func TestAKnownVehicleIsTakenOver(t *testing.T) {
	const number = "00FTLN2C15S100031"
	s := newSite(t)
	s.opensAs(url.Values{"vin": {number}, "vin_as_is": {"yes"}, "looks": {"moss-green estate"}, "odometer": {"63 120"}, "mail": {"w.tarn@example.com"}, "once": {"a"}})
	s.opensAs(url.Values{"plate": {"GVN 0316"}, "looks": {"black van"}, "odometer": {""}, "phone": {"555 0199"}, "once": {"b"}}) // of the same customer
	for name, c := range map[string]struct {
		typed url.Values
		says  []string          // beside the offer
		not   []string          // on the page
		taken map[string]string // that the form holds after the press
	}{
		"by its plate": {url.Values{"plate": {"trl4471"}, "wish": {"in signal orange"}},
			[]string{"This plate is on record.", "Here last on 2 March 2026.", "Customer: W. Tarn.", "Odometer: 63 120 km on 2 March 2026.", "1 job of this vehicle is on record", `value="put:odometer=63 120 km"`}, nil,
			map[string]string{"plate": "trl4471", "vin": number, "looks": "moss-green estate", "customer": "W. Tarn", "phone": "555 0143", "mail": "w.tarn@example.com", "odometer": "", "wish": "in signal orange"}},
		"by its VIN, with a new plate": {url.Values{"vin": {number}, "plate": {"NEW 7"}},
			[]string{"This VIN is on record."}, nil,
			map[string]string{"plate": "NEW 7", "vin": number, "looks": "moss-green estate", "customer": "W. Tarn"}},
		"by a VIN with one character wrong": {url.Values{"vin": {"00FTLN2C15S100037"}},
			[]string{"A VIN on record is almost the same: " + number + ". Compare every character."}, []string{"put:odometer", "on record</p>"},
			map[string]string{"plate": "TRL 4471", "vin": number}},
		"of a new owner": {url.Values{"plate": {"TRL 4471"}, "customer": {"Olle Ostrow"}},
			[]string{"Customer: W. Tarn."}, nil,
			map[string]string{"vin": number, "customer": "Olle Ostrow", "phone": "", "mail": ""}},
		"with a new telephone": {url.Values{"plate": {"TRL 4471"}, "customer": {"Tarn"}, "phone": {"555 0777"}},
			nil, nil,
			map[string]string{"customer": "W. Tarn", "phone": "555 0777", "mail": "w.tarn@example.com"}},
		"by the customer’s name": {url.Values{"customer": {"tarn"}},
			[]string{"TRL 4471", "GVN 0316", "black van"}, []string{"put:odometer"}, // it may be either
			map[string]string{"plate": "GVN 0316", "looks": "black van", "customer": "W. Tarn", "phone": "555 0199"}},
		"that nobody knows": {url.Values{"plate": {"NEW 7"}, "customer": {"Nobody"}}, nil, []string{"take:", "put:odometer"}, nil},
	} {
		t.Run(name, func(t *testing.T) {
			s.t = t
			form := url.Values{"once": {name}, "corner": {"LF"}, "do": {"look"}}
			maps.Copy(form, c.typed)
			w := s.ask("/job/new", form)
			s.sees(w, http.StatusOK, c.says...)
			for _, text := range c.not {
				if strings.Contains(w.Body.String(), text) {
					t.Errorf("the page says %q", text)
				}
			}
			offers := takeOf.FindStringSubmatch(w.Body.String())
			if (offers == nil) != (c.taken == nil) {
				t.Fatalf("offered: %v", offers)
			}
			if c.taken == nil {
				return
			}
			form.Set("do", html.UnescapeString(offers[1]))
			w = s.ask("/job/new", form)
			s.sees(w, http.StatusOK)
			for field, want := range c.taken {
				if got := fields(w)[field]; got != want {
					t.Errorf("%s is %q, want %q", field, got, want)
				}
			}
			if strings.Contains(w.Body.String(), offers[0]) {
				t.Error("it is offered once more")
			}
		})
	}
}

// A customer who is taken over as they are keeps the card, so that whoever asks to be
// forgotten is forgotten once; of whom something else is said there is another card. What an
// odd page sends in its place is nobody's.
func TestTheCustomerKeepsTheCard(t *testing.T) {
	s := newSite(t)
	first := s.live.View(t.Context()).Job(s.opensAs(url.Values{"once": {"a"}})).Customer
	for name, c := range map[string]struct {
		change url.Values
		same   bool
	}{
		"as it is":               {url.Values{"card": {string(first.Card)}}, true},
		"with another telephone": {url.Values{"card": {string(first.Card)}, "phone": {"555 0777"}}, false},
		"of somebody else":       {url.Values{"card": {string(first.Card)}, "customer": {"O. Strow"}}, false},
		"not taken over":         {nil, false},
		"a card that is none":    {url.Values{"card": {"!"}}, false},
	} {
		form := url.Values{"odometer": {"84300"}, "once": {name}}
		maps.Copy(form, c.change)
		before := s.size()
		is := s.live.View(t.Context()).Job(s.opensAs(form)).Customer
		if same := *is == *first; same != c.same {
			t.Errorf("%s: the card is the same: %v", name, same)
		}
		want := before + 2
		if c.same {
			want--
		}
		if s.size() != want {
			t.Errorf("%s: %d entries were written", name, s.size()-before)
		}
		card, err := s.db.Card(t.Context(), is.Card)
		if err != nil || !card.Opens(is.Commitment) {
			t.Errorf("%s: the card does not open what the job cites (%v)", name, err)
		}
	}
}

// What a script asks for while somebody types is what is known, and no more of the page; what
// was typed is kept.
func TestWhatIsKnownComesWhileTyping(t *testing.T) {
	s := newSite(t)
	s.opensAs(url.Values{"once": {"a"}})
	form := url.Values{"plate": {"TRL 4471"}, "once": {"b"}, "do": {"draft"}}
	r := s.request("/job/new", form)
	r.Header.Set("X-Part", "figure")
	w := httptest.NewRecorder()
	s.mux.ServeHTTP(w, r)
	s.sees(w, http.StatusOK, `id="known"`, `id="last"`, `id="known-customer"`, "This plate is on record.")
	if strings.Contains(w.Body.String(), "<form") {
		t.Error("the whole page is sent")
	}
	if got := fields(s.ask("/job/new", nil))["plate"]; got != "TRL 4471" {
		t.Errorf("the draft holds the plate %q", got)
	}

	// A customer who was taken over is the same one when the page is opened again.
	form.Set("do", html.UnescapeString(takeOf.FindStringSubmatch(w.Body.String())[1]))
	taken := s.ask("/job/new", form)
	card := fields(taken)["card"]
	form = url.Values{"do": {"draft"}}
	for name, value := range fields(taken) {
		form.Set(name, value)
	}
	s.ask("/job/new", form)
	if got := fields(s.ask("/job/new", nil))["card"]; got != card || card == "" {
		t.Errorf("the draft holds the card %q, want %q", got, card)
	}
}
