-- The entries of a farm, and the device that writes to this copy of its book.
-- Published; never edited. What changes later is a later migration.

CREATE TABLE entry (
    id          TEXT    NOT NULL PRIMARY KEY,
    device      TEXT    NOT NULL,
    seq         INTEGER NOT NULL CHECK (seq > 0),
    stamp_ms    INTEGER NOT NULL CHECK (stamp_ms > 0),
    author      TEXT    NOT NULL,
    happened_ms INTEGER NOT NULL,
    zone        TEXT    NOT NULL,
    kind        TEXT    NOT NULL,
    version     INTEGER NOT NULL CHECK (version > 0),
    payload     TEXT    NOT NULL CHECK (json_valid(payload)),
    replaces    TEXT    NOT NULL
) STRICT;

-- Not unique: a book that was copied and written to in both copies still merges, and `check` says so.
CREATE INDEX entry_seq ON entry (device, seq);
CREATE INDEX entry_stamp ON entry (device, stamp_ms);

CREATE TRIGGER entry_never_changed BEFORE UPDATE ON entry
BEGIN SELECT raise(ABORT, 'an entry is never changed; write a correction'); END;

CREATE TRIGGER entry_never_removed BEFORE DELETE ON entry
BEGIN SELECT raise(ABORT, 'an entry is never removed; write a void'); END;

-- INSERT OR REPLACE removes the old row without the trigger above.
CREATE TRIGGER entry_never_replaced BEFORE INSERT ON entry
WHEN EXISTS (SELECT 1 FROM entry WHERE id = NEW.id)
BEGIN SELECT raise(ABORT, 'an entry of this id is there already'); END;

CREATE TABLE here (
    only_row INTEGER NOT NULL PRIMARY KEY CHECK (only_row = 1),
    device   TEXT    NOT NULL,
    name     TEXT    NOT NULL,
    since_ms INTEGER NOT NULL
) STRICT;
