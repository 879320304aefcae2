package folder

import (
	"context"
	"errors"

	"fettlebook/journal"
	"fettlebook/journal/audit"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media/photodir"
)

// Audit checks what a data folder holds, also one that a program writes or a copy
// whose originals lie elsewhere. Files looks at what lies beside the database; nil if
// nobody does. Step is told how far it is.
func Audit(ctx context.Context, dir, photos string, files audit.Files, step func(done, total int)) (report audit.Report, err error) {
	id, err := ReadIdentity(dir)
	if err != nil {
		return report, err
	}
	db, err := sqlitelog.OpenToInspect(ctx, DatabasePath(dir))
	if err != nil {
		return report, Lost(dir, id, err)
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	originals := photodir.OpenToRead(photos)
	if photos == PhotosPath(dir) { // its own
		if originals, err = Originals(dir); err != nil {
			return report, err
		}
	}
	return audit.Run(ctx, audit.Sources{
		Shop: id.Shop, Own: append([]journal.DeviceID{id.Device}, id.Earlier...),
		Hub: id.Hub, HubKey: id.HubKey, CosignKey: id.CosignKey, Agreed: id.agreed(),
		Store: db, Logs: db, Photos: db, Beside: db, Originals: originals, Files: files,
	}, step)
}
