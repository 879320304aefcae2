package backup

import (
	"context"
	"fmt"
	"path/filepath"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal/audit"
	"fettlebook/media/durable"

	"github.com/go-json-experiment/json"
)

// Audit checks a set of a backup as a data folder is checked, each signature and
// each original that it names, and keeps beside it how that came out.
func (s *Set) Audit(ctx context.Context, dir string, now time.Time, step func(done, total int)) (report audit.Report, err error) {
	report, err = folder.Audit(ctx, s.Dir, folder.PhotosPath(dir), nil, step)
	if err != nil {
		return report, err
	}
	s.Checked = &Checked{At: now.UTC().Truncate(time.Second), Damaged: report.Damaged()}
	raw, err := json.Marshal(s.Checked)
	if err != nil {
		return report, fmt.Errorf("keep how a backup was checked: %w", err)
	}
	if err = durable.WriteFile(filepath.Join(s.Dir, verdict), append(raw, '\n'), 0o600); err != nil {
		return report, fmt.Errorf("keep how a backup was checked: %w", err)
	}
	return report, nil
}
