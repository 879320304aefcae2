package desk

import (
	"cmp"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages/paper"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// paged is how many vehicles one page lists.
const paged = 100

// vehicleList is a table of vehicles, the one that was here last first.
type vehicleList struct {
	paper.Foot
	Query            string
	Rows             []vehicleRow
	All, Fit         int
	From, To         int
	Earlier, Further string // paths of the pages before and after
}

type vehicleRow struct {
	Path, Name, VIN, Looks string
	Jobs, State, Last      string
}

func (d *Desk) vehicles(w http.ResponseWriter, r *http.Request) {
	s := d.Live.Now()
	l := vehicleList{Query: strings.TrimSpace(r.URL.Query().Get("q")), All: len(s.Shop.Vehicles)}
	fit := slices.DeleteFunc(slices.Clone(s.Shop.Vehicles), func(v *record.Vehicle) bool { return !fits(v, l.Query) })
	slices.SortStableFunc(fit, func(a, b *record.Vehicle) int {
		return -cmp.Compare(newest(a).Opened.ID.String(), newest(b).Opened.ID.String())
	})
	page, err := strconv.Atoi(r.URL.Query().Get("page"))
	if err != nil || page < 1 || (page-1)*paged >= len(fit) {
		page = 1
	}
	l.Fit = len(fit)
	from, to := (page-1)*paged, min(page*paged, len(fit))
	for _, v := range fit[from:to] {
		l.Rows = append(l.Rows, newVehicleRow(v))
	}
	l.From, l.To = from+1, to
	if page > 1 {
		l.Earlier = l.path(page - 1)
	}
	if to < len(fit) {
		l.Further = l.path(page + 1)
	}
	d.reads(w, r, s, "vehicles", "Vehicles", l)
}

func (l vehicleList) path(page int) string {
	q := url.Values{"page": {strconv.Itoa(page)}}
	if l.Query != "" {
		q.Set("q", l.Query)
	}
	return "/vehicles?" + q.Encode()
}

func newest(v *record.Vehicle) *record.Job { return v.Jobs[len(v.Jobs)-1] }

func newVehicleRow(v *record.Vehicle) vehicleRow {
	j := newest(v)
	return vehicleRow{Path: paper.VehiclePath(v.Key), Name: paper.Name(v), VIN: v.VIN, Looks: strings.Join(v.Looks, ", "), Jobs: words.Count(len(v.Jobs), "job"),
		State: string(j.State), Last: fmt.Sprintf("opened %s", time.Time(j.Opened.Clocks.Device).Format("2 Jan 2006"))}
}

// fits reports whether what was typed stands anywhere in what a vehicle is
// known by, without regard to case, spaces and dashes.
func fits(v *record.Vehicle, typed string) bool {
	want := words.Squash(typed)
	return strings.Contains(words.Squash(v.VIN), want) || slices.ContainsFunc(slices.Concat(v.Plates, v.Looks), func(text string) bool {
		return strings.Contains(words.Squash(text), want)
	})
}
