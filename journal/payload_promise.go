package journal

import (
	"fmt"

	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// Promise is the data of job.promised: what was promised to the customer after
// the job was opened, or differently than then. What it leaves out stays.
type Promise struct {
	Ready    Date      `json:"ready,omitzero"` // the day by which the vehicle is to be ready
	Warranty *Warranty `json:"warranty,omitzero"`
	Excludes []string  `json:"excludes,omitempty" since:"2"` // questions that are asked at a complaint: a yes is outside the warranty
	Reason   string    `json:"reason,omitzero"`              // of another promise than before
	Evidence
}

// Warranty is for how long a shop stands for its work, whichever ends first.
type Warranty struct {
	Months   int           `json:"months,omitzero" span:"months"`
	Distance unit.Distance `json:"distance,omitzero" span:"warranty"`
	Words    string        `json:"words,omitzero"` // what it is for, and what ends it
	Terms    Digest        `json:"terms,omitzero"` // of the text that the customer saw
}

// Kind returns job.promised.
func (*Promise) Kind() Kind { return JobPromised }

// Say says what was promised.
func (p *Promise) Say() string {
	said := words.Clauses(words.Fill("promised for %s", p.Ready.Said(p.writing))+words.Fill("; reason: %s", p.Reason), p.Warranty.say(), asked(p.Excludes))
	return words.Choose(said == "", "nothing is promised yet", said)
}

// String says for how long, and for what.
func (w *Warranty) String() string {
	return words.Clauses(words.Or(words.If(w.Months > 0, words.Count(w.Months, "month")), w.Distance.String()), w.Words)
}

// say is the warranty as a clause, "" of none.
func (w *Warranty) say() string {
	if w == nil {
		return ""
	}
	return fmt.Sprintf("warranty: %s", w)
}

func (p *Promise) check(found *problems) {
	if p.Ready == "" && p.Warranty == nil && len(p.Excludes) == 0 {
		found.missing("ready")
	}
	p.Warranty.check(found)
	questions(found, "excludes", p.Excludes)
}

// asked says which questions are asked at a complaint, "" of none.
func asked(excludes []string) string {
	var list []string
	for _, q := range excludes {
		list = append(list, "“"+q+"”")
	}
	return words.Fill("asked at a complaint: %s", words.Commas(list...))
}

// questions demands questions that are there, each once.
func questions(p *problems, field string, list []string) {
	for i, q := range list {
		if q == "" {
			p.missing(row(field, i))
		}
	}
	distinct(p, field, list)
}

func (w *Warranty) check(p *problems) {
	if w == nil {
		return
	}
	p.least("warranty.months", w.Months, 0)
	if w.Months == 0 && w.Distance.IsZero() && w.Words == "" {
		p.missing("warranty.months")
	}
}
