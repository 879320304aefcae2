package founding

import (
	"context"
	"errors"
	"io"
	"net/http"
	"strings"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/qrread"
	"fettlebook/journal/words"
)

// Invitation is with what a machine joins a shop.
type Invitation struct {
	Text string // as the desk shows it
	Name string // of the tablet; "" if the invitation says
}

// Join makes this machine a tablet of a shop, and opens its bench. It returns where that is.
type Join func(ctx context.Context, asked Invitation) (bench string, err error)

// ticket is the page on which a machine joins, with what was typed.
type ticket struct {
	Invitation
	Wrong map[string]string
}

// pictureName is the field of a picture of the invitation's code.
const pictureName = "picture"

// Limit is how many bytes the body of a request may have; 0 for what is usual.
func (s *Start) Limit(r *http.Request) int64 {
	if r.URL.Path == "/join" {
		return qrread.MaxBytes + 64<<10
	}
	return 0
}

func (s *Start) askToJoin(w http.ResponseWriter, r *http.Request, status int, t ticket) {
	s.Shell.Page(w, r, status, "join", pages.View{Title: "Join a shop", Data: t})
}

// join joins with the invitation that was typed, or with that of which a picture was taken.
func (s *Start) join(w http.ResponseWriter, r *http.Request) {
	t := ticket{Invitation: Invitation{Text: strings.TrimSpace(r.FormValue("invitation")), Name: strings.TrimSpace(r.FormValue("name"))}, Wrong: map[string]string{}}
	if text, err := pictured(r); err != nil {
		t.Wrong[pictureName] = words.Sentence(err.Error())
	} else if text != "" {
		t.Text = text
	}
	switch {
	case len(t.Wrong) > 0:
	case t.Text == "":
		t.Wrong["invitation"] = "Paste the invitation, or take a picture of its code."
	default:
		bench, err := s.Join(r.Context(), t.Invitation)
		if err == nil {
			s.Shell.Page(w, r, http.StatusOK, "joined", pages.View{Title: "Joined", Data: bench})
			return
		}
		t.Wrong[about(err)] = words.Sentence(err.Error())
	}
	s.askToJoin(w, r, http.StatusUnprocessableEntity, t)
}

// pictured reads the code in the picture that came with a form; "" if none came.
func pictured(r *http.Request) (string, error) {
	file, _, err := r.FormFile(pictureName)
	if errors.Is(err, http.ErrMissingFile) || errors.Is(err, http.ErrNotMultipart) {
		return "", nil
	}
	if err != nil {
		return "", errors.New("the picture did not arrive whole; take it again")
	}
	defer file.Close()
	raw, err := io.ReadAll(file)
	if err != nil {
		return "", errors.New("the picture did not arrive whole; take it again")
	}
	if len(raw) == 0 {
		return "", nil
	}
	return qrread.Text(raw)
}
