package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/pages/write"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/sqlitelog"
	"fettlebook/journal/words"
	"fettlebook/sync/uplink"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// entryWriter writes down what people say: it looks up jobs, checks everything, and
// only then writes.
type entryWriter struct {
	t     *terminal
	shelf *shelf // as it was at the beginning
	log   *sqlitelog.DB
	w     writer
	own   *folder.Folder // that is written to, unless a program holds it
	judge *judge
}

func openEntryWriter(ctx context.Context, t *terminal) (*entryWriter, error) {
	w, err := openWriter(ctx, t) // first: it makes a new tablet's journal
	if err != nil {
		return nil, err
	}
	c := &entryWriter{t: t, w: noted{w, t.Err}}
	var own bool
	if c.own, own = w.(*folder.Folder); own {
		c.shelf, err = shelfOf(ctx, c.own)
	} else {
		c.shelf, err = openShelf(ctx, t)
	}
	if err != nil {
		return nil, errors.Join(err, w.Close())
	}
	if c.log = c.shelf.log; own {
		c.log = c.own.Log
	}
	c.judge = newJudge(t, func(_ context.Context, id journal.JobID) *record.Job { return c.shelf.view.Job(id) }, c.log.Thumb)
	return c, nil
}

// sayRefused says that what is written will not reach the shop, where the hub does not let
// this tablet in.
func (c *entryWriter) sayRefused(ctx context.Context) error {
	text, err := c.log.Mark(ctx, uplink.MarkRefused)
	if err != nil || text == "" {
		return err
	}
	since, err := time.Parse(time.RFC3339, text)
	if err != nil {
		return nil // written by a program to come
	}
	_, err = fmt.Fprintf(c.t.Err, "note: the hub has not let this tablet in since %s: it was revoked or cut off there, or the hub does not know it, which the desk can tell. What is written here stays here until it is let in, or joins again with a new invitation.\n", words.Moment(since.In(c.t.Now().Location())))
	return err
}

// ready is an entry that was checked and can be written.
type ready struct {
	journal.Draft
	data     map[string]jsontext.Value
	pictures []picture
	doubts   []string // about the pictures
}

// check makes a request ready. Nothing is written.
func (c *entryWriter) check(ctx context.Context, kind journal.Kind, r request, raw jsontext.Value) (*ready, error) {
	if err := mayWrite(kind, c.shelf.Identity); err != nil {
		return nil, err
	}
	e := &ready{pictures: r.Photos, data: make(map[string]jsontext.Value)}
	if len(raw) > 0 {
		if err := json.Unmarshal(raw, &e.data); err != nil {
			return nil, journal.Refuse(kind, journal.WrongShape, "the data is not a JSON object, or a field stands twice in it")
		}
	}
	if err := c.complete(kind, r, e.data); err != nil {
		return nil, err
	}
	var err error
	if e.Subject, err = c.subject(kind, r, e.data); err != nil {
		return nil, err
	}
	e.Begins = e.Subject.Run() != "" && r.Run == "" && r.Subject == ""
	if err := c.begin(kind, e.Subject, e.data); err != nil {
		return nil, err
	}
	if n := len(e.pictures); n > journal.MaxPhotos { // none is read for nothing
		return nil, journal.Refuse(kind, journal.TooMany, "%d photographs are too many for one entry, which takes %d; add the rest in entries of their own", n, journal.MaxPhotos)
	}
	var photos []journal.Photo
	for _, p := range e.pictures {
		photo, small, err := p.look(ctx)
		if err != nil {
			return nil, err
		}
		photos = append(photos, photo)
		for _, doubt := range c.judge.judge(ctx, write.Shot{Photo: photo, Thumb: small, Subject: e.Subject}) {
			e.doubts = append(e.doubts, fmt.Sprintf("photograph %s: %s", p.file, doubt))
		}
	}
	if err := e.fill(kind, photos); err != nil {
		return nil, err
	}
	if journal.ClaimsConfirmation(e.Data) {
		return nil, journal.Refuse(kind, journal.NotAllowed, "confirmed is written by the page on which a PIN is typed, and never by hand; leave it out")
	}
	e.By = journal.PersonID(r.By)
	return e, e.Valid()
}

// fill makes the payload of the data and the photos.
func (e *ready) fill(kind journal.Kind, photos []journal.Photo) error {
	if len(photos) > 0 {
		raw, err := json.Marshal(photos)
		if err != nil {
			return fmt.Errorf("encode photos: %w", err)
		}
		e.data[photosField] = raw
	}
	raw, err := json.Marshal(e.data, json.Deterministic(true))
	if err != nil {
		return fmt.Errorf("encode %s: %w", kind, err)
	}
	e.Data, err = journal.ParseTyped(kind, raw)
	return err
}

// write takes the photos in and appends the entry.
func (c *entryWriter) write(ctx context.Context, e *ready) (*journal.Entry, error) {
	var photos []journal.Photo
	for _, p := range e.pictures {
		photo, small, err := p.snap(ctx, c.w)
		if err != nil {
			return nil, err
		}
		photos = append(photos, photo)
		if small != nil { // else the program that holds the folder keeps it
			e.Thumbs = append(e.Thumbs, small)
		}
	}
	kind := e.Data.Kind()
	if err := e.fill(kind, photos); err != nil {
		return nil, err
	}
	for _, doubt := range append(e.doubts, c.doubts(e)...) {
		fmt.Fprintln(c.t.Err, "note:", doubt)
	}
	entry, err := c.w.Append(ctx, e.Draft)
	if err == nil && kind == journal.JobOpened {
		c.shelf.jobs = append(c.shelf.jobs, entry.Subject.Job())
	}
	return entry, err
}

// partsField is where the kinds of runs name their parts.
const partsField = "parts"

// complete puts the note into the data, and writes the parts of a run out.
func (c *entryWriter) complete(kind journal.Kind, r request, data map[string]jsontext.Value) error {
	refuse := func(format string, args ...any) error {
		return journal.Refuse(kind, journal.NotAllowed, format, args...)
	}
	if data[photosField] != nil {
		return refuse("photographs are given as files, beside the data")
	}
	if r.Note != "" {
		if data["note"] != nil {
			return refuse("the note is given twice; keep one of them")
		}
		raw, err := json.Marshal(r.Note)
		if err != nil {
			return refuse("the note holds bytes that are not text")
		}
		data["note"] = raw
	}
	if err := c.identify(kind, data); err != nil {
		return err
	}
	for list, field := range partFields() {
		if err := c.named(data, list, field); err != nil {
			return err
		}
	}
	var parts []string
	if json.Unmarshal(data[partsField], &parts) != nil {
		return nil // none, or what the decoder will refuse
	}
	for i, p := range parts {
		subject, err := c.part(p)
		if err != nil {
			return err
		}
		parts[i] = string(subject)
	}
	raw, err := json.Marshal(parts)
	data[partsField] = raw
	return err
}

// partFields are the lists of a run's entries that name its parts, each with the field
// that does.
func partFields() map[string]string {
	return map[string]string{"probes": "on", "stand_ins": "part", "positions": "part"}
}

// named writes out the parts that a list names.
func (c *entryWriter) named(data map[string]jsontext.Value, list, field string) error {
	var rows []map[string]jsontext.Value
	if json.Unmarshal(data[list], &rows) != nil {
		return nil // none, or what the decoder will refuse
	}
	for _, row := range rows {
		var typed string
		if json.Unmarshal(row[field], &typed) != nil || typed == "" {
			continue
		}
		subject, err := c.part(typed)
		if err != nil {
			return err
		}
		if row[field], err = json.Marshal(subject); err != nil {
			return fmt.Errorf("encode a part: %w", err)
		}
	}
	raw, err := json.Marshal(rows, json.Deterministic(true))
	if err != nil {
		return fmt.Errorf("encode %s: %w", list, err)
	}
	data[list] = raw
	return nil
}

// part reads a part of a run: as a subject, or short as JOB/CORNER/PART.
func (c *entryWriter) part(typed string) (journal.Subject, error) {
	if short := strings.Split(typed, "/"); len(short) == 3 {
		id, err := c.shelf.job(short[0])
		return journal.About(id, journal.Corner(strings.ToUpper(short[1])), journal.PartID(short[2])), err
	}
	s := journal.Subject(typed)
	if s.Job() == "" {
		return s, nil // the decoder says what is wrong
	}
	id, err := c.shelf.job(string(s.Job()))
	return journal.About(id, s.Corner(), s.Part()), err
}

// subject says what the entry is about.
func (c *entryWriter) subject(kind journal.Kind, r request, data map[string]jsontext.Value) (journal.Subject, error) {
	refuse := func(problem string) (journal.Subject, error) {
		return "", journal.Refuse(kind, journal.WhatUnknown, "%s", problem)
	}
	placed := r.Job != "" || r.Corner != "" || r.Part != ""
	switch {
	case r.Subject != "" && (placed || r.Run != ""):
		return refuse("say what it is about either with the subject or with job, corner, part and run")
	case r.Run != "" && placed:
		return refuse("an entry is about a run or about a job, not both; a run names its parts in the field parts")
	case r.Subject != "":
		return c.known(kind, r.Subject)
	case r.Run != "":
		return journal.Of("run", r.Run), nil
	case r.Part != "" && r.Corner == "":
		return refuse("say at which corner the part sits, NC if at none")
	case placed && r.Job == "":
		return refuse("say which job; `fettlebook jobs` lists them")
	case placed:
		id, err := c.shelf.job(r.Job)
		return journal.About(id, journal.Corner(strings.ToUpper(r.Corner)), journal.PartID(r.Part)), err
	}
	return c.obvious(kind, data)
}

// known checks that a job named in full is here, unless it is just opened.
func (c *entryWriter) known(kind journal.Kind, text string) (journal.Subject, error) {
	s, err := journal.ParseSubject(text)
	if err != nil {
		return "", journal.Refuse(kind, journal.WhatUnknown, "%s", err)
	}
	if id := s.Job(); id != "" && kind != journal.JobOpened && !slices.Contains(c.shelf.jobs, id) {
		_, err := c.shelf.job(string(id))
		if err == nil {
			err = notFound("a subject has the whole id of its job, and %s is only its beginning", id)
		}
		return "", err
	}
	return s, nil
}

// obvious finds a subject where nothing was said: a new job, a new run, or
// the thing that the data names.
func (c *entryWriter) obvious(kind journal.Kind, data map[string]jsontext.Value) (journal.Subject, error) {
	places := kind.Places()
	switch {
	case kind == journal.JobOpened:
		id, err := journal.NewJobID(c.t.Rand)
		return journal.About(id, "", ""), err
	case belongs(kind):
		return "", journal.Refuse(kind, journal.WhatUnknown, "say which run it belongs to, with its name")
	case slices.Contains(places, "run"):
		id, err := c.shelf.view.NewRun(kind.Step(), c.shelf.Device, c.t.Now(), c.t.Rand)
		return journal.Of("run", string(id)), err
	case len(places) == 1 && !strings.Contains(places[0], "job"):
		var name string
		if json.Unmarshal(data[places[0]], &name) != nil || name == "" {
			return "", nil // the check of the data says so
		}
		return journal.Of(places[0], name), nil
	}
	problem := "say what it is about, with the job, its corner and its part, or with the subject"
	if len(places) > 0 {
		problem += "; this kind is about: " + strings.Join(places, ", ")
	}
	return "", journal.Refuse(kind, journal.WhatUnknown, "%s", problem)
}

// belongs reports whether a kind is only of a run that has begun.
func belongs(kind journal.Kind) bool {
	return kind.Is(journal.EndsBake) && slices.Equal(kind.Places(), []string{"run"})
}

// each does something with every object of standard input, names those that
// fail, and sums up.
func (c *entryWriter) each(ctx context.Context, what string, do func(context.Context, jsontext.Value) error) error {
	p := newProgress(c.t, what+" written")
	var written, failed int64
	code := exit.OK
	for d := range documents(c.t.In) {
		err := d.err
		if err == nil {
			p.clear() // it may print
			err = do(ctx, d.raw)
		}
		if err == nil {
			written++
			p.step(written, 0)
			continue
		}
		p.clear()
		fmt.Fprintf(c.t.Err, "%s: %v\n", d.at, err)
		now := exit.Code(err)
		if failed++; failed == 1 {
			code = now
		}
		if now != exit.Refused && now != exit.NotFound {
			fmt.Fprintln(c.t.Err, "nothing after it was read")
			break
		}
	}
	p.clear()
	switch {
	case failed > 0:
		return &exit.Error{Status: code, Sentence: fmt.Sprintf("%s written: %d; refused: %d, which are named above and were not written", what, written, failed)}
	case written == 0:
		return &exit.Error{Status: exit.Refused, Sentence: "standard input is empty; send JSON objects, one a line"}
	}
	return nil
}

// close gives the folder free and keeps the first thing that went wrong. It
// leaves the index whole for whoever reads next; what was written is written
// without that too.
func (c *entryWriter) close(ctx context.Context, err error) error {
	if c.own != nil {
		if behind := c.own.Folded.CatchUp(ctx); behind != nil && ctx.Err() == nil {
			c.t.Logger.WarnContext(ctx, "bring the index up to date", "error", behind)
		}
	}
	return errors.Join(err, c.shelf.Close(), c.w.Close())
}
