package write

import (
	"context"
	"errors"
	"fmt"
	"io"
	"mime"
	"mime/multipart"
	"net/http"
	"slices"
	"strings"

	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/form"
	"fettlebook/journal"
	"fettlebook/journal/words"
	"fettlebook/media"
)

// What a form may hold beside its picture: the biggest real one, a run of two
// hundred parts with notes, has a tenth of it.
const (
	maxFields    = 2000
	maxField     = 64 << 10
	maxAllFields = 1 << 20
	maxTrace     = 5 << 20 // a recorder's file: a week of one reading a second
)

// The names of a form's parts that are not fields of an entry.
const (
	doName    = "do"    // what is to be done
	onceName  = "once"  // the token that lets a press write once
	drawnName = "shown" // what the page was drawn from
	sureName  = "sure"  // what was pressed before, and is pressed once more
	roleName  = "role"  // what the picture shows
	photoName = "picture"
	traceName = "trace" // a recorder's file
	// Of a page with several forms, before whose names stand their keys:
	pathName = "_page" // where the form has a page of its own
	nowName  = "_now"  // it is to be stamped with the others
	wasName  = "_then" // it was ticked when the page was drawn
	pinName  = "_pin"  // with which whoever stamps confirms it; it is never kept
)

// keyed parts the key of a form from the name of one of its fields.
const keyed = "~"

// What a button does that writes.
const (
	saveDo   = "save"
	strikeDo = "strike"
)

// posted is what a request carried.
type posted struct {
	do, token, role string
	sure, pin       string
	drawn           *extent // nil if the page is of a program that did not say so
	values          form.Values
	shots           []draft.Photo
	file            *draft.File
	trouble         string            // why the picture was not taken in, or ""
	cut             bool              // the request broke off, and fields may be missing
	aside           bool              // a photograph took its time on the way; what was typed meanwhile is newer than what came with it
	tap             map[string]string // where a drawing was tapped

	of        map[string]*posted // what it carried of each of several forms
	path      string             // of one of them
	now, then bool
}

func newPosted() *posted { return &posted{values: form.Values{}, tap: make(map[string]string)} }

// at returns what a name is of, and the name there.
func (in *posted) at(name string) (*posted, string) {
	key, rest, ok := strings.Cut(name, keyed)
	if !ok || in.of == nil {
		return in, name
	}
	if in.of[key] == nil {
		in.of[key] = newPosted()
	}
	return in.of[key], rest
}

// writes reports whether a button was pressed that writes an entry.
func (in *posted) writes() bool { return in.do == saveDo || in.do == strikeDo }

// errTooMuch ends the reading of a form that is too large.
var errTooMuch = errors.New("the form holds more than an entry can")

// take reads a form. Pictures go through the gate as they stream in and never
// touch the disk elsewhere; their names are not looked at.
func (w *Writer) take(rw http.ResponseWriter, r *http.Request, about journal.Subject) (*posted, error) {
	in := newPosted()
	return in, w.read(rw, r, in, func(*posted) journal.Subject { return about })
}

// read reads a form, or several on one page, with what the pictures of each are of.
func (w *Writer) read(rw http.ResponseWriter, r *http.Request, in *posted, about func(*posted) journal.Subject) error {
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil || kind != "multipart/form-data" {
		r.Body = http.MaxBytesReader(rw, r.Body, maxAllFields)
		err := in.plain(r)
		in.addressed()
		return err
	}
	r.Body = http.MaxBytesReader(rw, r.Body, w.Body)
	parts, err := r.MultipartReader()
	if err != nil {
		return fmt.Errorf("read the form: %w", err)
	}
	room := int64(maxAllFields)
	for n := 0; ; n++ {
		part, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			in.broke(err)
			break
		}
		if n > maxFields {
			return errTooMuch
		}
		switch one, name := in.at(part.FormName()); name {
		case photoName:
			w.shoot(r.Context(), one, part, about(one))
		case traceName:
			one.keep(part)
		default:
			raw, err := io.ReadAll(io.LimitReader(part, min(room, maxField)+1))
			if err != nil {
				in.broke(err)
				continue
			}
			if room -= int64(len(raw)); room < 0 || len(raw) > maxField {
				return errTooMuch
			}
			one.set(name, string(raw))
		}
	}
	in.addressed()
	in.show()
	for _, one := range in.of {
		one.show()
	}
	return nil
}

// show says of its pictures what they show.
func (in *posted) show() {
	for i := range in.shots {
		in.shots[i].Role = in.role
	}
	if again := strings.HasPrefix(in.do, againDo); again && len(in.shots) == 0 && in.trouble == "" {
		in.trouble = "Choose the new photograph first. Then press “Take again” at the one that it replaces."
	}
}

// againDo begins what is to be done with a picture that takes the place of another.
const againDo = "again:"

// hang puts the pictures into a draft: the first in the place of the one that was
// taken again, with what that shows, and the others behind. If it is gone, so that
// the press came twice, the picture stands for itself.
func (in *posted) hang(d *draft.Draft) {
	again, _ := strings.CutPrefix(in.do, againDo)
	for _, shot := range in.shots {
		old := slices.IndexFunc(d.Photos, func(p draft.Photo) bool { return p.Ref.Hex() == again })
		if old >= 0 {
			shot.Role, again = d.Photos[old].Role, ""
			d.Photos[old] = shot
			d.Photos = slices.DeleteFunc(d.Photos, func(p draft.Photo) bool { return p.Ref == shot.Ref })
			d.Photos = slices.Insert(d.Photos, min(old, len(d.Photos)), shot)
			continue
		}
		d.Photos = slices.DeleteFunc(d.Photos, func(p draft.Photo) bool { return p.Ref == shot.Ref })
		if len(d.Photos) == journal.MaxPhotos {
			in.trouble = tooManyPhotos()
			return
		}
		d.Photos = append(d.Photos, shot)
	}
}

func tooManyPhotos() string {
	return fmt.Sprintf("One entry holds %d photographs. Stamp this one first; more photographs go into an entry of their own.", journal.MaxPhotos)
}

// plain reads a form without a file.
func (in *posted) plain(r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return fmt.Errorf("read the form: %w", err)
	}
	for name, all := range r.PostForm {
		one, name := in.at(name)
		for _, v := range all {
			one.set(name, v)
		}
	}
	return nil
}

func (in *posted) set(name, text string) {
	text = strings.ToValidUTF8(strings.ReplaceAll(text, "\r\n", "\n"), "\uFFFD")
	switch name {
	case doName:
		in.do = text
	case onceName:
		in.token = text
	case drawnName:
		d := parseDrawn(text)
		in.drawn = &d
	case sureName:
		in.sure = text
	case pinName:
		in.pin = text
	case pathName:
		in.path = text
	case nowName:
		in.now = text != ""
	case wasName:
		in.then = text != ""
	case roleName:
		if len(text) <= journal.MaxName {
			in.role = text
		}
	case "":
	default:
		if in.tapped(name, text) {
			return
		}
		name = strings.ToValidUTF8(name, "\uFFFD")
		in.values[name] = append(in.values[name], text)
	}
}

// broke notes that the request ended early: what came until then counts.
func (in *posted) broke(err error) {
	in.cut = true
	var much *http.MaxBytesError
	switch {
	case in.trouble != "":
	case errors.As(err, &much):
		in.trouble = fmt.Sprintf("What was sent is bigger than %d MB. Set the camera to a smaller picture, or save it smaller and add that.", much.Limit>>20)
	default:
		in.trouble = "The photograph did not arrive whole. Take it again."
	}
}

// shoot takes a picture in. An empty file field of a form is none.
func (w *Writer) shoot(ctx context.Context, in *posted, part *multipart.Part, about journal.Subject) {
	if part.FileName() == "" {
		return
	}
	if len(in.shots) == journal.MaxPhotos { // none that could not be stamped is taken in
		in.trouble = tooManyPhotos()
		return
	}
	photo, small, err := w.Store.Snap(ctx, part, "")
	var no *media.Refused
	var much *http.MaxBytesError
	switch {
	case err == nil:
		shot := draft.Photo{Photo: photo}
		if w.Judge != nil {
			shot.Findings = w.Judge(ctx, Shot{Photo: photo, Thumb: small, Subject: about})
		}
		in.shots = append(in.shots, shot)
	case errors.As(err, &no):
		in.trouble = words.Sentence(no.Error())
	case errors.As(err, &much), errors.Is(err, io.ErrUnexpectedEOF):
		in.broke(err)
	case errors.Is(err, journal.ErrDiskLow):
		in.trouble = words.Sentence(err.Error())
	default:
		w.Logger.WarnContext(ctx, "take a picture in", "error", err)
		in.trouble = "This photograph could not be kept. Take it again, or choose another file."
	}
}

// keep takes a recorder's file in, whatever it is called.
func (in *posted) keep(part *multipart.Part) {
	if part.FileName() == "" {
		return
	}
	raw, err := io.ReadAll(io.LimitReader(part, maxTrace+1))
	switch {
	case err != nil:
		in.broke(err)
	case len(raw) > maxTrace:
		in.trouble = fmt.Sprintf("This file is bigger than %d MB. Export one bake from the recorder, not all of them.", maxTrace>>20)
	default:
		in.file = &draft.File{Name: strings.ToValidUTF8(part.FileName(), "\uFFFD"), Bytes: raw}
	}
}
