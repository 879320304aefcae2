package desk

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

// paged is how many vehicles one page lists.
const paged = 100

// vehicleList is a table of vehicles, the one that was here last first.
type vehicleList struct {
	Query            string
	Rows             []vehicleRow
	All, Shown       string // how many there are; which are shown, of how many
	Earlier, Further string // paths of the pages before and after
}

type vehicleRow struct {
	Path, Name, VIN, Looks string
	Jobs, State, Last      string
}

func (d *Desk) vehicles(w http.ResponseWriter, r *http.Request) {
	s := d.Live.View(r.Context())
	all, in := s.Vehicles(), s.Shop.Writing()
	l := vehicleList{Query: strings.TrimSpace(r.URL.Query().Get("q")), All: in.Sprintf("%d", len(all))}
	fit := slices.DeleteFunc(all, func(v *shop.Listed) bool { return !fits(&v.Vehicle, l.Query) })
	page, err := strconv.Atoi(r.URL.Query().Get("page"))
	if err != nil || page < 1 || (page-1)*paged >= len(fit) {
		page = 1
	}
	from, to := (page-1)*paged, min(page*paged, len(fit))
	for _, v := range fit[from:to] {
		l.Rows = append(l.Rows, newVehicleRow(v, in))
	}
	l.Shown = in.Sprintf("%d to %d of %d", from+1, to, len(fit))
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

func newVehicleRow(v *shop.Listed, w words.Writing) vehicleRow {
	return vehicleRow{Path: readonly.VehiclePath(v.Key), Name: readonly.Name(&v.Vehicle), VIN: v.VIN, Looks: strings.Join(v.Looks, ", "), Jobs: words.Count(v.Count, "job"),
		State: string(v.State), Last: fmt.Sprintf("opened %s", w.Day(v.Opened))}
}

// fits reports whether what was typed stands anywhere in what a vehicle is
// known by, without regard to case, spaces and dashes.
func fits(v *record.Vehicle, typed string) bool {
	want := words.Squash(typed)
	return strings.Contains(words.Squash(v.VIN), want) || slices.ContainsFunc(slices.Concat(v.Plates, v.Looks), func(text string) bool {
		return strings.Contains(words.Squash(text), want)
	})
}
