package tags

import (
	"errors"
	"io"
	"net/http"
	"net/url"

	"fettlebook/cmd/internal/qrread"
	"fettlebook/cmd/internal/tag"
	"fettlebook/journal/words"
)

const (
	maxFields = 64 << 10
	maxFrame  = 2 << 20 // a frame of a live picture, which a script makes small
)

// errBusy is returned for a frame that comes while another picture is read. The next
// one comes soon.
var errBusy = errors.New("another picture is being read")

// posted is what was sent to be read.
type posted struct {
	fields  url.Values
	text    string // of the code, "" if none was read
	trouble string // why none was
}

// unchosen is what a form says that was sent with nothing to be read.
const unchosen = "Choose a photograph of the code first."

// take reads a form: the text of a code, or a picture of one. Beside an error stands
// what came until then.
func (t *Tags) take(w http.ResponseWriter, r *http.Request, frame bool) (*posted, error) {
	if frame {
		r.Body = http.MaxBytesReader(w, r.Body, maxFrame+maxFields)
	}
	in := &posted{fields: url.Values{}}
	parts, err := r.MultipartReader()
	if err != nil {
		return in, err
	}
	room := int64(maxFields)
	for {
		part, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			return in, nil
		}
		if err != nil {
			return in, err
		}
		if part.FormName() == "picture" {
			if err := t.picture(r, in, part, part.FileName() != "", frame); err != nil {
				return in, err
			}
			continue
		}
		raw, err := io.ReadAll(io.LimitReader(part, room+1))
		if err != nil {
			return in, err
		}
		if room -= int64(len(raw)); room < 0 {
			return in, errors.New("the form holds more than was asked for")
		}
		if part.FormName() == "text" {
			in.text = string(raw[:min(len(raw), 4*tag.Longest)])
			continue
		}
		in.fields.Add(part.FormName(), string(raw))
	}
}

// picture reads a code out of a picture. One is read at a time, so that many tablets
// and telephones at once cost the memory of one.
func (t *Tags) picture(r *http.Request, in *posted, picture io.Reader, there, frame bool) error {
	if !there {
		in.trouble = unchosen
		return nil
	}
	select {
	case t.reading <- struct{}{}:
	default:
		if frame {
			return errBusy
		}
		select {
		case t.reading <- struct{}{}:
		case <-r.Context().Done():
			return r.Context().Err()
		}
	}
	defer func() { <-t.reading }()
	raw, err := io.ReadAll(io.LimitReader(picture, qrread.MaxBytes+1))
	if err != nil {
		return err
	}
	if in.text, err = qrread.Text(raw); err != nil {
		in.trouble = words.Sentence(err.Error())
	}
	return nil
}
