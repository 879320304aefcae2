-- How many entries of each log are indexed, and the id of the last of them.
CREATE TABLE logs (
  log    INTEGER PRIMARY KEY,
  device TEXT NOT NULL UNIQUE,
  size   INTEGER NOT NULL,
  last   BLOB
) STRICT;

-- The first pairs of subjects that entries are about or cite.
CREATE TABLE homes (
  home INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE
) STRICT;

-- Names of kinds and persons.
CREATE TABLE names (
  name INTEGER PRIMARY KEY,
  text TEXT NOT NULL UNIQUE
) STRICT;

-- pos is log<<40 | index. Bytes that are no entry have nothing but a position.
CREATE TABLE entries (
  pos     INTEGER PRIMARY KEY,
  id      BLOB,
  home    INTEGER,
  kind    INTEGER,
  version INTEGER,
  person  INTEGER,
  day     INTEGER,                     -- since 1970, where the device was
  place   INTEGER,                     -- as a signed number of the same order
  waiting INTEGER NOT NULL,
  void    INTEGER NOT NULL,            -- it counts for nothing where it lies
  past    BLOB
) STRICT;
CREATE INDEX entries_id ON entries (id);
CREATE INDEX entries_home ON entries (home, kind, place);
CREATE INDEX entries_kind ON entries (kind, day);
CREATE INDEX entries_day ON entries (day, home);
CREATE INDEX entries_waiting ON entries (pos) WHERE waiting = 1;
CREATE INDEX entries_void ON entries (waiting, pos) WHERE void = 1;

-- Who cites a thing.
CREATE TABLE citations (
  thing INTEGER NOT NULL,
  pos   INTEGER NOT NULL,
  PRIMARY KEY (thing, pos)
) STRICT, WITHOUT ROWID;

-- What corrections and withdrawals cite of entries and photographs: whoever
-- gathers entries asks of each of them whether there is one, and there are few.
CREATE TABLE amendments (
  kind  INTEGER NOT NULL,
  thing INTEGER NOT NULL,
  pos   INTEGER NOT NULL,
  PRIMARY KEY (kind, thing, pos)
) STRICT, WITHOUT ROWID;

-- Entries whose id others have too.
CREATE TABLE twins (
  pos INTEGER PRIMARY KEY
) STRICT;

-- Entries that stand in one home and have to do with the entries of another:
-- corrections of them, and others with the same id.
CREATE TABLE astray (
  home INTEGER NOT NULL,
  pos  INTEGER NOT NULL,
  PRIMARY KEY (home, pos)
) STRICT, WITHOUT ROWID;

-- Corrections by the entry that they are for, which may come later than they.
-- A correction of a correction brings what stands in its place along: it is
-- for that one's entry too, one step deeper.
CREATE TABLE corrections (
  of   BLOB NOT NULL,
  pos  INTEGER NOT NULL,               -- of the correction
  deep INTEGER NOT NULL,
  home INTEGER NOT NULL,               -- of the correction
  data BLOB NOT NULL,                  -- what stands instead; empty if nothing does
  PRIMARY KEY (of, pos, deep)
) STRICT, WITHOUT ROWID;

-- What was used up, in order.
CREATE TABLE uses (
  thing INTEGER NOT NULL,
  place INTEGER NOT NULL,
  pos   INTEGER NOT NULL,
  times INTEGER NOT NULL,
  PRIMARY KEY (thing, place, pos)
) STRICT, WITHOUT ROWID;
CREATE INDEX uses_pos ON uses (pos);

-- What stands on vehicles, castings and papers, squashed; and where it does.
-- pos is -1 where a home's own name is the key.
CREATE TABLE keys (
  key  INTEGER PRIMARY KEY,
  word TEXT NOT NULL,
  text TEXT NOT NULL,
  UNIQUE (text, word)
) STRICT;
CREATE TABLE keyed (
  key  INTEGER NOT NULL,
  home INTEGER NOT NULL,
  pos  INTEGER NOT NULL,
  PRIMARY KEY (key, home, pos)
) STRICT, WITHOUT ROWID;
CREATE VIRTUAL TABLE pieces USING fts5 (text, content='keys', content_rowid='key', tokenize='trigram', columnsize=0);

-- Words of entries. Entries stay, so no text has to be kept to delete any.
CREATE VIRTUAL TABLE words USING fts5 (text, content='', columnsize=0, detail=none, prefix='2 3 4', tokenize='unicode61 remove_diacritics 2');
CREATE VIRTUAL TABLE vocabulary USING fts5vocab (words, 'instance');

-- Words of customer cards, which may have to go again.
CREATE TABLE cards (
  card INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE
) STRICT;
CREATE VIRTUAL TABLE card_words USING fts5 (text, prefix='2 3 4', tokenize='unicode61 remove_diacritics 2');
INSERT INTO card_words (card_words, rank) VALUES ('secure-delete', 1);
CREATE TABLE card_mark (
  one INTEGER PRIMARY KEY,
  rev INTEGER NOT NULL
) STRICT;

-- The summary of each home. due is NULL where no promise is open.
CREATE TABLE summaries (
  home    INTEGER PRIMARY KEY,
  edition INTEGER NOT NULL,
  state   TEXT NOT NULL,
  sort    INTEGER NOT NULL,
  due     INTEGER,
  body    BLOB
) STRICT;
CREATE INDEX summaries_state ON summaries (state, sort);
CREATE INDEX summaries_edition ON summaries (edition);
CREATE INDEX summaries_due ON summaries (due) WHERE due IS NOT NULL;

-- Rows of the parts table of each home that has any, or had. The stamp rises
-- with every change, over all homes.
CREATE TABLE parts (
  home  INTEGER PRIMARY KEY,
  stamp INTEGER NOT NULL,
  body  BLOB
) STRICT;
CREATE INDEX parts_stamp ON parts (stamp);

-- Entries of which it is not worked out yet what they change, or what changes
-- them.
CREATE TABLE unsettled (
  pos INTEGER PRIMARY KEY
) STRICT;

-- Homes whose summary is of an older state. The stamp tells this marking from
-- an earlier one. own says that the home's own entries changed, or those of its
-- runs: that changes homes that rest on it.
CREATE TABLE dirty (
  home  INTEGER PRIMARY KEY,
  stamp INTEGER NOT NULL,
  own   INTEGER NOT NULL
) STRICT;
