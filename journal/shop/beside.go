package shop

import (
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"

	"github.com/go-json-experiment/json"
)

// evidence is what stands beside a line of a record: the things that its entry
// used as the register had them, and what the entry amounts to.
type evidence struct {
	Things     []facts.Thing     `json:"things,omitempty"`
	Statements []facts.Statement `json:"statements,omitempty"`
	BackWith   []journal.HoldID  `json:"handed_back_with,omitempty"`
}

// Beside says what stands beside a line in the records of some jobs, so that a
// line proves by itself: figures with their limits, tools with their
// certificates, and with which broken holds a vehicle was handed back.
func Beside(jobs []*Standing) func(*record.Line) *record.Beside {
	return func(l *record.Line) *record.Beside {
		for _, st := range jobs {
			if slices.Contains(st.Stock.Shop().Line(l.ID), l) {
				return st.beside(l)
			}
		}
		return nil
	}
}

func (st *Standing) beside(l *record.Line) *record.Beside {
	var is evidence
	var says []string
	is.Things = st.Stock.Things(l)
	for _, t := range is.Things {
		says = append(says, t.Say)
	}
	is.Statements = st.Stock.Entry(l).Statements
	for _, s := range is.Statements {
		if s.Verdict(l.Kind) {
			says = append(says, s.Say())
		}
	}
	if l == st.Job.Released || l == st.Job.Sealed {
		for _, v := range st.Verdicts.Broken() {
			is.BackWith = append(is.BackWith, v.Hold)
		}
		if text := st.Verdicts.BackWith(); text != "" {
			says = append(says, text)
		}
	}
	if len(is.Things)+len(is.Statements)+len(is.BackWith) == 0 {
		return nil
	}
	raw, err := json.Marshal(is, json.Deterministic(true))
	if err != nil { // statements hold texts and numbers only
		says = append(says, fmt.Sprintf("what this amounts to cannot be written: %v", err))
	}
	return &record.Beside{Says: says, Facts: raw}
}
