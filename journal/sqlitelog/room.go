package sqlitelog

// Room refuses with [journal.ErrDiskLow] when the disk has too little left
// for an entry, or for one with a photo. Whoever stores an original asks
// first, so that none is stored that no entry will name.
func (db *DB) Room(photo bool) error { return db.room(photo) }

// SchemaVersion is the version of the schema that this program writes.
func SchemaVersion() (int, error) {
	names, err := steps(schema)
	return len(names), err
}
