-- Raw files and photographs: bytes stored once, compressed, keyed by SHA-256.
-- Published; never edited. What changes later is a later migration.

CREATE TABLE attachment (
    sha256 TEXT    NOT NULL PRIMARY KEY CHECK (length(sha256) = 64),
    bytes  INTEGER NOT NULL CHECK (bytes >= 0),
    zstd   BLOB    NOT NULL
) STRICT;

CREATE TRIGGER attachment_never_changed BEFORE UPDATE ON attachment
BEGIN SELECT raise(ABORT, 'an attachment is never changed'); END;

CREATE TRIGGER attachment_never_removed BEFORE DELETE ON attachment
BEGIN SELECT raise(ABORT, 'an attachment is never removed'); END;

CREATE TRIGGER attachment_never_replaced BEFORE INSERT ON attachment
WHEN EXISTS (SELECT 1 FROM attachment WHERE sha256 = NEW.sha256)
BEGIN SELECT raise(ABORT, 'an attachment of this key is there already'); END;
