package pages_test

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// looksNow has a second person look at the newest work where it was done.
func (w *worker) looksNow() {
	w.t.Helper()
	w.p.Go(`[href^="/who"]`)
	w.p.Go("JR")
	w.together([]written{{"road", "", "second.checked", "", []string{"finds=right"}}})
}

// together stamps in one press as many of the entries as have their turn on the
// page, and returns the others.
func (w *worker) together(list []written) (left []written) {
	w.t.Helper()
	used := make(map[string]bool)
	n := 0
	for _, e := range list {
		at := w.formOf(e)
		if len(left) > 0 || at == "" || used[at] {
			left = append(left, e)
			continue
		}
		w.among(at, e)
		used[at] = true
		n++
	}
	if n == 0 {
		w.t.Fatalf("%+v has no form on the page:\n%s", list[0], w.p.Text())
	}
	w.p.Go("#stamp button.main")
	if w.p.Has("[name=sure]") {
		w.p.Refused() // the first press only asks
		w.p.Go("#stamp button.main")
	}
	w.passed()
	if n > 0 && strings.HasPrefix(list[n-1].kind, "bake.") {
		w.p.Upload("[data-send]", trace(w.t, len(w.hung)))
		w.p.Sees("Schedule met")
		w.p.Go("Stamp it")
		w.passed()
	}
	return left
}

// formOf is the key of the form on the page that writes an entry, "" if there is none.
func (w *worker) formOf(e written) string {
	w.t.Helper()
	path := "/stage/" + e.stage + "/job/" + w.job + e.place + "?kind=" + e.kind
	joint := ""
	for _, a := range e.answers {
		if name, value, _ := strings.Cut(a, "="); name == "joint" && e.kind == "torque.applied" {
			joint = value
		}
	}
	return w.p.Value(fmt.Sprintf(`(() => { const all = [...document.querySelectorAll("[data-item]")];
		const is = (f) => { const at = f.querySelector("[name$='~_page']").value; return at === "/run/new/" + %q || at.startsWith(%q) && (%q === "" || new URL(at, location.href).searchParams.get("joint") === %[3]q); };
		return all.find(is)?.dataset.item ?? ""; })()`, e.kind, path, joint))
}

// among answers one form of several.
func (w *worker) among(key string, e written) {
	w.t.Helper()
	at := key + "~"
	if e.photo != "" {
		w.p.Snap(fmt.Sprintf(`[name="%spicture"]`, at), photo(w.t, e.photo, len(e.place)+len(e.kind)))
		w.p.Until(fmt.Sprintf(`document.querySelector('#turn-%s .snap') !== null`, key))
	}
	if e.kind == "bake.started" {
		for i, place := range w.hung {
			e.answers = append(slices.Clip(e.answers), fmt.Sprintf("probes.%d.on=job/%s%s", i, w.job, place))
		}
	}
	for _, a := range e.answers {
		if name, value, _ := strings.Cut(a, "="); w.holds(at+name, value) {
			continue
		}
		if preset, ok := strings.CutPrefix(a, "preset:"); ok {
			a = "preset:" + at + preset
		} else {
			a = at + a
		}
		w.answersIn(a)
	}
	w.p.Set(at+"_now", "yes")
}

// holds reports whether a field holds an answer already.
func (w *worker) holds(name, value string) bool {
	w.t.Helper()
	return w.p.Value(fmt.Sprintf(`[...document.querySelectorAll('[name="%s"]')].some((e) => e.type === "radio" || e.type === "checkbox" ? e.checked && e.value === %q : e.value === %[2]q) ? "yes" : ""`, name, value)) != ""
}

// answersIn answers a field of one form among several, which leaves the page as it is.
func (w *worker) answersIn(a string) {
	w.t.Helper()
	name, value, _ := strings.Cut(a, "=")
	if preset, ok := strings.CutPrefix(a, "preset:"); ok {
		w.p.Click(fmt.Sprintf(`[value="%s"]`, a))
		w.p.Until(fmt.Sprintf(`document.querySelector('[value="preset:%s"]').getAttribute("aria-pressed") === "true"`, preset))
		return
	}
	if field, all := strings.CutSuffix(name, "*"); all {
		w.countsIn(field)
		return
	}
	switch offered := fmt.Sprintf(`[value="put:%s=%s"], [value^="put:%[1]s=%[2]s "]`, name, value); { // a figure has its unit with it
	case strings.HasSuffix(name, ".readings"): // the next box comes by itself
		if strings.HasSuffix(name, ".0.readings") {
			w.p.Focus(fmt.Sprintf(`[name="%s"]`, name))
		}
		for reading := range strings.FieldsSeq(value) {
			w.p.Type(reading)
		}
		w.p.Until(fmt.Sprintf(`[...document.querySelectorAll('[name="%s"]')].map((e) => e.value).join(" ") === %q`, name, value))
	case w.p.Has(offered):
		w.p.Click(offered)
		w.p.Until(fmt.Sprintf(`[...document.querySelectorAll('[name^="%s"]')].some((e) => e.value === %q || e.value.startsWith(%[2]q + " "))`, name, value))
	default:
		if field, _, isRow := strings.Cut(name, "."); isRow && !w.p.Has(fmt.Sprintf(`[name="%s"]`, name)) {
			w.p.Click(fmt.Sprintf(`[value="grow:%s"]`, field))
			w.p.Until(fmt.Sprintf(`document.querySelector('[name="%s"]') !== null`, name))
		}
		w.p.Set(name, value)
	}
}

// countsIn writes how many there are of everything that a field names.
func (w *worker) countsIn(field string) {
	w.t.Helper()
	n, all := 0, 0
	if strings.HasSuffix(field, "~features") && !w.p.Has(fmt.Sprintf(`[name="%s.all"]`, field)) {
		return // they are as many as the plugs
	}
	for ; w.p.Has(fmt.Sprintf(`[name="%s.%d.what"]`, field, n)); n++ {
		one, _ := strconv.Atoi(counted[w.p.Value(fmt.Sprintf(`document.querySelector('[name="%s.%d.what"]').value`, field, n))])
		all += one
	}
	w.p.Fill(fmt.Sprintf(`[name="%s.all"]`, field), strconv.Itoa(all))
	if n == 0 {
		w.t.Fatalf("nothing is named to be counted in %s", field)
	}
}
