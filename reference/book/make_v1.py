"""Makes v1.stook, a book as file version 1 held it, without any code of ours but the first migration.

Run from the root of the repository:  python3 reference/book/make_v1.py
"""

import json
import pathlib
import sqlite3

root = pathlib.Path(__file__).resolve().parents[2]
crate = root / "crates/book"
out = pathlib.Path(__file__).with_name("v1.stook")
out.unlink(missing_ok=True)

NOW = 1_790_000_000_000  # 21 September 2026, UTC
ZONE = "America/Chicago"


def ident(n):
    """UUID version 7 by RFC 9562, section 5.7: 48 bits of time, version, variant, the rest here a count."""
    value = (NOW + n) << 80 | 0x7 << 76 | 0x2 << 62 | n
    text = f"{value:032x}"
    return "-".join((text[:8], text[8:12], text[12:16], text[16:20], text[20:]))


def entry(n, kind, version, payload, replaces=(), device="barn", seq=None, stamp=None):
    text = json.dumps(payload, separators=(",", ":"), ensure_ascii=False)
    return (ident(n), device, seq or n, stamp or NOW + n, "grower", NOW, ZONE, kind, version, text,
            " ".join(ident(r) for r in replaces))


ticket = json.loads((crate / "samples/weighed.v1.json").read_text())
right = dict(ticket, number="48214")
rows = [
    entry(1, "farm", 1, {"name": "home", "zone": ZONE}),
    entry(2, "weighed", 1, ticket),
    entry(3, "correction", 1, {"of": ident(2), "reason": "the paper says 48214", "kind": "weighed",
                               "version": 1, "payload": right}, [2]),
    entry(4, "note", 1, {"text": "rüben field too wet"}),
    entry(5, "void", 1, {"reason": "not so"}, [4]),
    entry(6, "moonphase", 3, {"from": "a later program"}),
    entry(7, "note", 1, {"text": "from the phone"}, device="phone", seq=1, stamp=NOW + 3),
]

db = sqlite3.connect(out)
db.execute(f"PRAGMA application_id = {0x73746F6B}")
db.executescript((crate / "migrations/0001_entries.sql").read_text())
db.execute("PRAGMA user_version = 1")
db.execute("INSERT INTO here VALUES (1, 'barn', 'the laptop in the barn', ?)", (NOW,))
# rows go in out of order: the order of a book is not that of its rows
db.executemany("INSERT INTO entry VALUES (?,?,?,?,?,?,?,?,?,?,?)", rows[::-1])
db.commit()
db.execute("VACUUM")
db.close()

# the ordered dump that it must give in every later version
rows.sort(key=lambda r: (r[3], r[1], r[2], r[0]))
lines = ['{"stook_dump":1}']
for r in rows:
    replaces = json.dumps(r[10].split(), separators=(",", ":"))
    lines.append(
        f'{{"entry":{{"id":"{r[0]}","device":"{r[1]}","seq":{r[2]},"stamp_ms":{r[3]},"author":"{r[4]}",'
        f'"happened":{{"at_ms":{r[5]},"zone":"{r[6]}"}},"kind":"{r[7]}","version":{r[8]},'
        f'"payload":{r[9]},"replaces":{replaces}}}}}'
    )
out.with_suffix(".jsonl").write_text("\n".join(lines) + "\n")
