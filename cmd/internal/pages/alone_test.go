package pages_test

import (
	"fmt"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
)

// TestTapsOfACornerEntryByEntry counts what caliper and bracket of one corner take
// when every entry is written on a page of its own, from opening the job to its
// release with every hold point met.
func TestTapsOfACornerEntryByEntry(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	bench, by := house.Bench(t), house.Somebody(t)
	yesterday(t, bench, by, "RF")
	w := begins(t, house.Browser(t), browsertest.Upright, bench.Pages, by)
	w.p.Tally()
	var rows []row
	ends := func(name string) { rows = append(rows, row{name, w.p.Tally()}) }
	w.opens("LF")
	ends("opening the job")
	for _, l := range cornerWork("LF") {
		for _, e := range l.entries {
			w.alone(e)
		}
		ends(l.name)
	}
	w.looksAgain()
	ends("second look")
	w.handsBack()
	ends("hand back")
	t.Log("\n" + table(rows))
	w.allMet()
}

// alone writes an entry on its own page, which it finds from where it stands.
func (w *worker) alone(e written) {
	w.t.Helper()
	at := "/stage/" + e.stage + "/job/" + w.job + e.place
	form := fmt.Sprintf(`form[action^="%s?kind=%s"]`, at, e.kind)
	switch run := `[href*="/run/new/` + e.kind + `"]`; {
	case e.place == "" && strings.HasPrefix(e.kind, "part.") || e.kind == "powder.applied" || e.kind == "bake.started":
		w.towards(run)
	case w.p.Has(form):
	default:
		w.towards(fmt.Sprintf(`[href^="%s"]`, at))
		if !w.p.Has(form) {
			w.p.Go(fmt.Sprintf(`[href^="%s?kind=%s"]`, at, e.kind))
		}
	}
	if e.photo != "" {
		w.p.Snap("[data-snap]", photo(w.t, e.photo, len(e.place)+len(e.kind)))
		w.p.Sees("Remove")
	}
	for _, a := range e.answers {
		w.answers(a)
	}
	if e.kind == "bake.started" {
		w.sets("probes.0.channel=Probe 1", "probes.0.place=thick ear", "probes.0.on=job/"+w.job+"/corner/LF/part/caliper",
			"probes.1.channel=Probe 2", "probes.1.place=boss", "probes.1.on=job/"+w.job+"/corner/LF/part/bracket")
	}
	w.stamps()
	if e.kind == "bake.started" {
		w.p.Go(`[href*="/write/probe.logged/"]`)
		w.p.Upload("#trace", trace(w.t, 2))
		w.p.Go("Read the file")
		w.p.Go("Stamp it")
		w.p.Sees("Schedule met")
	}
}

// towards follows a link, from the job's page if it is not on this one.
func (w *worker) towards(link string) {
	w.t.Helper()
	if !w.p.Has(link) {
		w.p.Go(`[href="/job/` + w.job + `"]`)
	}
	w.p.Go(link)
}

// answers answers a field: by a word that is offered, and else by typing it.
func (w *worker) answers(a string) {
	w.t.Helper()
	name, value, _ := strings.Cut(a, "=")
	if field, all := strings.CutSuffix(name, "*"); all {
		w.counts(field)
		return
	}
	if strings.HasPrefix(a, "preset:") {
		w.p.Go(fmt.Sprintf(`[value="%s"]`, a))
		return
	}
	switch offered := fmt.Sprintf(`[value="put:%s=%s"]`, name, value); {
	case !w.p.Has(offered):
		w.sets(a)
	case w.p.Has(offered + "[data-put]"):
		w.p.Click(offered)
	default:
		w.p.Go(offered)
	}
}

// counts writes of everything that a field names how many there are.
func (w *worker) counts(field string) {
	w.t.Helper()
	n := 0
	for ; w.p.Has(fmt.Sprintf(`[name="%s.%d.what"]`, field, n)); n++ {
		what := w.p.Value(fmt.Sprintf(`document.querySelector('[name="%s.%d.what"]').value`, field, n))
		w.answers(fmt.Sprintf("%s.%d.count=%s", field, n, counted[what]))
	}
	if n == 0 {
		w.t.Fatalf("nothing is named to be counted in %s", field)
	}
}

// looksAgain has a second person look at the newest work.
func (w *worker) looksAgain() {
	w.t.Helper()
	w.p.Go(`[href^="/who"]`)
	w.p.Go("JR")
	w.towards(`[href^="/stage/road/job/` + w.job + `?kind=second.checked"], #at-road`)
	if !w.p.Has("[name=finds]") {
		w.p.Go(`[href*="kind=second.checked"]`)
	}
	w.p.Set("of", w.p.Value(`document.querySelector("[name=of] option:nth-child(2)")?.value ?? document.querySelector("[name=of][value]:not([value=''])").value`))
	w.p.Set("finds", "right")
	w.stamps()
}
