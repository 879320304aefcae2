package pages_test

import (
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
)

// A job is opened at the desk as it is at the bench: what is wrong stands beside its
// field, a car that is here and is told otherwise asks first, and the tablet shows it.
func TestAJobIsOpenedAtTheDesk(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	shop := house.Shop(t)
	tablet := house.Bench(t)
	b := house.Browser(t)
	p := browsertest.SignedIn(t, shop, b, "/")
	p.Open(shop.Hub.Pages + "/job/new")
	p.Go("IO") // nobody had said who works at this desk
	p.Sees("The customer has read the terms")
	p.Go("Open the job")
	p.Sees("Give the VIN or the plate")
	p.Refused()
	plate := house.Plate()
	fill := func(looks, odometer string) {
		t.Helper()
		p.Fill("Plate", plate)
		p.Fill("What the car looks like", looks)
		p.Fill("Odometer", odometer)
		p.Value(`(document.querySelector("#ready").value = "2099-03-06")`) // a browser types a day as its own habit is
		p.Fill("Wanted", "calipers in signal orange")
		p.Fill("Name", "W. Tarn")
		p.Go("Open the job")
	}
	fill("moss-green estate", "84 210")
	p.Sees(plate)
	job := p.URL()[strings.LastIndex(p.URL(), "/")+1:]
	browsertest.Every(t, p, shop.Hub.Pages, browsertest.DeskSet, func(yield func(string) bool) { yield("/job/new") })

	w := begins(t, b, browsertest.Upright, tablet.Pages, house.Somebody(t))
	w.p.OpenUntil(tablet.Pages+"/", plate)
	w.p.Sees("promised for 6 March 2099")

	p.Open(shop.Hub.Pages + "/")
	p.Go("Start a job")
	fill("black van", "8421")
	p.Sees("It looks like another car")
	p.Sees("The odometer shows less than before")
	p.Refused()
	p.Go("Yes, open the job all the same")
	p.Sees(plate)
	p.Complaints()
	if now := p.URL(); strings.HasSuffix(now, job) {
		t.Errorf("the second press opened no job: %s", now)
	}
}
