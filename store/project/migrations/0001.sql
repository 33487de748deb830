-- A row of a table of the workbook. cells is a JSON object from column to the
-- typed text, or to [text, unit] where the text was typed under a heading with
-- a unit; a blank cell is not in it. extra is a JSON list in the order of
-- foreign_column.
CREATE TABLE row (
  tbl      TEXT NOT NULL,
  uid      TEXT NOT NULL,
  position INTEGER NOT NULL,
  cells    TEXT NOT NULL,
  extra    TEXT,
  PRIMARY KEY (tbl, uid)
) WITHOUT ROWID;

CREATE TABLE foreign_column (
  tbl      TEXT NOT NULL,
  position INTEGER NOT NULL,
  name     TEXT NOT NULL,
  PRIMARY KEY (tbl, position),
  UNIQUE (tbl, name)
) WITHOUT ROWID;

-- What one person did at one moment; undoes names the group it takes back.
CREATE TABLE edit (
  id     INTEGER PRIMARY KEY,
  who    TEXT NOT NULL,
  at     TEXT NOT NULL,
  what   TEXT NOT NULL,
  undoes INTEGER REFERENCES edit (id)
);
CREATE INDEX edit_who ON edit (who);

-- One change of an edit. kind is cell, foreign or row; old and new are a cell
-- as in row.cells, a text, or a whole row; NULL is blank, or no row.
CREATE TABLE history (
  id   INTEGER PRIMARY KEY,
  edit INTEGER NOT NULL REFERENCES edit (id),
  kind TEXT NOT NULL CHECK (kind IN ('cell', 'foreign', 'row')),
  tbl  TEXT NOT NULL,
  uid  TEXT NOT NULL,
  col  TEXT NOT NULL,
  old  TEXT,
  new  TEXT
);
CREATE INDEX history_edit ON history (edit);
CREATE INDEX history_row ON history (tbl, uid);

-- Figures of parts, by their hash: what is used, and what frozen revisions used.
CREATE TABLE part (
  hash TEXT PRIMARY KEY,
  data BLOB NOT NULL
) WITHOUT ROWID;

CREATE TABLE part_used (
  kind TEXT NOT NULL,
  name TEXT NOT NULL,
  hash TEXT NOT NULL REFERENCES part (hash),
  PRIMARY KEY (kind, name)
) WITHOUT ROWID;

-- A frozen revision of a loom: the whole book as it was.
CREATE TABLE revision (
  loom    TEXT NOT NULL,
  letter  TEXT NOT NULL,
  who     TEXT NOT NULL,
  at      TEXT NOT NULL,
  program TEXT NOT NULL,
  book    BLOB NOT NULL,
  PRIMARY KEY (loom, letter)
);

CREATE TABLE revision_part (
  loom   TEXT NOT NULL,
  letter TEXT NOT NULL,
  kind   TEXT NOT NULL,
  name   TEXT NOT NULL,
  hash   TEXT NOT NULL REFERENCES part (hash),
  PRIMARY KEY (loom, letter, kind, name),
  FOREIGN KEY (loom, letter) REFERENCES revision (loom, letter)
) WITHOUT ROWID;

-- Plans worked out; may be emptied at any time.
CREATE TABLE plan (
  design    TEXT NOT NULL,
  catalogue TEXT NOT NULL,
  program   TEXT NOT NULL,
  data      BLOB NOT NULL,
  used      INTEGER NOT NULL,
  PRIMARY KEY (design, catalogue, program)
);

-- How the headings of a foreign table were named, by the set of its headings.
CREATE TABLE mapping (
  headings TEXT NOT NULL,
  target   TEXT NOT NULL,
  columns  TEXT NOT NULL,
  PRIMARY KEY (headings, target)
) WITHOUT ROWID;
