package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/shop"
	"fettlebook/journal/sqlitelog"
	"fettlebook/journal/words"
)

// shelf is what is looked at of a data folder, beside the program that writes
// it.
type shelf struct {
	folder.Identity
	view *shop.View
	jobs []journal.JobID // of which entries are here

	log    *sqlitelog.DB
	folded io.Closer
}

// openShelf looks into a folder.
func openShelf(ctx context.Context, t *terminal) (*shelf, error) {
	id, err := folder.ReadIdentity(t.Data)
	if err != nil {
		return nil, err
	}
	s := &shelf{Identity: id}
	s.log, err = sqlitelog.OpenToRead(ctx, folder.DatabasePath(t.Data))
	if err != nil {
		return nil, folder.Lost(t.Data, id, err)
	}
	folded, closer, err := folder.Look(ctx, t.Data, s.Authority(), s.log)
	if err != nil {
		return nil, errors.Join(err, s.log.Close())
	}
	if t.plain {
		folded.Plainly()
	}
	s.folded = closer
	s.look(ctx, folded)
	return s, nil
}

// shelfOf looks into a folder that this very command holds.
func shelfOf(ctx context.Context, f *folder.Folder) (*shelf, error) {
	if err := f.Folded.Follow(ctx); err != nil {
		return nil, err
	}
	s := &shelf{Identity: f.Identity}
	s.look(ctx, f.Folded)
	return s, s.view.Err()
}

func (s *shelf) look(ctx context.Context, folded *shop.Shop) {
	s.view = folded.View(ctx)
	for _, id := range s.view.Names("job") {
		s.jobs = append(s.jobs, journal.JobID(id))
	}
}

// Close ends the look. What could not be read is an error of whoever asked.
func (s *shelf) Close() error {
	if s.log == nil { // the folder's own
		return nil
	}
	return errors.Join(s.folded.Close(), s.log.Close())
}

// onShelf looks into a folder and asks what is to be known. Who prints it does so
// afterwards: what could be read in part only is an error.
func onShelf(ctx context.Context, t *terminal, ask func(*shelf) error) error {
	s, err := openShelf(ctx, t)
	if err != nil {
		return err
	}
	err = ask(s)
	if broken := s.view.Err(); broken != nil {
		err = broken
	}
	return errors.Join(err, s.Close())
}

// shortestJob is the fewest characters of a job's id that name it.
const shortestJob = 3

// job finds the one job whose id is, or begins with, what was typed.
func (s *shelf) job(typed string) (journal.JobID, error) {
	switch fit := s.fitting(typed); len(fit) {
	case 1:
		return fit[0], nil
	case 0:
		return "", notFound("there is no job %s here; `fettlebook jobs` lists them%s", oneLine(typed), didYouMean(typed, s.jobs))
	default:
		return "", notFound("%s matches the jobs %s; write more of the ID", oneLine(typed), list(fit))
	}
}

// fitting lists the job with an id, else those whose ids begin so.
func (s *shelf) fitting(typed string) (fit []journal.JobID) {
	for _, id := range s.jobs {
		switch {
		case strings.EqualFold(string(id), typed):
			return []journal.JobID{id}
		case len(typed) >= shortestJob && strings.HasPrefix(strings.ToLower(string(id)), strings.ToLower(typed)):
			fit = append(fit, id)
		}
	}
	if len(fit) == 0 && s.view.Job(journal.JobID(typed)) != nil { // only runs know of it yet
		fit = append(fit, journal.JobID(typed))
	}
	return fit
}

func notFound(format string, args ...any) error {
	return &exit.Error{Status: exit.NotFound, Sentence: fmt.Sprintf(format, args...)}
}

func list[T ~string](names []T) string {
	var out []string
	for _, w := range names {
		out = append(out, oneLine(string(w)))
	}
	return words.Commas(out...)
}

// didYouMean lists the names that are nearest to what was typed, if any is near.
func didYouMean[T ~string](typed string, names []T) string {
	const most = 5
	near := func(w T) int { return distance(bare(typed), bare(string(w))) }
	var fit []T
	for _, w := range names {
		whole, part := bare(string(w)), bare(typed)
		if near(w) <= max(1, len(whole)/4) || len(part) >= shortestJob && strings.Contains(whole, part) {
			fit = append(fit, w)
		}
	}
	if len(fit) == 0 {
		return ""
	}
	slices.SortFunc(fit, func(a, b T) int { return cmp.Or(near(a)-near(b), cmp.Compare(a, b)) })
	fit = slices.Compact(fit)
	return ". Near it: " + list(fit[:min(len(fit), most)])
}

// bare leaves out what people write differently.
func bare(text string) string {
	return strings.Map(func(r rune) rune {
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) {
			return -1
		}
		return unicode.ToUpper(r)
	}, text)
}

// distance counts the characters to add, leave out or change between two
// words (Levenshtein 1966).
func distance(a, b string) int {
	from, to := []rune(a), []rune(b)
	row := make([]int, len(to)+1)
	for j := range row {
		row[j] = j
	}
	for i, x := range from {
		diagonal := row[0]
		row[0] = i + 1
		for j, y := range to {
			change := diagonal
			if x != y {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(to)]
}

// oneLine is a text on one line that is safe for a terminal.
func oneLine(text string) string { return words.OneLine(text) }
