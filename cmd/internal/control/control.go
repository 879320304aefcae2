// Package control lets commands on the same machine write into a data folder
// that a running program holds. The program listens on a loopback address of
// the system's choosing and leaves the address with a token in door.json,
// which only its owner can read.
//
//	POST /photos?role=…  the photo's bytes      → the photo as an entry names it
//	POST /entries        subject, by, type, data → the entry as written
//	POST /cards          a customer card
//	GET  /status         how the program stands
package control

import (
	"context"
	"crypto/subtle"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"path/filepath"
	"strings"
	"time"

	"fettlebook/cmd/internal/exit"
	"fettlebook/journal"
	"fettlebook/media"
	"fettlebook/media/durable"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/google/uuid"
)

// Store is what the commands write into.
type Store interface {
	Snap(ctx context.Context, r io.Reader, role string) (journal.Photo, []byte, error)
	Append(ctx context.Context, d journal.Draft) (*journal.Entry, error)
	Thumb(ctx context.Context, ref media.Ref) ([]byte, error)
	SaveCard(ctx context.Context, s journal.CardState) error
}

// file is door.json.
type file struct {
	Address string `json:"address"`
	Token   string `json:"token"`
}

const fileName = "door.json"

// Server answers the commands of one folder.
type Server struct {
	store  Store
	status func() any
	token  string
	path   string
	server *http.Server
	done   chan error
}

// Open listens for the commands of a data folder. status is asked for GET /status.
func Open(ctx context.Context, dir string, store Store, status func() any) (*Server, error) {
	token, err := uuid.NewRandom()
	if err != nil {
		return nil, fmt.Errorf("draw a token: %w", err)
	}
	l, err := (&net.ListenConfig{}).Listen(ctx, "tcp", "127.0.0.1:0")
	if err != nil {
		return nil, fmt.Errorf("listen for commands: %w", err)
	}
	d := &Server{store: store, status: status, token: token.String(), path: filepath.Join(dir, fileName), done: make(chan error, 1)}
	d.server = &http.Server{Handler: d.handler(), ReadHeaderTimeout: 5 * time.Second}
	raw, err := json.Marshal(file{Address: l.Addr().String(), Token: d.token})
	if err == nil {
		err = durable.WriteFile(d.path, raw, 0o600)
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("write door.json: %w", err), l.Close())
	}
	go func() { d.done <- d.server.Serve(l) }()
	return d, nil
}

// Close lets the commands that came finish, and takes door.json away.
func (d *Server) Close(ctx context.Context) error {
	err := errors.Join(d.server.Shutdown(ctx), durable.Remove(d.path))
	if served := <-d.done; !errors.Is(served, http.ErrServerClosed) {
		err = errors.Join(err, served)
	}
	return err
}

func (d *Server) handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("POST /photos", answer(d.photo))
	mux.HandleFunc("POST /entries", answer(d.entry))
	mux.HandleFunc("POST /cards", answer(d.card))
	mux.HandleFunc("GET /status", answer(func(*http.Request) (any, error) { return d.status(), nil }))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		got := strings.TrimPrefix(r.Header.Get("Authorization"), "Bearer ")
		if subtle.ConstantTimeCompare([]byte(got), []byte(d.token)) != 1 {
			http.Error(w, "commands are taken only from someone who can read door.json", http.StatusForbidden)
			return
		}
		mux.ServeHTTP(w, r)
	})
}

// problem is an error on its way between the two.
type problem struct {
	Sentence string `json:"sentence"`
	Code     int    `json:"code"`
	Written  any    `json:"written,omitzero"` // the entry, if it went wrong after that was written
}

// answer writes what f returns as JSON.
func answer(f func(*http.Request) (any, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		reply, err := f(r)
		w.Header().Set("Content-Type", "application/json")
		if err != nil {
			told := problem{Sentence: err.Error(), Code: exit.Code(err)}
			status := http.StatusUnprocessableEntity
			if after := (*journal.Written)(nil); errors.As(err, &after) {
				status, told = http.StatusAccepted, problem{Sentence: after.Err.Error(), Written: reply}
			}
			w.WriteHeader(status)
			reply = told
		}
		// A caller that is gone does not hear the answer; the entry stands.
		_ = json.MarshalWrite(w, reply)
	}
}

func (d *Server) photo(r *http.Request) (any, error) {
	p, _, err := d.store.Snap(r.Context(), r.Body, r.URL.Query().Get("role"))
	return p, err
}

// request is an entry on its way between the two.
type request struct {
	Subject journal.Subject  `json:"subject"`
	By      journal.PersonID `json:"by"`
	Type    journal.Type     `json:"type"`
	Data    jsontext.Value   `json:"data"`
	Begins  bool             `json:"begins,omitzero"`
}

func (d *Server) entry(r *http.Request) (any, error) {
	var q request
	if err := json.UnmarshalRead(io.LimitReader(r.Body, 2*journal.MaxEntryBytes), &q); err != nil {
		return nil, fmt.Errorf("%w: %w", journal.ErrEntry, err)
	}
	payload, err := journal.ParsePayload(q.Type, q.Data)
	if err != nil {
		return nil, err
	}
	if journal.ClaimsConfirmation(payload) {
		return nil, journal.Refuse(q.Type.Kind, journal.NotAllowed, "confirmed is written by the page on which a PIN is typed, and never by hand; leave it out")
	}
	draft := journal.Draft{Subject: q.Subject, By: q.By, Data: payload, Begins: q.Begins}
	photos, err := (&journal.Entry{Data: q.Data}).Photos()
	if err != nil {
		return nil, err
	}
	for _, p := range photos {
		t, err := d.store.Thumb(r.Context(), p.Ref)
		if err != nil {
			return nil, err
		}
		draft.Thumbs = append(draft.Thumbs, t)
	}
	return d.store.Append(r.Context(), draft)
}

func (d *Server) card(r *http.Request) (any, error) {
	var s journal.CardState
	if err := json.UnmarshalRead(io.LimitReader(r.Body, 64<<10), &s); err != nil {
		return nil, fmt.Errorf("%w: %w", journal.ErrEntry, err)
	}
	return struct{}{}, d.store.SaveCard(r.Context(), s)
}
