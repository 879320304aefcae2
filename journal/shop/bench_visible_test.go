//go:build unix

package shop_test

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/shop"
	"fettlebook/journal/sqlitelog"
	"fettlebook/journal/worktest"
)

// visible appends to a log what was written on its last day once more, and
// looks at the job: without the disk's sync, which is measured beside it.
func (m *measuring) visible(b *testing.B) {
	p := served(b, copied(b, m.folder(b)))
	var appended, shown, listed, synced took
	drafts := again(b, p.log)
	racks := racked(drafts)
	for i, d := range drafts {
		synced.since(writePages(b))
		at := begin()
		e := must(p.log.Append(b.Context(), d))(b)
		appended.since(at)
		at = begin()
		if err := p.shop.Follow(b.Context()); err != nil {
			b.Fatal(err)
		}
		v := p.shop.View(b.Context())
		racks.shows(b, v, e)
		shown.since(at)
		if i%10 == 0 {
			at = begin()
			list := v.Open(40)
			for _, j := range list {
				v.Standing(j.ID)
			}
			listed.since(at)
		}
	}
	sync := percentile(synced.wall, 50)
	var beyond took
	for i := range appended.wall {
		beyond.add(max(0, appended.wall[i]-sync)+shown.wall[i], appended.spent[i]+shown.spent[i])
	}
	m.report(b, "beyond-sync", beyond)
	m.report(b, "follow-and-show", shown)
	m.report(b, "list-of-40", listed)
	b.ReportMetric(milliseconds(sync), "sync-ms")
}

// shows demands that the entry stands in its job, or in the first that its
// run is about.
func (r *racks) shows(b *testing.B, v *shop.View, e *journal.Entry) {
	job := e.Subject.Job()
	if run := e.Subject.Run(); run != "" {
		job = r.jobs[run]
	}
	if job != "" {
		v.Standing(job)
		if len(v.Case(journal.About(job, "", "")).Shop.Line(e.ID)) == 0 {
			b.Fatalf("%s about %s is not in job %s", e.Type, e.Subject, job)
		}
	}
	if len(v.Line(e.ID)) == 0 && job == "" || v.Err() != nil {
		b.Fatalf("%s about %s is not to be seen: %v", e.Type, e.Subject, v.Err())
	}
}

// racks are the jobs of which parts were first in runs.
type racks struct {
	jobs map[journal.RunID]journal.JobID
}

func racked(drafts []journal.Draft) *racks {
	r := &racks{make(map[journal.RunID]journal.JobID)}
	for _, d := range drafts {
		run := d.Subject.Run()
		for _, s := range journal.Cites(d.Data) {
			if run != "" && s.Job() != "" && r.jobs[run] == "" {
				r.jobs[run] = s.Job()
			}
		}
	}
	return r
}

// copied copies a folder so that it can be written.
func copied(b *testing.B, log string) string {
	to := worktest.Copy(b, log)
	if err := os.Rename(worktest.Copy(b, indexOf(log)), indexOf(to)); err != nil {
		b.Fatal(err)
	}
	return to
}

// writePages writes and syncs as many pages as an entry takes, and returns when it
// began.
func writePages(b *testing.B) moment {
	file := must(os.OpenFile(filepath.Join(os.TempDir(), "fettlebook-bench-sync"), os.O_CREATE|os.O_WRONLY|os.O_TRUNC, 0o600))(b)
	defer os.Remove(file.Name())
	at := begin()
	_, err := file.Write(make([]byte, 4*4096))
	if err := errors.Join(err, file.Sync(), file.Close()); err != nil {
		b.Fatal(err)
	}
	return at
}

// again makes drafts of what was written last, in the order of writing; the
// bytes of photographs are nowhere, so they are left out.
func again(b *testing.B, log *sqlitelog.DB) (list []journal.Draft) {
	var last []*journal.Entry
	for _, device := range worktest.Tablets() {
		last = append(last, tail(b, log, device, 150)...)
	}
	slices.SortFunc(last, func(x, y *journal.Entry) int { return strings.Compare(string(x.ID[:]), string(y.ID[:])) })
	for _, e := range last[len(last)-200:] {
		p, err := journal.ParsePayload(e.Type, withoutPhotos(b, e.Data))
		if err != nil {
			b.Fatal(err)
		}
		list = append(list, journal.Draft{Subject: e.Subject, By: e.By, Data: p})
	}
	return list
}

func withoutPhotos(b *testing.B, data []byte) []byte {
	var members map[string]json.RawMessage
	if err := json.Unmarshal(data, &members); err != nil {
		b.Fatal(err)
	}
	delete(members, "photos")
	if instead, ok := members["data"]; ok {
		members["data"] = withoutPhotos(b, instead)
	}
	return must(json.Marshal(members))(b)
}
