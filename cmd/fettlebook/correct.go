package main

import (
	"context"
	"fmt"
	"strings"

	"fettlebook/cmd/internal/exit"
	"fettlebook/journal"
	"fettlebook/journal/record"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

type correctEntry struct {
	Entry  string    `arg:"" help:"The entry’s ID, or its first characters; \"fettlebook record JOB --ids\" shows the IDs." placeholder:"ID"`
	Fields []string  `arg:"" optional:"" name:"field=value" help:"What should have been written, as for \"add\"; all else stays as it was. FIELD= alone takes a field out. Without any field nothing takes the entry’s place."`
	Strike bool      `help:"Put nothing in its place."`
	Reason string    `default:"slipped a digit" help:"Why it is struck out (default: ${default})." placeholder:"TEXT"`
	By     string    `env:"FETTLEBOOK_BY" help:"Who corrects it: a short name such as io." placeholder:"PERSON"`
	Photos []picture `name:"photo" sep:"none" help:"A JPEG or PNG file that shows why; can be given again." placeholder:"FILE[:WHAT]"`
	JSON   bool      `name:"json" help:"Print the correction as JSON."`
}

// Help says what a correction is.
func (*correctEntry) Help() string {
	return `Nothing is ever changed: the entry is struck through and stays to be read, and the correction stands beside it with the reason. For example:
  fettlebook correct 0195a3c1-7e40 torque="22 N·m"
  fettlebook correct 0195a3c1-7e40 vehicle.plate="TRL 4471" looks=
  fettlebook correct 0195a3c1-7e40 --strike --reason "entered twice"

A list that is given takes the place of the whole list.`
}

// Run writes the correction of one entry.
func (c *correctEntry) Run(ctx context.Context, t *terminal) error {
	switch {
	case c.By == "":
		return nobody()
	case c.Strike && len(c.Fields) > 0:
		return &exit.Error{Status: exit.Usage, Sentence: "either say what should have been written, or strike the entry out with --strike"}
	case !c.Strike && len(c.Fields) == 0:
		return &exit.Error{Status: exit.Usage, Sentence: "say what should have been written, such as torque=\"22 N·m\"; --strike puts nothing in the entry’s place"}
	}
	k, err := openEntryWriter(ctx, t)
	if err != nil {
		return err
	}
	if err = k.sayRefused(ctx); err == nil {
		err = c.write(ctx, k)
	}
	return k.close(ctx, err)
}

func (c *correctEntry) write(ctx context.Context, k *entryWriter) error {
	line, err := k.shelf.line(c.Entry)
	if err != nil {
		return err
	}
	if err := mayWrite(line.Kind, k.shelf.Identity); err != nil {
		return err
	}
	correction := journal.Correction{Of: line.ID, Reason: c.Reason}
	var instead journal.Payload
	if !c.Strike {
		if instead, correction.Data, err = c.instead(k, line); err != nil {
			return err
		}
	}
	data, err := journal.MarshalPayload(&correction)
	if err != nil {
		return err
	}
	ready, err := k.check(ctx, journal.EntryCorrected, request{By: c.By, Subject: string(line.Subject), Photos: c.Photos}, data)
	if err != nil {
		return err
	}
	e, err := k.write(ctx, ready)
	if err != nil || c.JSON {
		if err == nil {
			err = printEntry(k.t.Out, e)
		}
		return err
	}
	fmt.Fprintf(k.t.Out, "Struck out: %s\n", oneLine(line.Says()))
	if instead != nil {
		fmt.Fprintf(k.t.Out, "Instead: %s\n", oneLine(instead.Say()))
	}
	_, err = fmt.Fprintf(k.t.Out, "Both stay in the record (entry %s).\n", e.ID)
	return err
}

// line finds the entry that is to be corrected.
func (s *shelf) line(typed string) (*record.Line, error) {
	id, err := s.entryOf(typed)
	if err != nil {
		return nil, err
	}
	lines := s.view.Line(id)
	if len(lines) == 0 {
		return nil, notFound("there is no entry %s here; it may still be on another machine", id)
	}
	return lines[0], nil
}

// instead is what should have been written: what counts of the line, with the fields that
// are given in place of its own.
func (c *correctEntry) instead(k *entryWriter, line *record.Line) (journal.Payload, jsontext.Value, error) {
	f, err := newForm(line.Kind)
	if err != nil {
		return nil, nil, err
	}
	before := line.Stands()
	stands := make(map[string]jsontext.Value)
	if err := json.Unmarshal(before, &stands); err != nil {
		return nil, nil, fmt.Errorf("read what is corrected: %w", err)
	}
	for _, assignment := range c.Fields {
		path, value, _ := strings.Cut(assignment, "=")
		if value == "" && strings.Contains(assignment, "=") {
			if err := f.without(stands, path); err != nil {
				return nil, nil, err
			}
			continue
		}
		if err := f.set(assignment); err != nil {
			return nil, nil, err
		}
	}
	given, err := f.encode()
	if err != nil {
		return nil, nil, err
	}
	fields := make(map[string]jsontext.Value)
	if err := json.Unmarshal(given, &fields); err != nil {
		return nil, nil, fmt.Errorf("read what is given: %w", err)
	}
	if err := k.complete(line.Kind, request{}, fields); err != nil {
		return nil, nil, err
	}
	if err := over(stands, fields); err != nil {
		return nil, nil, err
	}
	whole, err := json.Marshal(stands, json.Deterministic(true))
	if err != nil {
		return nil, nil, fmt.Errorf("encode the correction: %w", err)
	}
	p, err := journal.ParseTyped(line.Kind, whole)
	if err != nil {
		return nil, nil, err
	}
	if stands[photosField] == nil { // of what took its place before
		for _, photo := range line.Photos {
			journal.Attach(p, journal.Photo{Ref: photo.Ref, Thumb: photo.Thumb, Role: photo.Role, Taken: photo.Taken})
		}
	}
	after, err := journal.MarshalPayload(p)
	if err != nil {
		return nil, nil, err
	}
	if line.Effect() != nil && string(after) == string(before) {
		return nil, nil, journal.Refuse(line.Kind, journal.NotAllowed, "this is what stands there already; nothing was written")
	}
	if was, ok := p.(journal.Confirming); ok && fields["confirmed"] == nil {
		was.Confirm("") // what somebody confirmed was what stood there
		if after, err = journal.MarshalPayload(p); err != nil {
			return nil, nil, err
		}
	}
	return p, after, nil
}

// over puts fields in the place of those that stand; of an object only those that are given.
func over(stands, given map[string]jsontext.Value) error {
	for name, value := range given {
		if value.Kind() != '{' || stands[name].Kind() != '{' {
			stands[name] = value
			continue
		}
		in, with := make(map[string]jsontext.Value), make(map[string]jsontext.Value)
		if err := json.Unmarshal(stands[name], &in); err != nil {
			return fmt.Errorf("read %s: %w", name, err)
		}
		if err := json.Unmarshal(value, &with); err != nil {
			return fmt.Errorf("read %s: %w", name, err)
		}
		if err := over(in, with); err != nil {
			return err
		}
		raw, err := json.Marshal(in, json.Deterministic(true))
		if err != nil {
			return fmt.Errorf("encode %s: %w", name, err)
		}
		stands[name] = raw
	}
	return nil
}

// without takes a field out of what stands.
func (f *form) without(stands map[string]jsontext.Value, path string) error {
	name, deeper, nested := strings.Cut(path, ".")
	switch {
	case name == photosField:
		return f.refuse("", journal.NotAllowed, "photographs of an entry stay; one is withdrawn at the hub’s desk")
	case f.shape.find(name) == nil:
		return f.refuse(name, journal.UnknownField, "is not known; the fields are %s", f.shape.names())
	case !nested || stands[name].Kind() != '{':
		delete(stands, name)
		return nil
	}
	in := make(map[string]jsontext.Value)
	if err := json.Unmarshal(stands[name], &in); err != nil {
		return fmt.Errorf("read %s: %w", name, err)
	}
	delete(in, deeper)
	raw, err := json.Marshal(in, json.Deterministic(true))
	if err != nil {
		return fmt.Errorf("encode %s: %w", name, err)
	}
	stands[name] = raw
	return nil
}
