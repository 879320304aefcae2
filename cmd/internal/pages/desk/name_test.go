package desk_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"fettlebook/journal"
)

// The full name of somebody who works here is written at the desk, changed and
// forgotten; what the register says of the person stays as it was.
func TestFullName(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	was := *o.Live.View(t.Context()).Shop.Person("jr").Stated
	page := "/people/name/jr"
	o.get("/people").well(http.StatusOK).says("Write down: full name of JR", `href="`+page+`"`)
	o.get("/people/name/xy").well(http.StatusNotFound).says("Nobody of that name is on the register.")
	o.get(page).well(http.StatusOK).says("The full name of JR").hides("Forget this name")
	o.post(page, url.Values{"name": {"  "}}).well(http.StatusUnprocessableEntity).says("The name is missing.")
	o.post(page, url.Values{"name": {strings.Repeat("x", 121)}}).well(http.StatusUnprocessableEntity).says("The name has 121 characters; at most 120 are allowed", strings.Repeat("x", 121))
	o.post(page, url.Values{"name": {"Jory  Rask"}}).leads("/people")
	o.get("/people").well(http.StatusOK).says("Jory Rask")
	for _, q := range []string{"rask", "JR", "jr", "person/jr"} { // at the desk, what somebody's work touched is found by name too
		o.get("/trace?q="+q).well(http.StatusOK).says("JR, Jory Rask", `href="/job/`+string(o.Job("job")))
	}
	is := *o.Live.View(t.Context()).Shop.Person("jr").Stated
	card := is.Card
	if card == "" || is.Initials != was.Initials || len(is.Duties) != len(was.Duties) {
		t.Errorf("the register says %+v, and said %+v", is, was)
	}
	o.post(page, url.Values{"name": {"Jory Rask-Amund"}}).leads("/people")
	o.get(page).well(http.StatusOK).says(`value="Jory Rask-Amund"`, "/forget/"+string(card))
	if again := o.Live.View(t.Context()).Shop.Person("jr").Stated.Card; again != card {
		t.Errorf("the name is on card %s, and was on %s", again, card)
	}
	o.get("/forget/"+string(card)).well(http.StatusOK).says("What this person wrote stays", "Forget this name")
	o.post("/forget/"+string(card), url.Values{"reason": {"asked for"}}).leads("/people")
	o.get("/people").well(http.StatusOK).hides("Rask")
	o.get("/trace?q=rask").well(http.StatusOK).says("Nothing here is called rask").hides("Jory")
	o.post(page, url.Values{"name": {"Jory Rask"}}).leads("/people")
	o.get("/people").well(http.StatusOK).says("Jory Rask")
	if fresh := o.Live.View(t.Context()).Shop.Person("jr").Stated.Card; fresh == card {
		t.Error("an erased card is in use again")
	}
	o.Write(journal.Of("person", "mk"), "io", &journal.Retirement{Person: "mk"})
	o.get("/people").well(http.StatusOK).hides("/people/name/mk")
	o.post("/people/name/mk", url.Values{"name": {"M. Kest"}}).well(http.StatusUnprocessableEntity).says("no longer works here")
}
