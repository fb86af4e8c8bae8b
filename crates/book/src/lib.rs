//! The farm's one file: append-only entries, corrections, merging, migrations, backup.
