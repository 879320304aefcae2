package write_test

import (
	"net/http"
	"strings"
	"testing"
)

// A photograph is asked for beside work, beside what a form of the register is
// copied from, and wherever anything may be said; nowhere else.
func TestWhereAPhotographSaysSomething(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	bakeWithProbes(s)
	s.desk = true
	for path, say := range map[string]string{
		"/write/part.removed/" + string(lfCaliper): "Take a photograph",
		"/write/vehicle.raised/job/4f7kk2m9":       "Take a photograph",
		"/write/cure.completed/run/b7":             "Take a photograph",
		"/write/photo.taken/tool/tw-1":             "Take a photograph",
		"/write/note.made/lot/pw-0412":             "Take a photograph",
		"/write/investigation.made/lot/pw-0412":    "Take a photograph",
		"/write/powder.received/lot/new":           "Photograph: label of the box",
		"/write/fluid.opened/fluid/new":            "Photograph: label of the container",
		"/write/kit.received/kit/new":              "Photograph: label of the kit",
		"/write/tool.checked/tool/tw-1":            "Photograph: certificate",
		"/write/equipment.serviced/tool/oven-1":    "Photograph: what was done",
		"/write/spec.recorded/spec/new":            "Photograph: printed figure",
		"/write/recall.made/lot/pw-0412":           "Photograph: notice of the recall",
		"/write/tool.registered/tool/new":          "",
		"/write/units.chosen/shop/k7m2q4xw":        "",
		"/write/person.added/person/new":           "",
		"/write/person.retired/person/jr":          "",
		"/write/note.made/person/jr":               "",
	} {
		p := s.get(path).want(t, http.StatusOK, say)
		if asked := strings.Contains(p.body, "data-snap"); asked != (say != "") {
			t.Errorf("%s: asks for a photograph: %v", path, asked)
		}
	}
}
