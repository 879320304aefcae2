package backup

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"sync"
	"time"

	"fettlebook/media/durable"

	"github.com/go-json-experiment/json"
)

// Plan is where a folder is copied to, and how often. It is kept in the folder.
type Plan struct {
	To    string `json:"to"`
	Hours int    `json:"hours"` // from one backup to the next
	Keep  int    `json:"keep"`  // sets
}

const planFile = "backup.json"

// ReadPlan reads a folder's plan; nil if it has none.
func ReadPlan(from string) (*Plan, error) {
	raw, err := os.ReadFile(filepath.Join(from, planFile))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("read when to make backups: %w", err)
	}
	p := new(Plan)
	if err := json.Unmarshal(raw, p); err != nil || p.Hours < 1 || p.To == "" {
		return nil, fmt.Errorf("the file %s is damaged; say again when to make backups", filepath.Join(from, planFile))
	}
	return p, nil
}

// WritePlan keeps a folder's plan; nil is none.
func WritePlan(from string, p *Plan) error {
	path := filepath.Join(from, planFile)
	if p == nil {
		if err := durable.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("forget when to make backups: %w", err)
		}
		return nil
	}
	raw, err := json.Marshal(p)
	if err != nil {
		return fmt.Errorf("keep when to make backups: %w", err)
	}
	if err := durable.WriteFile(path, append(raw, '\n'), 0o600); err != nil {
		return fmt.Errorf("keep when to make backups: %w", err)
	}
	return nil
}

// Standing is how a folder's backups stand.
type Standing struct {
	Plan    *Plan     // nil for none
	Last    *Set      // nil for none, or none that is in reach
	Trouble string    // why the last trial failed; "" if it did not
	Since   time.Time // of the trouble
}

// Late reports whether a backup that is due has not been made.
func (s Standing) Late(now time.Time) bool {
	return s.Plan != nil && (s.Trouble != "" || s.Last == nil || now.Sub(s.Last.Made) > 2*s.Plan.every())
}

// fresh reports whether no other set is due yet. One that a clock made which was
// ahead is of no known age.
func (s *Set) fresh(now time.Time, plan *Plan) bool {
	return !s.Made.After(now) && now.Sub(s.Made) < plan.every()
}

func (p *Plan) every() time.Duration { return time.Duration(p.Hours) * time.Hour }

// Keeper makes a folder's backups when they are due. It looks at the plan again
// and again and remembers nothing that only a restart could clear.
type Keeper struct {
	From   string
	Now    func() time.Time
	Logger *slog.Logger

	mu      sync.Mutex
	trouble string
	since   time.Time
}

// look is how long the keeper waits before it looks at the plan again.
const look = time.Minute

// Run makes backups until ctx is done.
func (k *Keeper) Run(ctx context.Context) {
	for {
		k.note(ctx, k.turn(ctx))
		select {
		case <-ctx.Done():
			return
		case <-time.After(look):
		}
	}
}

// turn makes a backup if one is due.
func (k *Keeper) turn(ctx context.Context) error {
	plan, err := ReadPlan(k.From)
	if plan == nil || err != nil {
		return err
	}
	last, err := Newest(plan.To)
	switch {
	case err == nil && last.fresh(k.Now(), plan):
		return nil
	case err != nil && !errors.Is(err, ErrNone):
		k.Logger.WarnContext(ctx, "read the last backup", "error", err) // another one is made
	}
	if _, err := os.Stat(plan.To); err != nil {
		return fmt.Errorf("%s is not there; is the disk connected? (%w)", plan.To, err)
	}
	s, err := Make(ctx, Asked{From: k.From, To: plan.To, Now: k.Now, Keep: plan.Keep})
	if err != nil {
		return err
	}
	report, err := s.Audit(ctx, plan.To, k.Now(), nil)
	if err != nil {
		return err
	}
	k.Logger.InfoContext(ctx, "backup made", "path", s.Dir, "entries", s.Entries(), "damaged", report.Damaged())
	return nil
}

// note keeps what went wrong, and says it when it is new.
func (k *Keeper) note(ctx context.Context, err error) {
	if ctx.Err() != nil {
		return
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	switch {
	case err == nil:
		k.trouble = ""
	case k.trouble != err.Error():
		k.trouble, k.since = err.Error(), k.Now()
		k.Logger.WarnContext(ctx, "make a backup", "error", err)
	}
}

// Standing is how the backups stand now.
func (k *Keeper) Standing() (Standing, error) {
	plan, err := ReadPlan(k.From)
	if plan == nil || err != nil {
		return Standing{}, err
	}
	s := Standing{Plan: plan}
	if s.Last, err = Newest(plan.To); errors.Is(err, ErrNone) {
		s.Last, err = nil, nil
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	s.Trouble, s.Since = k.trouble, k.since
	return s, err
}
