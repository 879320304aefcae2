package main

import (
	"context"
	"sync"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/write"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/media"
	"fettlebook/media/look"
)

// judge says what is wrong with a photograph while it can be taken again. It
// remembers the fingerprints of thumbnails, which do not change.
type judge struct {
	job   func(context.Context, journal.JobID) *record.Job
	thumb func(context.Context, media.Ref) ([]byte, error)
	t     *terminal

	mu     sync.Mutex
	prints map[media.Ref]look.Fingerprint
}

func newJudge(t *terminal, job func(context.Context, journal.JobID) *record.Job, thumb func(context.Context, media.Ref) ([]byte, error)) *judge {
	return &judge{job: job, thumb: thumb, t: t, prints: make(map[media.Ref]look.Fingerprint)}
}

// judge returns a sentence for each doubt. A picture that cannot be judged is
// kept all the same, and in no doubt.
func (j *judge) judge(ctx context.Context, shot write.Shot) []string {
	p, err := look.Measure(ctx, shot.Thumb)
	if err != nil {
		j.t.Logger.WarnContext(ctx, "judge a photograph", "error", err)
		return nil
	}
	c := look.Circumstances{Camera: string(shot.Photo.Taken), Now: j.t.Now()}
	if job := j.job(ctx, shot.Subject.Job()); job != nil && job.Opened != nil {
		c.Began = time.Time(job.Opened.Clocks.Device)
		c.Others = j.known(ctx, job, shot)
	}
	var list []string
	for _, f := range look.Judge(p, c, look.DefaultLimits()) {
		list = append(list, f.Say)
	}
	return list
}

// known are the pictures of the other places of the job.
func (j *judge) known(ctx context.Context, job *record.Job, shot write.Shot) (list []look.Known) {
	for _, l := range job.Timeline() {
		if l.Subject == shot.Subject {
			continue
		}
		for _, p := range l.Photos {
			if print, ok := j.print(ctx, p); ok {
				where := pages.Place(l.Subject)
				if p.Role != "" {
					where += ", " + p.Role
				}
				list = append(list, look.Known{Print: print, Where: where})
			}
		}
	}
	return list
}

func (j *judge) print(ctx context.Context, p record.Photo) (look.Fingerprint, bool) {
	if !p.Withdrawn.IsZero() {
		return 0, false
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	if print, ok := j.prints[p.Thumb]; ok {
		return print, true
	}
	raw, err := j.thumb(ctx, p.Thumb)
	if err != nil {
		return 0, false // still on its way
	}
	measured, err := look.Measure(ctx, raw)
	if err != nil {
		return 0, false
	}
	j.prints[p.Thumb] = measured.Print
	return measured.Print, true
}
