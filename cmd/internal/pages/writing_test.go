package pages_test

import (
	"encoding/json"
	"fettlebook/cmd/internal/pages/browsertest"
	"testing"
	"time"

	"fettlebook/journal/words"
)

// At the desk somebody chooses how the shop writes, and a job's page is written so from
// then on: its day, and a torque that was typed with a point.
func TestTheDeskChoosesTheWriting(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	shop := house.Own(t, "Comma Works")
	var opened struct{ Job string }
	if err := json.Unmarshal(shop.Command("", "open", "--data", shop.Hub.Dir, "--by", "io", "--plate", "TRL 1", "--corner", "LF", "--json"), &opened); err != nil {
		t.Fatal(err)
	}
	shop.Add("torque.applied", "--job", opened.Job, "--corner", "LF", "joint=banjo bolt", "torque=22.5 N.m", "tool=tw-9")
	p := browsertest.SignedIn(t, shop, house.Browser(t), "/")
	p.Open(shop.Hub.Pages + "/who")
	p.Go("IO")
	job := shop.Hub.Pages + "/record/" + opened.Job
	p.OpenUntil(job, "22.5 N.m")
	p.Open(shop.Hub.Pages + "/shelf")
	p.Go("Write them in another way")
	p.Holds(`[name="decimal"]:checked`, "point")
	p.Set("decimal", "comma")
	p.Set("days", "year-month-day")
	p.Go("Write like this")
	p.OpenUntil(job, "22,5 N.m")
	p.Sees(words.Writing{Days: words.YearFirst}.Day(time.Now()))
	p.Open(shop.Hub.Pages + "/shelf")
	p.Sees("The shop writes numbers like 12345,5 and days like 2026-11-30")
}
