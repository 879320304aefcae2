-- Logs: one row a device. key verifies its checkpoints.
CREATE TABLE logs (
  log    INTEGER PRIMARY KEY,
  device TEXT NOT NULL UNIQUE,
  key    TEXT NOT NULL DEFAULT '',
  closed TEXT NOT NULL DEFAULT ''      -- why it takes no more entries here
) STRICT;

-- Entries of all logs. pos is log<<40 | index.
CREATE TABLE entries (
  pos        INTEGER PRIMARY KEY,
  bytes      BLOB NOT NULL,            -- the entry, as first written
  nodes      BLOB NOT NULL,            -- tree hashes this leaf completes, 32 bytes each
  thumbs     BLOB,                     -- hashes of its thumbnails, 32 bytes each
  checkpoint TEXT                      -- signed note over the log up to here, where one was signed
) STRICT;

CREATE TRIGGER entries_keep BEFORE DELETE ON entries
BEGIN SELECT RAISE(ABORT, 'entries are never deleted'); END;
CREATE TRIGGER entries_fixed BEFORE UPDATE ON entries
BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
-- INSERT OR REPLACE deletes without asking the trigger above.
CREATE TRIGGER entries_once BEFORE INSERT ON entries WHEN EXISTS (SELECT 1 FROM entries WHERE pos = NEW.pos)
BEGIN SELECT RAISE(ABORT, 'entries are never replaced'); END;

-- The hub's countersignatures. at is the hub's time in seconds.
CREATE TABLE countersigned (
  log  INTEGER NOT NULL REFERENCES logs,
  size INTEGER NOT NULL,
  at   INTEGER NOT NULL,
  note TEXT NOT NULL,
  PRIMARY KEY (log, size)
) STRICT, WITHOUT ROWID;

CREATE TABLE thumbs (
  id    INTEGER PRIMARY KEY,
  ref   BLOB NOT NULL UNIQUE,
  bytes BLOB NOT NULL
) STRICT;

-- Originals that entries name. confirmed is when the hub had it, in seconds.
CREATE TABLE photos (
  ref       BLOB PRIMARY KEY,
  thumb     BLOB NOT NULL,
  own       INTEGER NOT NULL,          -- 1: named by an entry of this device's log
  confirmed INTEGER,
  withdrawn INTEGER NOT NULL DEFAULT 0
) STRICT, WITHOUT ROWID;
CREATE INDEX photos_waiting ON photos (ref) WHERE own = 1 AND confirmed IS NULL AND withdrawn = 0;

-- Customer cards lie beside the log: these rows may be changed and erased.
CREATE TABLE cards (
  card    TEXT PRIMARY KEY,
  written BLOB NOT NULL,               -- id of the entry that committed to this state
  json    BLOB,                        -- NULL once erased
  rev     INTEGER NOT NULL UNIQUE      -- rises with every change here
) STRICT;

-- What came in and could not be verified, kept for people to look at.
CREATE TABLE quarantine (
  id     INTEGER PRIMARY KEY,
  at     INTEGER NOT NULL,
  device TEXT NOT NULL,
  reason TEXT NOT NULL,
  bytes  BLOB NOT NULL
) STRICT;

-- How far something was followed; losing a mark only repeats work.
CREATE TABLE marks (
  name  TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT;
