package facts

import (
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/film"
)

// FilmRead is a film that was read on a part and that holds now.
type FilmRead struct {
	At   journal.Subject
	Is   Statement
	Film film.Result
}

// Films are the films of the parts, corner by corner, as they were read last.
func (w *Job) Films() (list []FilmRead) {
	for _, p := range w.Parts {
		for _, s := range p.Stated("part.film", FilmMean) {
			if r, ok := s.Result.(film.Result); ok {
				list = append(list, FilmRead{p.Subject, s, r})
			}
		}
	}
	return list
}

// BakeRead is a bake whose temperatures were recorded.
type BakeRead struct {
	Run  journal.RunID
	Line *record.Line // the first that has them
	Baked
}

// Bakes are the bakes that a job's parts were in and whose temperatures are here,
// each once, in the order of replay.
func (s *Stock) Bakes(job *record.Job) (list []BakeRead) {
	read := make(map[journal.RunID]bool)
	for _, l := range job.Timeline() {
		run := l.Subject.Run()
		if l.Kind != journal.ProbeLogged || l.Effect() == nil || read[run] {
			continue
		}
		if b := s.Entry(l).Bake; b != nil {
			read[run] = true
			list = append(list, BakeRead{run, l, *b})
		}
	}
	return list
}
