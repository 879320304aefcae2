package shop

import (
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"

	"github.com/go-json-experiment/json"
)

// evidence is what stands beside a line of a record: the things that its entry
// used as the register had them, and what the entry amounts to.
type evidence struct {
	Things     []facts.Thing     `json:"things,omitempty"`
	Statements []facts.Statement `json:"statements,omitempty"`
	BackWith   []journal.HoldID  `json:"handed_back_with,omitempty"` // broken and not waived
	InDoubt    []journal.HoldID  `json:"handed_back_in_doubt,omitempty"`
	Open       []journal.HoldID  `json:"handed_back_open,omitempty"`
	Seal       *sealEvidence     `json:"seal,omitzero"`
}

// sealEvidence is how the entries stand against the seal that the line is.
type sealEvidence struct {
	State   SealState `json:"state"`
	Missing int       `json:"missing,omitzero"`
	Later   int       `json:"later,omitzero"` // entries since, that it does not cover
}

// Beside says what stands beside a line in the records of some jobs, so that a
// line proves by itself: figures with their limits, tools with their
// certificates, whose work somebody checked, and with which holds unmet a vehicle
// was handed back. How they stand against their seals says who asked
// ([View.Sealing]).
func Beside(jobs []*Standing, seals ...*Sealing) func(*record.Line) *record.Beside {
	return func(l *record.Line) *record.Beside {
		for _, st := range jobs {
			if slices.Contains(st.Stock.Shop().Line(l.ID), l) {
				return st.beside(l, seals)
			}
		}
		return nil
	}
}

func (st *Standing) beside(l *record.Line, seals []*Sealing) *record.Beside {
	var is evidence
	var says []string
	is.Things = st.Stock.Things(l)
	for _, t := range is.Things {
		says = append(says, t.Told())
	}
	is.Statements = st.Stock.Entry(l).Statements
	for _, s := range is.Statements {
		if s.Verdict(l.Kind) {
			says = append(says, s.Say())
		}
	}
	if l.Kind == journal.SecondChecked {
		for _, s := range st.looks(l) {
			is.Statements = append(is.Statements, s)
			if more := s.Beside(); more != "" {
				says = append(says, more)
			}
		}
	}
	if l == st.Job.Released || l == st.Job.Sealed {
		back := st.HandedBack()
		is.BackWith, is.InDoubt, is.Open = holds(back.Broken), holds(back.InDoubt), holds(back.Open)
		is.Statements, says = append(append(is.Statements, back.OwnLook...), back.Manner...), append(says, back.Says()...)
	}
	for _, s := range seals {
		if s != nil && s.Line == l {
			is.Seal = &sealEvidence{s.State, s.Missing, len(s.Later)}
			says = append(says, s.Says())
		}
	}
	if len(says)+len(is.Statements) == 0 {
		return nil
	}
	raw, err := json.Marshal(is, json.Deterministic(true))
	if err != nil { // statements hold texts and numbers only
		says = append(says, fmt.Sprintf("what this amounts to cannot be written: %v", err))
	}
	return &record.Beside{Says: says, Facts: raw}
}

// looks returns what the job's holds say of a second look.
func (st *Standing) looks(l *record.Line) (list []facts.Statement) {
	for _, v := range st.Verdicts.List {
		for _, s := range v.Statements {
			if (s.Quantity == facts.SecondLook || s.Quantity == facts.OwnLook) && slices.Contains(s.Entries, l.ID) {
				list = append(list, s)
			}
		}
	}
	return list
}

func holds(list []route.Verdict) (ids []journal.HoldID) {
	for _, v := range list {
		ids = append(ids, v.Hold)
	}
	return ids
}
