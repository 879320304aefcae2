package main

import (
	"fmt"
	"io"

	"fettlebook/journal"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// printJSON writes a value as one line of JSON.
func printJSON(out io.Writer, v any) error {
	raw, err := json.Marshal(v, json.Deterministic(true), jsontext.PreserveRawStrings(true))
	if err != nil {
		return fmt.Errorf("encode answer: %w", err)
	}
	_, err = fmt.Fprintf(out, "%s\n", raw)
	return err
}

// printEntry writes an entry as it lies in the log.
func printEntry(out io.Writer, e *journal.Entry) error {
	raw, err := e.Encode()
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(out, "%s\n", raw)
	return err
}
