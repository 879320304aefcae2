package stat

import "fettlebook/journal/words"

// Sample counts the parts that were inspected and those among them with the defect.
type Sample struct {
	Name    string `json:"name,omitempty"` // such as "with prebake", for the sentences; may be empty
	Defects int    `json:"defects"`        // parts with the defect, k
	Parts   int    `json:"parts"`          // parts inspected, n
}

// Rate returns the share of parts with the defect, k/n.
func (s Sample) Rate() float64 { return float64(s.Defects) / float64(s.Parts) }

// String returns the counts before the name, as in "2 of 40 with prebake".
func (s Sample) String() string { return s.Written(words.Writing{}) }

// Written is String in a way of writing; the name stays as it is.
func (s Sample) Written(in words.Writing) string {
	if s.Name == "" {
		return in.Sprintf("%d of %d", s.Defects, s.Parts)
	}
	return in.Sprintf("%d of %d %s", s.Defects, s.Parts, s.Name)
}

func (s Sample) good() int { return s.Parts - s.Defects }

// check refuses counts that cannot be; empty tells whether a sample of none is taken.
func (s Sample) check(empty bool) error {
	switch {
	case s.Defects < 0 || s.Parts < 0:
		return refuse(ErrNegative, "%v", s)
	case s.Parts > MaxCount:
		return refuse(ErrTooLarge, "%v", s)
	case s.Defects > s.Parts:
		return refuse(ErrMoreThanAll, "%v", s)
	case s.Parts == 0 && !empty:
		return refuse(ErrNothing, "%v", s)
	}
	return nil
}

// Pair is two groups counted for the same defect, such as with and without prebake. As a
// 2×2 table its rows are the groups, and its columns the parts with and without.
type Pair struct {
	First  Sample `json:"first"`
	Second Sample `json:"second"`
}

// Cells makes a Pair from the cells of a 2×2 table, row by row: a with and b without the
// defect in the first group, c with and d without in the second.
func Cells(a, b, c, d int) Pair {
	return Pair{First: Sample{Defects: a, Parts: a + b}, Second: Sample{Defects: c, Parts: c + d}}
}

// String returns both groups, as in "2 of 40 with prebake against 9 of 35 without".
func (p Pair) String() string { return p.Written(words.Writing{}) }

// Written is String in a way of writing.
func (p Pair) Written(in words.Writing) string {
	return in.Sprintf("%v against %v", p.First, p.Second)
}

func (p Pair) defects() int { return p.First.Defects + p.Second.Defects }

func (p Pair) parts() int { return p.First.Parts + p.Second.Parts }

// hasContrast reports whether both columns of the table hold something.
func (p Pair) hasContrast() bool { return p.defects() > 0 && p.defects() < p.parts() }

func (p Pair) hasZeroCell() bool {
	return p.First.Defects == 0 || p.First.good() == 0 || p.Second.Defects == 0 || p.Second.good() == 0
}

func (p Pair) checkCounts() error {
	if err := p.First.check(false); err != nil {
		return err
	}
	return p.Second.check(false)
}

func (p Pair) check() error {
	if err := p.checkCounts(); err != nil {
		return err
	}
	if !p.hasContrast() {
		return refuse(ErrNoContrast, "%v", p)
	}
	return nil
}

// cells returns the table as numbers, with half a part added to every cell where one is
// empty (Haldane 1955, Anscombe 1956).
func (p Pair) cells() (a, b, c, d float64) {
	a, b, c, d = p.counts()
	if p.hasZeroCell() {
		return a + 0.5, b + 0.5, c + 0.5, d + 0.5
	}
	return a, b, c, d
}

func (p Pair) counts() (a, b, c, d float64) {
	return float64(p.First.Defects), float64(p.First.good()), float64(p.Second.Defects), float64(p.Second.good())
}
