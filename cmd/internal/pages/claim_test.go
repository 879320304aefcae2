package pages_test

import (
	"slices"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
)

// TestAComplaintIsDecided: a complaint that came in at a tablet stands on the
// desk's board, its page leads to the form, the form asks what the warranty
// asks, and what was decided stands on the page.
func TestAComplaintIsDecided(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	shop := house.Shop(t)
	one := house.Bench(t)
	w := atTheBench(t, browsertest.Upright, "LF")
	b := w.b
	add := func(more ...string) {
		shop.Command("", append([]string{"add", "--data", one.Dir, "--by", "io", "--job", w.job}, more...)...)
	}
	add("job.promised", "warranty.months=24", "warranty.distance=20000 km", "excludes=Was it driven on a track?")
	add("powder.applied", "--corner", "LF", "--part", "caliper", "lot=so-118", "coat=1")
	add("claim.opened", "says=a bubble in the paint", "odometer=86000 km")
	w.p.Sees("a bubble in the paint")
	answer := leads(w.p, "Open the job that answers it")
	browsertest.Every(t, w.p, one.Pages, browsertest.BenchSet, slices.Values([]string{"/job/" + w.job, answer}))

	desk := browsertest.SignedIn(t, shop, b, "/")
	desk.Open(shop.Hub.Pages + "/who")
	desk.Go("IO")
	desk.Open(shop.Hub.Pages + "/job/" + w.job)
	desk.Sees("a bubble in the paint")
	claim, decide := leads(desk, "All about this complaint"), leads(desk, "Settle it")
	desk.Open(shop.Hub.Pages + "/")
	desk.Sees("Open complaints")
	desk.Open(shop.Hub.Pages + claim)
	desk.Sees("the 24 months of the warranty had not begun: not known")
	browsertest.Every(t, desk, shop.Hub.Pages, browsertest.DeskSet, slices.Values([]string{"/", "/job/" + w.job, claim, decide}))
	desk.Open(shop.Hub.Pages + decide)
	desk.Sees("What the warranty asks")
	if text := desk.Value(`document.querySelector("[name='answers.0.question']").value`); text != "Was it driven on a track?" {
		t.Errorf("asked is %q", text)
	}
}
