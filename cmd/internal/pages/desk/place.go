package desk

import (
	"context"
	"net/http"
	"strconv"
	"strings"

	"fettlebook/journal/words"
)

// Place is where the hub is in the network.
type Place struct {
	Found        []string // where tablets look for it, host:port
	Named        []string // of the hosts those that somebody named
	Desk, Broker int      // ports
}

// Places is where the hub is, and is to be from its next start on. The error of Move is a
// sentence for who typed it.
type Places interface {
	Place() (Place, error)
	Move(ctx context.Context, to Place) error
}

// placePage asks where the hub is to be.
type placePage struct {
	Found               []string
	Named, Desk, Broker string // as they are, or as they were typed
	Kept                bool   // they were just written down
	Problem             string
}

const placePath = "/people/address"

func (d *Desk) askPlace(w http.ResponseWriter, r *http.Request) {
	d.placed(w, r, http.StatusOK, placePage{Kept: r.URL.Query().Has("kept")})
}

// placed shows where the hub is; what was typed stands in the place of what is.
func (d *Desk) placed(w http.ResponseWriter, r *http.Request, status int, p placePage) {
	if d.Places == nil {
		d.missing(w, r, "Where this hub is in the network is not changed here.")
		return
	}
	is, err := d.Places.Place()
	if err != nil {
		d.Logger.WarnContext(r.Context(), "read where the hub is", "error", err)
		d.missing(w, r, "Where this hub is cannot be shown now; the log on this machine says why.")
		return
	}
	p.Found = is.Found
	if p.Problem == "" {
		p.Named, p.Desk, p.Broker = strings.Join(is.Named, " "), strconv.Itoa(is.Desk), strconv.Itoa(is.Broker)
	}
	d.asks(w, r, status, "place", "Where tablets find this hub", p)
}

func (d *Desk) place(w http.ResponseWriter, r *http.Request) {
	p := placePage{Named: r.FormValue("named"), Desk: r.FormValue("desk"), Broker: r.FormValue("broker")}
	to := Place{Named: strings.FieldsFunc(p.Named, func(c rune) bool { return c == ' ' || c == ',' || c == ';' })}
	for _, port := range []struct {
		typed string
		to    *int
	}{{p.Desk, &to.Desk}, {p.Broker, &to.Broker}} {
		n, err := strconv.Atoi(strings.TrimSpace(port.typed))
		if err != nil || n < 1 || n > 1<<16-1 {
			p.Problem = words.Quoted(port.typed) + " is not a port. A port is a number from 1 to 65535."
		}
		*port.to = n
	}
	if d.Places != nil && p.Problem == "" {
		if err := d.Places.Move(r.Context(), to); err != nil {
			p.Problem = words.Sentence(err.Error())
		}
	}
	if p.Problem != "" {
		d.placed(w, r, http.StatusUnprocessableEntity, p)
		return
	}
	http.Redirect(w, r, placePath+"?kept=yes", http.StatusSeeOther)
}
