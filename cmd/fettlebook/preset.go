package main

import (
	"errors"
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/card"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// presetField names the preset with which it is begun to state what a part has.
const presetField = "preset"

// begin fills in what a part has by the preset that is named, of the card of
// the part's job. Each field that was given stays as it was given.
func (c *entryWriter) begin(kind journal.Kind, part journal.Subject, data map[string]jsontext.Value) error {
	var name string
	if kind != journal.PartDescribed || part.Part() == "" || json.Unmarshal(data[presetField], &name) != nil || name == "" {
		return nil // not begun so, or what the decoder will refuse
	}
	refuse := func(err error) error {
		return &journal.Invalid{Kind: kind, Problems: []journal.Problem{{Path: presetField, Code: journal.NotReadable, Say: err.Error()}}}
	}
	st := c.shelf.view.Standing(part.Job())
	if st == nil || st.Card == nil {
		return refuse(card.ErrNoCard)
	}
	is, err := st.Card.PresetsOf(part.Part()).Begin(name)
	var unknown *card.NoPreset
	if errors.As(err, &unknown) {
		return refuse(unknown)
	}
	raw, err := journal.MarshalPayload(is)
	if err != nil {
		return err
	}
	var has map[string]jsontext.Value
	if err := json.Unmarshal(raw, &has); err != nil {
		return fmt.Errorf("read the preset %q: %w", name, err)
	}
	for field, value := range has {
		if _, given := data[field]; !given {
			data[field] = value
		}
	}
	return nil
}
