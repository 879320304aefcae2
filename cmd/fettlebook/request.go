package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// request is what a person says of an entry beside its data, with flags or in
// a JSON object.
type request struct {
	By      string    `json:"by,omitzero" env:"FETTLEBOOK_BY" help:"Who did it: a short name such as io." placeholder:"PERSON"`
	Job     string    `json:"job,omitzero" help:"The job, or the first three or more characters of its id." placeholder:"JOB"`
	Corner  string    `json:"corner,omitzero" help:"The corner: LF, RF, LR, RR, or NC for none." placeholder:"LF"`
	Part    string    `json:"part,omitzero" help:"The part at that corner, such as caliper." placeholder:"PART"`
	Run     string    `json:"run,omitzero" help:"The bake, soak or blast that many parts share; left out, it gets a name." placeholder:"RUN"`
	Subject string    `json:"subject,omitzero" help:"What it is about in full, such as tool/tw-1, instead of the flags above." placeholder:"SUBJECT"`
	Photos  []picture `json:"photos,omitempty" name:"photo" sep:"none" help:"A JPEG or PNG file, and what it shows; can be given again." placeholder:"FILE[:WHAT]"`
	Note    string    `json:"note,omitzero" help:"A remark." placeholder:"TEXT"`
}

// entryObject is an entry as a JSON object of standard input.
type entryObject struct {
	Kind journal.Kind `json:"kind"`
	request
	Data jsontext.Value `json:"data,omitempty"`
}

// readObject reads a JSON object of standard input over what the flags said.
func readObject(raw jsontext.Value, into any, known string) error {
	err := json.Unmarshal(raw, into, json.RejectUnknownMembers(true))
	if err == nil {
		return nil
	}
	sentence := badJSON(err).Error()
	var wrong *json.SemanticError
	var twice *jsontext.SyntacticError
	switch {
	case errors.Is(err, json.ErrUnknownName) && errors.As(err, &wrong):
		sentence = fmt.Sprintf("%s is not known; the object may have %s", memberName(wrong.JSONPointer), known)
	case errors.Is(err, jsontext.ErrDuplicateName) && errors.As(err, &twice):
		sentence = memberName(twice.JSONPointer) + " is given twice; keep one of them"
	case errors.As(err, &wrong) && wrong.Err != nil && wrong.JSONKind == '"':
		sentence = fmt.Sprintf("%s: %v", memberName(wrong.JSONPointer), wrong.Err)
	case errors.As(err, &wrong):
		sentence = memberName(wrong.JSONPointer) + " is in the wrong form; names are texts in quotes, photos and corners are lists of them"
	}
	return &exit.Error{Status: exit.Refused, Sentence: sentence, Err: err}
}

func memberName(at jsontext.Pointer) string {
	return strings.ReplaceAll(strings.TrimPrefix(string(at), "/"), "/", ".")
}

// mayWrite says whether a person may write the kind into this folder.
func mayWrite(kind journal.Kind, id folder.Identity) error {
	if !kind.Known() {
		return &exit.Error{Status: exit.Refused, Err: journal.ErrUnknownKind,
			Sentence: fmt.Sprintf("the kind %s is not known; `fettlebook schema` lists the kinds%s", oneLine(string(kind)), didYouMean(string(kind), slices.Collect(journal.Kinds())))}
	}
	switch {
	case kind.Hand() == journal.ByProgram:
		return journal.Refuse(kind, journal.NotAllowed, "the program itself writes this when it happens; it is never added by hand")
	case kind == journal.CardWritten:
		return journal.Refuse(kind, journal.NotAllowed, "the details go with it; `fettlebook open --customer` writes both, and `fettlebook name` those of who works here")
	}
	if id.Role == folder.Tablet && kind == journal.PhotoWithdrawn {
		return journal.Refuse(kind, journal.NotAllowed, "a photograph goes for good when it is withdrawn; that is done at the hub’s desk")
	}
	if id.Role == folder.Tablet && kind.Writer() == journal.HubOnly {
		return journal.Refuse(kind, journal.NotAllowed, "this belongs to the shop’s register, which is kept at the hub; add it there")
	}
	return nil
}
