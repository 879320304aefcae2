package desk_test

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"reflect"
	"testing"

	"fettlebook/cmd/internal/pages/desk"
)

// places is where a hub is, in memory.
type places struct {
	is, moved desk.Place
	err       error
}

func (p *places) Place() (desk.Place, error) { return p.is, nil }

func (p *places) Move(_ context.Context, to desk.Place) error {
	if p.err == nil {
		p.moved = to
	}
	return p.err
}

// Where tablets find the hub is shown, and changed from its next start on; what is wrong is
// said beside what was typed.
func TestPlace(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	o.get("/people").well(http.StatusOK).hides("/people/address")
	o.get("/people/address").well(http.StatusNotFound)
	at := &places{is: desk.Place{Found: []string{"office.lan:7461", "192.0.2.7:7461"}, Named: []string{"office.lan"}, Desk: 7460, Broker: 7461}}
	o.desk.Places = at
	o.get("/people").well(http.StatusOK).says("/people/address")
	o.get("/people/address").well(http.StatusOK).says("office.lan:7461", "192.0.2.7:7461", `value="office.lan"`, `value="7460"`, `value="7461"`).hides("Kept.")
	typed := func(named, port, broker string) url.Values {
		return url.Values{"named": {named}, "desk": {port}, "broker": {broker}}
	}
	for name, v := range map[string]url.Values{"not a number": typed("hub", "front", "7461"), "nothing": typed("hub", "7460", ""), "too high": typed("hub", "65536", "7461"), "too low": typed("hub", "7460", "0")} {
		o.post("/people/address", v).well(http.StatusUnprocessableEntity).says("is not a port. A port is a number from 1 to 65535.", `value="hub"`)
		if !reflect.DeepEqual(at.moved, desk.Place{}) {
			t.Errorf("%s: moved to %+v", name, at.moved)
		}
	}
	at.err = errors.New("give one of them another port")
	o.post("/people/address", typed("", "7461", "7461")).well(http.StatusUnprocessableEntity).says("Give one of them another port.")
	at.err = nil
	o.post("/people/address", typed(" office.lan, 192.0.2.9", "80", "81")).leads("/people/address?kept=yes")
	if want := (desk.Place{Named: []string{"office.lan", "192.0.2.9"}, Desk: 80, Broker: 81}); !reflect.DeepEqual(at.moved, want) {
		t.Errorf("moved to %+v, want %+v", at.moved, want)
	}
	o.get("/people/address?kept=yes").well(http.StatusOK).says("Kept.")
}

// How much room photographs take is said beside the tablets.
func TestRoom(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	o.get("/people").well(http.StatusOK).hides("Photographs</h3>")
	soon, trouble := false, error(nil)
	o.desk.Room = func(context.Context) (string, bool, error) { return "About 2 GB come in 30 days.", soon, trouble }
	o.get("/people").well(http.StatusOK).says("Photographs</h3><p>About 2 GB come in 30 days.</p>")
	soon = true
	o.get("/people").well(http.StatusOK).says(`Photographs</h3><p class="problem">About 2 GB come in 30 days.</p>`)
	trouble = errors.New("no")
	o.get("/people").well(http.StatusOK)
}
