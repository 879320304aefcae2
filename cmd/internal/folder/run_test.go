package folder_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
)

// Runs that begin at the same time, on a page and by a command, get names of their own. A
// device that knows its place counts them without a gap.
func TestRunsThatBeginTogether(t *testing.T) {
	f := open(t, foundIn(t, "t3fz8c1n"))
	load := func() *journal.BakeStart {
		p := *journaltest.Sample(journal.BakeStarted).Data.(*journal.BakeStart)
		p.Photos = nil
		return &p
	}
	add := func(d journal.Draft, how func() (*journal.Entry, error)) *journal.Entry {
		t.Helper()
		e, err := how()
		if err != nil {
			t.Fatalf("%s: %v", d.Subject, err)
		}
		return e
	}
	drawn := journal.Draft{Subject: "run/proposed", By: "io", Data: load(), Begins: true}
	if e := add(drawn, func() (*journal.Entry, error) { return f.Append(t.Context(), drawn) }); e.Subject == drawn.Subject || e.Subject.Run() == "" {
		t.Errorf("before the shop is heard of it is %s", e.Subject)
	}
	shop := journal.Draft{Subject: journal.Of("shop", string(f.Shop)), By: "io", Data: &journal.Shop{Shop: f.Shop, Name: "Test", LogKey: f.HubKey, CosignKey: f.HubKey}}
	add(shop, func() (*journal.Entry, error) { return f.Append(t.Context(), shop) })
	const together = 8
	names := make([]string, together)
	var all sync.WaitGroup
	for i := range together {
		all.Go(func() {
			e, err := f.Append(t.Context(), journal.Draft{Subject: "run/proposed", By: "io", Data: load(), Begins: true})
			if err != nil {
				t.Error(err)
				return
			}
			names[i] = string(e.Subject.Run())
		})
	}
	all.Wait()
	two := []journal.Draft{{Subject: "run/proposed", By: "io", Data: load(), Begins: true}, {Subject: "run/proposed", By: "io", Data: load(), Begins: true}}
	written, err := f.AppendAll(t.Context(), two)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range written {
		names = append(names, string(e.Subject.Run()))
	}
	slices.Sort(names)
	for i, name := range names {
		if want := fmt.Sprintf("bake-%02d-%03d", opts.Now().Year()%100, i+1); name != want {
			t.Errorf("the names are %v; want %s", names, want)
			break
		}
	}
}

// What another way of writing wrote comes back although something went wrong after it;
// what it did not write does not.
func TestWrittenComesBack(t *testing.T) {
	f := open(t, foundIn(t, "t3fz8c1n"))
	cut := errors.New("cut")
	note := func(says string) []journal.Draft {
		return []journal.Draft{{Subject: "job/4f7kk2m9", By: "io", Data: &journal.Remark{Evidence: journal.Evidence{Note: says}}}}
	}
	list, err := f.AppendBy(t.Context(), note("kept"), func(ctx context.Context, d []journal.Draft) ([]*journal.Entry, error) {
		list, err := f.Log.AppendAll(ctx, d)
		return list, errors.Join(err, journal.Afterwards(cut))
	})
	if len(list) != 1 || !errors.Is(err, cut) {
		t.Errorf("written: %v, %v", list, err)
	}
	list, err = f.AppendBy(t.Context(), note("lost"), func(context.Context, []journal.Draft) ([]*journal.Entry, error) { return nil, cut })
	if len(list) != 0 || !errors.Is(err, cut) {
		t.Errorf("not written: %v, %v", list, err)
	}
}
