package write_test

import (
	"maps"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages"
	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

const torquePage = "/stage/joints/job/4f7kk2m9/corner/LF?kind=torque.applied"

func tight(reading string) url.Values {
	return url.Values{"joint": {"banjo bolt"}, "torque": {reading}, "torque.unit": {"N.m"}, "tool": {"tw-1"}, "spec": {"banjo"}}
}

func with(v url.Values, more url.Values) url.Values {
	v = maps.Clone(v)
	maps.Copy(v, more)
	return v
}

func TestBadFigures(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	for _, c := range []struct {
		name   string
		change url.Values
		says   string
	}{
		{"wrong unit", url.Values{"torque": {"27 °C"}}, "torque"},
		{"no number", url.Values{"torque": {"tight"}}, "tight"},
		{"a comma", url.Values{"torque": {"27,5"}}, "27,5"},
		{"less than nothing", url.Values{"torque": {"-3"}}, "-3"},
		{"no tool", url.Values{"tool": {""}}, ""},
		{"an unknown word", url.Values{"pattern": {"zigzag"}}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := s.stamp(torquePage, with(tight("27"), with(c.change, url.Values{"sure": {"1"}}))).want(t, http.StatusUnprocessableEntity, "banjo bolt", c.says, `class="problem"`)
			if !strings.Contains(p.body, "aria-invalid") || !strings.Contains(p.body, "aria-describedby") {
				t.Error("the problem is not tied to its field")
			}
		})
	}
	if n := len(s.lines(journal.TorqueApplied)); n > 0 {
		t.Errorf("written %d times", n)
	}
}

func TestFigureAtOnce(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	_, action, token := s.open(torquePage)
	p := s.post(action, with(tight("27"), url.Values{"once": {token}, "do": {"draft"}}), "figure").want(t, http.StatusOK, `id="figure"`, "27 N.m")
	if strings.Contains(p.body, "<html") {
		t.Error("the answer is not a fragment")
	}
	s.post(action, with(tight(""), url.Values{"once": {token}, "do": {"draft"}}), "figure").want(t, http.StatusOK, `id="figure"`)
	if n := len(s.lines(journal.TorqueApplied)); n > 0 {
		t.Error("supposing wrote an entry")
	}
	// Without a script.
	s.post(action, with(tight("28"), url.Values{"once": {token}, "do": {"figure"}}), "").want(t, http.StatusOK, "28 N.m", "<h1>")
	s.post(action, with(tight("x"), url.Values{"once": {token}, "do": {"figure"}}), "").want(t, http.StatusUnprocessableEntity, "banjo bolt")
}

func TestButtonsWithoutScript(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	_, action, token := s.open(torquePage)
	send := func(v url.Values, do string) page {
		p := s.post(action, with(v, url.Values{"once": {token}, "do": {do}}), "")
		if p.status != http.StatusSeeOther || !strings.HasPrefix(p.location, action) {
			t.Fatalf("%s: %d to %q", do, p.status, p.location)
		}
		return s.get(action)
	}
	send(tight("27.0"), "step:torque:1").want(t, http.StatusOK, `value="28.0"`)
	send(tight("27.0"), "put:joint=bracket bolt").want(t, http.StatusOK, `value="bracket bolt"`)
	send(tight("27.0"), "draft").want(t, http.StatusOK, `value="27.0"`)
	send(tight("27.0"), "step:torque:x").want(t, http.StatusOK, `value="27.0"`)
	send(tight("27.0"), "shrink:nothing:9").want(t, http.StatusOK, `value="27.0"`)
	send(tight("27.0"), "dance").want(t, http.StatusOK, `value="27.0"`)

	_, action, token = s.open(maskPage)
	send(masked(), "grow:features").want(t, http.StatusOK, `name="features.2.what"`)
	p := send(masked(), "shrink:features:0").want(t, http.StatusOK, "pin bores")
	if strings.Contains(p.body, `value="piston bore"`) && !strings.Contains(p.body, "put:") {
		t.Error("the row is still there")
	}
}

// What is typed while a photograph is on its way stays, whatever the form held
// when the photograph was taken.
func TestTypedWhileAPhotographIsOnItsWay(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	_, action, token := s.open(torquePage)
	posts := func(torque, do, part string, files ...upload) {
		s.post(action, with(tight(torque), url.Values{"once": {token}, "do": {do}}), part, files...).want(t, http.StatusOK)
	}
	posts("", "photo", "photos", upload{"picture", "a.jpg", photo(11)}) // the form as it stood
	posts("27", "draft", "figure")
	posts("", "photo", "photos", upload{"picture", "b.jpg", photo(12)}) // taken before, and slow
	s.get(action).want(t, http.StatusOK, `value="27"`)
}

// A line is closed where it was opened: by another name it would stay open.
func TestALineIsOfferedWhereItWasOpened(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.write(lf, &journal.LineOpening{At: "hose at the caliper"})
	s.get("/write/line.connected/"+string(lf)).want(t, http.StatusOK, `value="put:at=hose at the caliper"`)
	rf := s.get("/write/line.connected/"+string(journal.About(one, "RF", ""))).want(t, http.StatusOK)
	if strings.Contains(rf.body, "hose at the caliper") {
		t.Error("another corner is offered it")
	}
}

// A wheel is offered the figures of wheels alone; a joint those of all, its own first.
func TestAWheelIsOfferedFiguresOfWheels(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.get("/write/wheel.fitted/"+string(lf)).want(t, http.StatusOK, "banjo bolt · 27 N·m") // the register has none of wheels
	s.write("spec/wheel", &journal.TorqueSpec{Spec: "wheel", Joint: "wheel bolts", Nominal: q[unit.Torque]("120 N.m"), From: journal.FromManual})
	wheel := s.get("/write/wheel.fitted/"+string(lf)).want(t, http.StatusOK, "wheel bolts · 120 N·m")
	if strings.Contains(wheel.body, "banjo bolt") {
		t.Error("a wheel is offered the figure of a banjo bolt")
	}
	torque := s.get(torquePage).want(t, http.StatusOK, "wheel bolts · 120 N·m", "banjo bolt · 27 N·m").body
	if strings.Index(torque, "wheel bolts") < strings.Index(torque, "banjo bolt · 27") {
		t.Error("the figure of the wheel is offered before that of the joint")
	}
}

func TestKnownThings(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.write("tool/tw-9", &journal.Tool{Tool: "tw-9", What: "torque wrench"})
	s.write("tool/tw-9", &journal.ToolCheck{Tool: "tw-9", Result: "in tolerance", Due: "2020-01-01"})
	s.write("tool/tw-8", &journal.Tool{Tool: "tw-8", What: journal.TorqueWrench})
	s.write("tool/tw-8", &journal.ToolCheck{Tool: "tw-8", Result: journal.InTolerance, Cycles: 8})
	for range 2 { // five nuts each
		s.write(lf, &journal.WheelFit{Step: journal.WheelFull, Nuts: 5, Pattern: journal.StarPattern, Torque: q[unit.Torque]("120 N.m"), Tool: "tw-8"})
	}
	s.get(torquePage).want(t, http.StatusOK, "tw-1", "10 of 8 uses since its check", "calibration due 30 September 2099", "calibration past its date, 1 January 2020", "banjo bolt · 27 N·m", "maker's manual, 4-112")
	p := s.stamp(torquePage, with(tight("27"), url.Values{"sure": {"1"}}))
	if p.status != http.StatusSeeOther {
		p.want(t, http.StatusSeeOther)
	}
	// The tool is offered again, the reading never.
	again := s.get("/stage/joints/job/8d2mm4rq/corner/RF?kind=torque.applied").want(t, http.StatusOK, "tw-1")
	if strings.Contains(again.body, `value="27"`) {
		t.Error("a measured result is filled in")
	}
	s.by = "jr"
	s.get("/write/second.checked/"+string(lf)).want(t, http.StatusOK, "27 N.m", "IO")
	s.by = "io"
	if p := s.get("/write/second.checked/" + string(lf)); strings.Contains(p.body, s.lines(journal.TorqueApplied)[0].ID.String()) {
		t.Error("a person is offered a second look at their own work")
	}
	// A link may lead there all the same: it says what and why not.
	own := s.lines(journal.TorqueApplied)[0].ID.String()
	s.get("/write/second.checked/"+string(lf)+"?of="+own).want(t, http.StatusOK, "27 N.m", "your own work, so somebody else has to look", `value="`+own+`" checked`)
	s.get("/write/second.checked/"+string(lf)+"?of=0195a3c1-7e40-7001-9c3a-5d1f0a6b7c8d").want(t, http.StatusOK, "not in this journal yet")
	// As soon as nobody else is there, own work is offered, and how it counts.
	s.write("person/jr", &journal.Retirement{Person: "jr"})
	s.get("/write/second.checked/"+string(lf)).want(t, http.StatusOK, own, "your own work: look again in 30 minutes, with a new photograph")
}

// A person is stated as a whole: who only gets other initials keeps the duties.
func TestAPersonChanges(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.desk = true
	p := s.get("/write/person.added/person/jr").want(t, http.StatusOK, `value="jr"`, `value="JR"`, `value="bench" checked`, `value="second check" checked`)
	if strings.Contains(p.body, "Take a photograph") || strings.Contains(p.body, `value="release" checked`) {
		t.Error("a photograph of a person is asked for, or a duty given that nobody stated")
	}
	s.get("/write/person.added/person/new").want(t, http.StatusOK, `name="person"`)
	s.stamp("/write/person.added/person/jr", url.Values{"person": {"jr"}, "initials": {"JRB"}, "duties": {"bench", "second check"}}).to(t, "/people")
	if is := s.live.View(s.t.Context()).Shop.Person("jr").Stated; is.Initials != "JRB" || len(is.Duties) != 2 {
		t.Errorf("on the register: %+v", is)
	}
}

// So is a powder lot: who opens its box keeps what its label said.
func TestALotIsOpened(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.get("/write/powder.received/lot/pw-0412").want(t, http.StatusOK, `value="pw-0412"`, `value="signal orange"`, `value="polyester/HAA" checked`, "How it is stored")
	s.stamp("/write/powder.received/lot/pw-0412", url.Values{"lot": {"pw-0412"}, "colour": {"signal orange"}, "chemistry": {"polyester/HAA"}, "opened": {"2026-03-02"}, "storage": {"dry cabinet"}, "sure": {"1"}}).to(t, "/shelf")
	lots := s.lines(journal.PowderReceived)
	if is := lots[len(lots)-1].Effect().(*journal.PowderLot); is.Opened != "2026-03-02" || is.Storage != "dry cabinet" {
		t.Errorf("on the register: %+v", is)
	}
	if p := s.get("/write/powder.received/lot/new"); strings.Contains(p.body, "signal orange") {
		t.Error("a new lot begins with the label of another")
	}
}

func TestBeside(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.stamp("/write/note.made/"+string(lfCaliper), url.Values{"note": {"dust boot torn"}}).to(t, "/job/4f7kk2m9")
	s.stamp("/write/note.made/"+string(lfCaliper), url.Values{"note": {""}}).want(t, http.StatusUnprocessableEntity)
	s.stamp("/write/photo.taken/"+string(lf), url.Values{}).want(t, http.StatusUnprocessableEntity, "There is no photograph yet")
	s.stamp("/write/photo.taken/"+string(lf), url.Values{"role": {"empty bag"}}, upload{"picture", "a.jpg", photo(5)}).to(t, "/job/4f7kk2m9")
	if l := s.lines(journal.PhotoTaken); len(l) != 1 || len(l[0].Photos) != 1 || l[0].Photos[0].Role != "empty bag" {
		t.Errorf("written: %+v", l)
	}
	s.stamp("/write/tool.registered/tool/new", url.Values{"tool": {"fg-1"}, "what": {"film gauge"}}).to(t, "/shelf")
	if l := s.lines(journal.ToolRegistered); l[len(l)-1].Subject != "tool/fg-1" {
		t.Errorf("written about %s", l[len(l)-1].Subject)
	}
	s.stamp("/write/tool.checked/tool/fg-1", url.Values{"tool": {"fg-1"}, "result": {"in tolerance"}, "due": {"2099-01-01"}}).to(t, "/shelf")
}

// Beside the browser's own field of a day, which speaks the browser's language, stands what
// will be written, as the shop writes days: on the page, and in the answer to what is typed.
func TestADayIsSaid(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.write(journal.Of("shop", "k7m2q4xw"), journal.NewWriting(words.Writing{Days: words.PointsDayFirst}, journal.ByInitials))
	const says = `-day" data-worked aria-live="polite">`
	p, action, token := s.open("/write/tool.checked/tool/tw-1")
	p.want(t, http.StatusOK, says+"<")
	due := url.Values{"once": {token}, "due": {"2099-01-02"}, "do": {"draft"}}
	s.post(action, due, "figure").want(t, http.StatusOK, `id="f-due`+says+"Friday, 02.01.2099<")
	s.get(action).want(t, http.StatusOK, `id="f-due`+says+"Friday, 02.01.2099<", `value="2099-01-02"`)
	s.post(action, with(due, url.Values{"due": {"soon"}}), "figure").want(t, http.StatusOK, `id="f-due`+says+"<")

	// So it does where several entries are stamped on one page.
	s.write("route/coat", &journal.RouteCard{Route: "coat", Edition: 1, Text: "name: coat\nedition: 1\ntitle: Coat\nstages:\n  - {name: powder, title: Powder on, level: part, wants: [powder.applied]}\n"})
	s.write(journal.About(three, "", ""), &journal.Job{Vehicle: journal.Vehicle{Plate: "DAY 5"}, Corners: []journal.Corner{"LF"}, Route: "coat", Edition: 1})
	s.write(journal.About(three, "LF", "caliper"), &journal.Removal{})
	now := pages.NowPath(journal.About(three, "", ""))
	fields, _ := s.get(now).want(t, http.StatusOK, `id="f0-booth_cleaned`+says+"<").forms(t)
	fields = with(fields, url.Values{"0~booth_cleaned": {"2026-01-02"}, "do": {"draft"}})
	s.post(now, fields, "figure of 0").want(t, http.StatusOK, `id="f0-booth_cleaned`+says+"Friday, 02.01.2026<")
	s.get(now).want(t, http.StatusOK, `id="f0-booth_cleaned`+says+"Friday, 02.01.2026<", `value="2026-01-02"`)
}
