package evidence

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/words"

	"github.com/go-json-experiment/json"
)

// checkAbout checks that the file is about what it says it is about.
func (r *reading) checkAbout(a *Answer) error {
	other := func(says string, args ...any) {
		a.add(Finding{AboutOther, No, fmt.Sprintf(says, args...), nil, paths(DossierPath)})
	}
	jobs := make(map[journal.JobID]bool)
	vehicle, claim := r.d.About.Vehicle == "", r.d.About.Claim.IsZero()
	for _, e := range r.list {
		if e.e == nil || e.in == nil {
			continue
		}
		jobs[e.e.Subject.Job()] = true
		claim = claim || e.e.ID == r.d.About.Claim && e.kind() == journal.ClaimOpened
		if !vehicle {
			p, err := r.opening(e)
			if err != nil {
				return err
			}
			vehicle = words.Squash(p.VIN) == words.Squash(r.d.About.Vehicle) || words.Squash(p.Plate) == words.Squash(r.d.About.Vehicle)
		}
	}
	for _, j := range r.d.About.Jobs {
		if !jobs[j] {
			other("The file says that it is about job %s, and no proven entry of that job is here.", j)
		}
	}
	if !vehicle {
		other("The file says that it is about the vehicle %s, and no job that is here was opened for that vehicle.", r.d.About.Vehicle)
	}
	if !claim {
		other("The file says that it is about the complaint %s, which is not here.", r.d.About.Claim)
	}
	return nil
}

// opening returns the vehicle for which an entry opens a job, or corrects that
// somebody did, or quotes it; a zero one for all other entries.
func (r *reading) opening(e *entry) (v journal.Vehicle, err error) {
	switch e.kind() {
	case journal.JobOpened, journal.EntryCorrected, journal.EntryTakenOver:
	default:
		return v, nil
	}
	p, err := r.payload(e)
	if quote, ok := p.(*journal.TakenOver); ok {
		if q, err := quote.Quoted(); err == nil {
			p, _ = q.Payload() // what cannot be read opens nothing
		}
	}
	switch p := p.(type) {
	case *journal.Job:
		return p.Vehicle, nil
	case *journal.Correction:
		var job struct {
			Vehicle journal.Vehicle `json:"vehicle"`
		}
		if len(p.Data) > 0 && json.Unmarshal(p.Data, &job) == nil {
			return job.Vehicle, nil
		}
	}
	return v, err
}
