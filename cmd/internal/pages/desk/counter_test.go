package desk_test

import (
	"context"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/counter"
	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/readonly/readonlytest"
	"fettlebook/journal"
)

// The desk opens jobs as the bench does, and writes them into its own log. What is
// wrong is said beside its field, and nothing is written then.
func TestAJobIsOpened(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	o.get("/").well(http.StatusOK).says(`href="/job/new"`, "Start a job")
	o.get("/job/new").says("Calipers and brackets, powder coated", "The customer has read the terms", `value="LF" checked`, `value="RF" checked`, "Photographs are taken at every stage")
	came := url.Values{"plate": {"TRL 4471"}, "looks": {"moss-green estate"}, "odometer": {"84210"}, "odometer.unit": {"km"}, "corner": {"LF", "RF"}, "route": {"caliper"},
		"wish": {"calipers in signal orange"}, "ready": {"2026-03-06"}, "customer": {"W. Tarn"}, "phone": {"555 0143"}, "do": {"open"}}
	with := func(more url.Values) url.Values {
		form := url.Values{}
		for k, v := range came {
			form[k] = v
		}
		for k, v := range more {
			form[k] = v
		}
		return form
	}
	for name, c := range map[string]struct {
		change url.Values
		says   string
		beside string // the button: the way to the field
	}{
		"no vehicle":            {url.Values{"plate": {""}}, "Give the VIN or the plate", `href="#plate">Not written yet: look at Plate<`},
		"a VIN too short":       {url.Values{"vin": {"00FAH59H3SG11834"}}, "this has 16", `href="#vin">Not written yet: look at VIN<`},
		"no corner":             {url.Values{"corner": nil}, "Tick the corners", `href="#corner">Not written yet: look at Corners<`},
		"a day that is none":    {url.Values{"ready": {"soon"}}, "is not a day", `href="#ready">Not written yet: look at Promised for<`},
		"a phone without name":  {url.Values{"customer": {""}}, "the customer’s name is missing", `href="#customer">Not written yet: look at Name<`},
		"a complaint elsewhere": {url.Values{"claim": {"01955a2e-0000-7000-8000-000000000000"}}, "The complaint that this job answers is not here", "it came in come next"},
	} {
		t.Run(name, func(t *testing.T) {
			o.t = t
			o.post("/job/new", with(c.change)).refused(c.says, c.beside)
		})
	}
	o.t = t
	o.post("/job/new", with(url.Values{"do": {"draft"}}))
	o.get("/job/new").says(`id="ready-day" data-worked aria-live="polite">Friday, 6 March 2026<`)
	at := o.post("/job/new", came).header.Get("Location")
	job := o.Live.View(t.Context()).Job(journal.JobID(strings.TrimPrefix(at, "/job/")))
	if job == nil || job.Opened.Device != readonlytest.Hub || job.Opened.By != "io" || job.Ready != "2026-03-06" || job.Customer == nil || job.Stated.Odometer.String() != "84210 km" {
		t.Fatalf("%s: %+v", at, job)
	}
	if n := len(o.Live.View(t.Context()).Open(10)); n != 1 {
		t.Errorf("%d jobs are open", n)
	}
	o.get(at).well(http.StatusOK).says("TRL 4471", "W. Tarn")

	// The same plate, told otherwise: the first press asks.
	other := with(url.Values{"looks": {"black van"}, "odometer": {"8421"}})
	asks := o.post("/job/new", other).refused("It looks like another car. On record: moss-green estate", "The odometer shows less than before", "1 job of this vehicle is on record")
	other.Set("same", regexp.MustCompile(`name="same" value="([0-9a-f]+)"`).FindStringSubmatch(asks.body)[1])
	if to := o.post("/job/new", other).header.Get("Location"); !strings.HasPrefix(to, "/job/") || to == at {
		t.Errorf("the second press leads to %q", to)
	}

	// Nobody has said who works at this desk.
	o.by = ""
	o.post("/job/new", came).leads("/who?back=%2Fjob%2Fnew")
}

// What is half typed of a customer goes when the customer's card is erased, whoever typed
// it, and a page that is still open does not bring it back. What is typed of others stays.
func TestADraftOfAnErasedCustomerGoes(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	at := o.post("/job/new", url.Values{"plate": {"TRL 4471"}, "looks": {"moss-green estate"}, "odometer": {"84210"}, "odometer.unit": {"km"}, "corner": {"LF"}, "route": {"caliper"},
		"customer": {"W. Tarn"}, "phone": {"555 0143"}, "do": {"open"}}).header.Get("Location")
	card := o.Live.View(t.Context()).Job(journal.JobID(strings.TrimPrefix(at, "/job/"))).Customer.Card
	o.Write("person/jr", "io", &journal.Person{Person: "jr", Initials: "JR"})
	typed := map[journal.PersonID]url.Values{
		"io": {"customer": {"w. tarn"}, "wish": {"the rear ones too"}},                         // the name alone
		"jr": {"customer": {"Wife of W."}, "phone": {"555 0143"}},                              // the telephone number alone
		"mk": {"plate": {"TRL 4471"}, "card": {string(card)}, "address": {"3 Kiln Lane"}},      // taken over
		"ok": {"plate": {"FB 204"}, "customer": {"M. Low"}, "phone": {"555 0199"}, "x": {"y"}}, // somebody else
	}
	for _, p := range []journal.PersonID{"mk", "ok"} {
		o.Write(journal.Of("person", string(p)), "io", &journal.Person{Person: p, Initials: strings.ToUpper(string(p))})
	}
	for by, form := range typed {
		o.by = by
		o.post("/job/new", form)
	}
	left := func() (by []journal.PersonID) {
		for _, p := range []journal.PersonID{"io", "jr", "mk", "ok"} {
			if len(o.drafts.List(p)) > 0 {
				by = append(by, p)
			}
		}
		return by
	}
	if got := left(); len(got) != 4 {
		t.Fatalf("before: drafts of %v", got)
	}
	ctx, stop := context.WithCancel(t.Context())
	over := make(chan struct{})
	go func() { defer close(over); o.counter.Forget(ctx) }()
	defer func() { stop(); <-over }()
	o.by = "io"
	o.post("/forget/"+string(card), url.Values{"reason": {"asked for"}}).leads(at)
	deadline, again := time.After(time.Minute), time.NewTicker(time.Millisecond)
	defer again.Stop()
	for len(left()) != 1 {
		select {
		case <-deadline:
			t.Fatalf("still there: drafts of %v", left())
		case <-again.C:
		}
	}
	if got := left(); got[0] != "ok" {
		t.Errorf("left: drafts of %v", got)
	}
	o.by = "mk"
	o.post("/job/new", typed["mk"])
	d, err := o.drafts.Get(draft.Key{By: "mk", Path: counter.Path})
	if err != nil || d.Values["address"] != nil || d.Values["card"] != nil || d.Values["plate"] == nil {
		t.Errorf("an old page brings back %v, %v", d.Values, err)
	}
}

// refused wants that something was refused, with its reasons.
func (a answer) refused(texts ...string) answer {
	a.t.Helper()
	if a.status != http.StatusUnprocessableEntity {
		a.t.Errorf("%s: status %d: %.300s", a.path, a.status, a.body)
	}
	return a.says(texts...)
}
