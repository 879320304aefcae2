package shop_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/shop"
)

// Of many jobs with a promise a page shows some: whoever complained first, else
// those that fell due last, and the pages of all in order; it knows how many
// there are besides.
func TestSomePromises(t *testing.T) {
	morning := journaltest.Morning()
	promised := func(n, days int) journal.Draft {
		d := opened(journal.JobID(fmt.Sprintf("j0b000%02d", n)), "", fmt.Sprintf("AB %02d", n))
		d.Data.(*journal.Job).Ready = journal.Date(morning.AddDate(0, 0, days).Format(time.DateOnly))
		return d
	}
	var drafts []journal.Draft
	for n := range 10 {
		drafts = append(drafts, promised(n, 1+n))
	}
	drafts = append(drafts, promised(10, 60), journal.Draft{Subject: "job/j0b00003", Data: &journal.Claim{Says: "specks in the coat"}})
	s, _, _ := written(t, drafts...)
	v, at := s.View(t.Context()), morning.AddDate(0, 0, 40)

	list, more := v.Pressing(at, 4)
	if got, want := jobsOf(list), []string{"3", "6", "7", "8", "9"}; !slices.Equal(got, want) || more != 5 {
		t.Errorf("pressing are %v and %d more, want %v and 5", got, more, want)
	}
	if list[0].Claim.IsZero() {
		t.Error("the complaint, which is due first, is not the first")
	}
	if list, more := v.Pressing(at, 40); len(jobsOf(list)) != 10 || more != 0 {
		t.Errorf("with room for all %v are pressing, and %d more", jobsOf(list), more)
	}
	for from, want := range map[int][]string{0: {"0", "1", "2", "3", "4"}, 5: {"5", "6", "7", "8", "9"}, 10: {"10"}, 15: nil} {
		list, jobs := v.Owed(at, from, 5)
		if got := jobsOf(list); !slices.Equal(got, want) || jobs != 11 {
			t.Errorf("from %d on %v are owed, of %d, want %v of 11", from, got, jobs, want)
		}
	}
	if w := v.Waiting(); len(w) != 1 || w[0].Job != "j0b00003" {
		t.Errorf("a complaint brings back %v", w)
	}
	if err := v.Err(); err != nil {
		t.Error(err)
	}
}

// jobsOf numbers the jobs of promises, each once.
func jobsOf(list []shop.Promise) (numbers []string) {
	seen := map[int]bool{}
	for _, p := range list {
		var n int
		fmt.Sscanf(string(p.Job.ID), "j0b000%d", &n)
		seen[n] = true
	}
	for n := range 11 {
		if seen[n] {
			numbers = append(numbers, fmt.Sprint(n))
		}
	}
	return numbers
}

// Entries are read from anywhere without their jobs: as they were corrected, in
// the order in which they are asked for.
func TestLoose(t *testing.T) {
	s, _, _ := written(t, opened("j0b00001", "", "AB 1"), opened("j0b00002", "", "AB 2"))
	v := s.View(t.Context())
	one, two := v.Job("j0b00001").Opened.ID, v.Job("j0b00002").Opened.ID
	lines := s.View(t.Context()).Loose(two, one)
	if len(lines) != 2 || lines[0].ID != two || lines[1].ID != one || lines[0].Effect() == nil {
		t.Errorf("read are %v", lines)
	}
	if lines := v.Loose(); len(lines) != 0 {
		t.Errorf("nothing was asked for, and %v are read", lines)
	}
	if lines := v.Loose(journal.EntryID{1}); len(lines) != 0 {
		t.Errorf("an entry that is nowhere: %v", lines)
	}
}
