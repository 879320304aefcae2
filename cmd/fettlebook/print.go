package main

import (
	"fmt"
	"io"

	"fettlebook/journal"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// printReport writes what a command reports as one line of JSON that says in what format it
// is: an object with the format as its first member, a list as the member list of one. The
// schema of each is printed by `fettlebook schema COMMAND`; see [reports].
func printReport(out io.Writer, of string, v any) error {
	raw, err := json.Marshal(v, json.Deterministic(true), jsontext.PreserveRawStrings(true))
	if err != nil {
		return fmt.Errorf("encode answer: %w", err)
	}
	format, err := json.Marshal(formatOf(of))
	if err != nil {
		return fmt.Errorf("encode answer: %w", err)
	}
	body := string(raw)
	switch raw := jsontext.Value(raw); {
	case raw.Kind() != '{':
		body = `,"list":` + body + "}"
	case body == "{}":
		body = "}"
	default:
		body = "," + body[1:]
	}
	_, err = fmt.Fprintf(out, "{\"format\":%s%s\n", format, body)
	return err
}

// printWhole writes what says itself in what format it is.
func printWhole(out io.Writer, v any) error {
	raw, err := json.Marshal(v, json.Deterministic(true), jsontext.PreserveRawStrings(true))
	if err != nil {
		return fmt.Errorf("encode answer: %w", err)
	}
	_, err = fmt.Fprintf(out, "%s\n", raw)
	return err
}

// formatOf names the format of what a command reports. The number grows when a member that
// was there changes its meaning or goes; more members come without it.
func formatOf(of string) string { return "fettlebook " + of + " 1" }

// printEntry writes an entry as it lies in the log.
func printEntry(out io.Writer, e *journal.Entry) error {
	raw, err := e.Encode()
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(out, "%s\n", raw)
	return err
}
