package write_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"fettlebook/journal"
)

// What a link fills in stands in the form, rows too, and is written; what nobody
// could ask again is refused at its field.
func TestInvestigationIsBegun(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.desk = true
	const page = "/write/investigation.made/shop/k7m2q4xw?matter=pinhole&defect=pinhole&filter.0=metal%3Diron&filter.1=day%3E%3D2026-01&counted.0.with=&counted.0.defects=3&counted.0.parts=40&counted.1.with=powder_lot%3DL1&counted.1.defects=2&counted.1.parts=5&looked_at.0=the+parts+table&wheel=4&filter.x=5"
	p, _, _ := s.open(page)
	p.want(t, http.StatusOK, `value="metal=iron"`, `value="powder_lot=L1"`, `value="40"`)
	if strings.Contains(p.body, "wheel") {
		t.Error("a field that is none is in the form")
	}
	said := url.Values{"matter": {"pinhole"}, "looked_at.0": {"the parts table"}, "found": {"three"}, "concluded": {"gas"}, "certainty": {"probable"}, "defect": {"pinhole"}, "filter.0": {"metal=iron"}, "counted.0.with": {"powder_lot=L1"}, "counted.0.defects": {"2"}, "counted.0.parts": {"5"}}
	for field, wrong := range map[string]string{"filter.0": "moon=full", "counted.0.with": "soon"} {
		s.stamp(page, with(said, url.Values{field: {wrong}, "sure": {"1"}})).want(t, http.StatusUnprocessableEntity, "Row 1: ", wrong)
	}
	s.stamp(page, with(said, url.Values{"counted.0.defects": {"6"}, "sure": {"1"}})).want(t, http.StatusUnprocessableEntity, "Of 5 parts, 6 cannot have the defect.")
	s.stamp(page, with(said, url.Values{"sure": {"1"}}))
	var written []*journal.Investigation
	for _, l := range s.live.View(t.Context()).Investigations() {
		written = append(written, l.Effect().(*journal.Investigation))
	}
	if len(written) != 1 || written[0].Defect != journal.Pinhole || len(written[0].Counted) != 1 || written[0].Counted[0] != (journal.Count{With: "powder_lot=L1", Defects: 2, Parts: 5}) {
		t.Fatalf("written is %+v", written)
	}
}

// What an investigation goes on with is another investigation, wherever in the
// shop that stands, and nothing else.
func TestGoesOnWithInvestigations(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	look := func(about journal.Subject, matter string) journal.EntryID {
		return s.write(about, &journal.Investigation{Matter: matter, LookedAt: []string{"it"}, Found: "f", Concluded: "c", Sure: journal.Possible})
	}
	lot := look("lot/pw-0412", "pinholes over a lot")
	job := look("job/4f7kk2m9", "one bubble")
	struck := look("lot/pw-0412", "a slip")
	s.write("lot/pw-0412", &journal.Correction{Of: struck, Reason: "a slip"})
	remark := s.write("job/4f7kk2m9", &journal.Remark{Evidence: journal.Evidence{Note: "a remark"}})
	p := s.get("/write/investigation.made/job/4f7kk2m9").want(t, http.StatusOK, "Pinholes over a lot", "One bubble")
	_, of, _ := strings.Cut(p.body, `name="of"`)
	of, _, _ = strings.Cut(of, "</fieldset>")
	for id, offered := range map[journal.EntryID]bool{lot: true, job: true, struck: false, remark: false} {
		if strings.Contains(of, `value="`+id.String()+`"`) != offered {
			t.Errorf("%s is to be offered: %v; offered is %s", id, offered, of)
		}
	}
}
