package folder

import (
	"context"

	"fettlebook/journal"
)

// ChangeKeysUntil is ChangeKeys, and at is asked before each step.
func (f *Folder) ChangeKeysUntil(ctx context.Context, because journal.KeyReason, by journal.PersonID, next NextKeys, at func(step string) error) error {
	_, err := f.changeKeys(ctx, because, by, next, at)
	return err
}
