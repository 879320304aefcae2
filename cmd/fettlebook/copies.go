package main

import (
	"time"

	"fettlebook/cmd/internal/backup"
	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/pages/desk"
)

// copiesOf makes the backups of a folder while a program holds it, if it was asked to.
func copiesOf(t *terminal, f *folder.Folder) *backup.Keeper {
	return &backup.Keeper{From: f.Dir, Now: t.Now, Logger: t.Logger}
}

// copied tells the desk how the hub's backups stand.
func (s *hubProcess) copied() (desk.Copies, error) {
	is, err := s.copies.Standing()
	if is.Plan == nil {
		return desk.Copies{}, err
	}
	c := desk.Copies{To: is.Plan.To, Every: time.Duration(is.Plan.Hours) * time.Hour, Late: is.Late(s.t.Now()), Trouble: is.Trouble}
	if is.Last != nil {
		c.Made, c.Damaged = is.Last.Made, is.Last.Checked != nil && is.Last.Checked.Damaged
	}
	return c, err
}
