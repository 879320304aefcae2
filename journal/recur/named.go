package recur

import (
	"cmp"
	"slices"
	"strings"

	"fettlebook/journal/parts"
	"fettlebook/journal/trade/stat"
)

// Named is a pattern that the trade knows by a name, and what it points to.
type Named struct {
	Pattern Pattern   `json:"pattern"`
	Where   string    `json:"where"` // the casting, the day, the rack, the cut
	Pair    stat.Pair `json:"pair"`  // there, and elsewhere
	// Effect has no p beside it: what is named was sought among all that there is.
	Effect  *stat.Effect `json:"difference,omitempty"`
	Rows    []int        `json:"rows"` // of the table that the study was made of
	Defects []string     `json:"defects,omitempty"`
}

// Pattern is a pattern that the trade knows. Which of them points to what is
// common practice, no source.
type Pattern string

// The patterns.
const (
	CastingAgain Pattern = "same casting again"    // gas from the casting
	OneDay       Pattern = "same day"              // air, oven or powder
	OneFace      Pattern = "same face of one rack" // the spraying
	AfterChange  Pattern = "after a change"        // of the blast media, or of the air's filter or dryer
)

// named finds the patterns that are there. A casting that had the defect twice
// is named whether or not chance could have done it; the others are named where
// their factor stands out and does not only go along with another.
func (s *search) named(out *Study) (list []Named) {
	list = append(list, s.castings()...)
	for i, a := range s.asked {
		f := out.Factors[slices.IndexFunc(out.Factors, func(f Factor) bool { return f.Name == a.column.Name })]
		if !f.Stands || f.Because == GoesAlong {
			continue
		}
		pattern := Pattern("")
		switch a.column.Name {
		case SameDay:
			pattern = OneDay
		case SameRack:
			if s.oneFace(i) {
				pattern = OneFace
			}
		case parts.MediaHours, parts.FilterDays:
			if f.There(0) && 2*f.Pair.First.Parts <= f.Known { // the young side
				pattern = AfterChange
			}
		}
		if pattern != "" {
			of := s.groups[i].of
			rows, defects := s.rowsOf(func(k int) bool { return of[k] != unknown && f.There(int(of[k])) })
			list = append(list, Named{Pattern: pattern, Where: f.Split, Pair: f.Pair, Effect: f.Effect, Rows: rows, Defects: defects})
		}
	}
	return list
}

// castings lists those that had the defect under more than one coat.
func (s *search) castings() (list []Named) {
	codes, names := s.parts.table.Words(parts.Casting)
	had := make([]stat.Sample, len(names)+1)
	var all stat.Sample
	for k, row := range s.parts.rows {
		code := codes[row]
		if code == 0 {
			continue
		}
		had[code].Parts++
		all.Parts++
		if s.parts.bad[k] {
			had[code].Defects++
			all.Defects++
		}
	}
	for code, sample := range had {
		if sample.Defects < 2 {
			continue
		}
		sample.Name = names[code-1]
		pair := stat.Pair{First: sample, Second: stat.Sample{Defects: all.Defects - sample.Defects, Parts: all.Parts - sample.Parts}}
		rows, defects := s.rowsOf(func(k int) bool { return codes[s.parts.rows[k]] == uint32(code) })
		list = append(list, Named{Pattern: CastingAgain, Where: sample.Name, Pair: pair, Effect: difference(pair), Rows: rows, Defects: defects})
	}
	slices.SortFunc(list, func(a, b Named) int {
		return cmp.Or(cmp.Compare(b.Pair.First.Defects, a.Pair.First.Defects), cmp.Compare(a.Where, b.Where))
	})
	return list
}

// oneFace reports whether most defects of the rack that stands out are on one
// face of the parts.
func (s *search) oneFace(i int) bool {
	at := s.first[i].splits[s.first[i].best].at
	faces := make(map[string]int)
	n := 0
	for k, inside := range s.groups[i].inside(at) {
		if face := s.parts.table.At(s.parts.rows[k], parts.Face); inside == 1 && s.parts.bad[k] && face.Known() {
			faces[strings.ToLower(face.String())]++
			n++
		}
	}
	for _, count := range faces {
		if count >= 3 && count*2 > n {
			return true
		}
	}
	return false
}

// rowsOf lists rows with the defect, and the entries in which it was found.
func (s *search) rowsOf(so func(k int) bool) (rows []int, defects []string) {
	for k, row := range s.parts.rows {
		if s.parts.bad[k] && so(k) {
			rows = append(rows, row)
			if e := s.parts.table.At(row, parts.Entry); e.Known() {
				defects = append(defects, e.String())
			}
		}
	}
	return rows, defects
}
