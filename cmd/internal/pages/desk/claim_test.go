package desk_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// A complaint is on the board with its age until it is decided; its page says
// how it stands to the warranty, what touched the same parts, what was decided
// and which job answers it.
func TestComplaint(t *testing.T) {
	t.Parallel()
	const track = "Was it driven on a track?"
	o := playedOffice(t)
	job := string(o.Job("job"))
	about := journal.About(o.Job("job"), "", "")
	km := func(text string) unit.Distance {
		d, err := unit.Parse[unit.Distance](text)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	o.Write(about, "io", &journal.Promise{Warranty: &journal.Warranty{Months: 24, Distance: km("20000 km")}, Excludes: []string{track}})
	back := o.Live.View(t.Context()).Job(o.Job("job")).Released.Effect().(*journal.Release).Odometer
	id := o.Write(about, "io", &journal.Claim{Says: "a bubble in the paint", Odometer: km(fmt.Sprintf("%.0f km", back.In(unit.Kilometre)+2000))})
	o.Wait(5 * 24 * time.Hour)
	decide := "/write/claim.decided/job/" + job + "?of=" + id.String()
	o.get("/").well(http.StatusOK).says("Open complaints", "5 days ago", "a bubble in the paint", "/claim/"+id.String(), decide)
	page := o.get("/claim/"+id.String()).well(http.StatusOK).says("came in 5 days ago, not decided yet", `days of <span class="n">24</span> months; the last day is`, `<span class="n">2000 km</span> of <span class="n">20000 km</span>: inside`,
		"Calendar months from the day of handover", track, "not answered yet", "Powder lot so-118", "/shelf/lot/so-118", "/run/bake-2", "a person decides", decide)
	if strings.Contains(strings.ToLower(page.body), "covered") {
		t.Error("what a person decides is decided")
	}
	o.get("/job/"+job).well(http.StatusOK).says(`<span class="n">2000 km</span> of <span class="n">20000 km</span>: inside`, "/claim/"+id.String(), decide)

	o.Write(journal.About("9q2mm4rt", "", ""), "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "FB 77"}, Claim: id})
	o.Write(about, "io", &journal.Investigation{Matter: "the bubble", LookedAt: []string{"the part"}, Found: "a pinhole", Concluded: "gas out of the casting", Sure: "probable"})
	of := o.Write(about, "io", &journal.ClaimDecision{Of: id, Decision: "put right at our cost", Reason: "a pinhole", Maker: "does the lot gas out?", Answers: []journal.ClaimAnswer{{Question: track, Answer: "no"}}})
	o.get("/").well(http.StatusOK).hides("Open complaints")
	o.get("/claim/"+of.String()).well(http.StatusOK).says("Complaint settled: put right at our cost", "does the lot gas out?", "gas out of the casting", "job 9q2mm4rt", "/job/9q2mm4rt").hides(decide, "not answered yet")
	o.get("/job/9q2mm4rt").well(http.StatusOK).says("/claim/"+id.String(), "the complaint that job 9q2mm4rt answers")
	for _, path := range []string{"/claim/nothing", "/claim/" + strings.Replace(id.String(), id.String()[:4], "0000", 1)} {
		o.get(path).well(http.StatusNotFound).says("There is no such complaint on this machine")
	}
}
