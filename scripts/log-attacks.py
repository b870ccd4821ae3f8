#!/usr/bin/env python3
"""Attacks a log in every way that this file knows and prints what each command then says, as a table.

    scripts/log-attacks.py PROGRAM

Makes the demo's log, copies it for each attack, and runs every command that tells or signs something of a log. Ends with
status 1 where a command goes on although the log was changed, or refuses one that is whole. Needs `openssl` for keys of a
stranger. The files of the log are described in docs/log-files.md, what an entry is in docs/log.md.
"""

import hashlib
import json
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

PROGRAM = sys.argv[1]
COMMANDS = {
    "verify": ["log", "verify", "demo"],
    "show": ["log", "show", "demo"],
    "page": ["log", "show", "demo", "REVIEW", "--html", "OUT"],
    "export": ["log", "export", "demo", "--out", "OUT"],
    "head": ["log", "head", "demo", "--out", "OUT"],
    "certify": ["log", "certify", "REVIEW", "demo", "--out", "OUT"],
    "audit": ["audit", "LOG", "--json"],
    "rejudge": ["rejudge", "LOG", "--book", "saltmarsh"],
    "grade": ["log", "grade", "RECORD", "LOG", "--call", "correct call"],
}


def run(data, words):
    run = subprocess.run([PROGRAM, "--data", data, *words], capture_output=True, text=True, check=False)
    return run.returncode, run.stdout, run.stderr


class Log:
    """The demo's log in a data folder of its own."""

    def __init__(self, data):
        self.data = Path(data)
        self.path = self.data / "demo" / "log.sqlite"

    def beside(self, suffix):
        return self.path.with_name(self.path.name + suffix)

    def sql(self, *statements):
        """Runs statements as somebody with a database tool would, who puts the triggers back."""
        raw = sqlite3.connect(self.path)
        raw.executescript("PRAGMA foreign_keys = OFF; PRAGMA ignore_check_constraints = ON;")
        triggers = raw.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'").fetchall()
        for name, _ in triggers:
            raw.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            raw.execute(*statement) if isinstance(statement, tuple) else raw.execute(statement)
        for _, text in triggers:
            raw.execute(text)
        raw.commit()
        raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        raw.close()

    def plain(self, script):
        raw = sqlite3.connect(self.path)
        raw.executescript(script)
        raw.close()

    def entries(self):
        raw = sqlite3.connect(self.path)
        rows = raw.execute("SELECT seq, hash, previous, bytes, signature, key, command FROM entries").fetchall()
        (log,) = raw.execute("SELECT id FROM log").fetchone()
        raw.close()
        return log, [list(row) for row in rows]

    def put(self, rows):
        self.sql("DELETE FROM entries", *[("INSERT INTO entries VALUES (?, ?, ?, ?, ?, ?, ?)", row) for row in rows])

    def unmerged(self, acts=3):
        """The same log with its newest acts in the write-ahead file, as a desk that was killed leaves it."""
        _, rows = self.entries()
        head = self.beside(".head").read_bytes()
        self.put(rows[:-acts])
        raw = sqlite3.connect(self.path, isolation_level=None)
        raw.executescript("PRAGMA journal_mode = WAL; PRAGMA wal_autocheckpoint = 0;")
        for row in rows[-acts:]:
            raw.execute("INSERT INTO entries VALUES (?, ?, ?, ?, ?, ?, ?)", row)
        kept = self.path.read_bytes(), self.beside("-wal").read_bytes()
        raw.close()
        self.path.write_bytes(kept[0])
        self.beside("-wal").write_bytes(kept[1])
        self.beside("-shm").unlink(missing_ok=True)
        self.beside(".head").write_bytes(head)


def entry_hash(log, previous, text):
    return hashlib.sha256(b"tellframe log entry 1\n" + log + previous + text).digest()


def ruled(rows):
    """The number of the entry that holds the first ruling, from 0."""
    return next(at for at, row in enumerate(rows) if b'"kind":"review.ruled"' in row[3])


def edited(text):
    """Another ruling: the first outcome that stands in the text, turned round."""
    for was, now in [(b"reversed", b"confirmd"), (b"confirmed", b"reversedd"), (b"stands", b"stood!")]:
        if was in text:
            return text.replace(was, now, 1)
    return text.replace(b'"ruled"', b'"rulex"', 1)


class Stranger:
    """A key that the log does not know."""

    def __init__(self, folder):
        self.file = Path(folder) / "stranger.pem"
        subprocess.run(["openssl", "genpkey", "-algorithm", "ed25519", "-out", self.file], check=True, capture_output=True)
        public = ["openssl", "pkey", "-in", self.file, "-pubout", "-outform", "DER"]
        self.public = subprocess.run(public, check=True, capture_output=True).stdout[-32:]

    def sign(self, message):
        with tempfile.NamedTemporaryFile() as file:
            file.write(message)
            file.flush()
            words = ["openssl", "pkeyutl", "-sign", "-rawin", "-inkey", self.file, "-in", file.name]
            return subprocess.run(words, check=True, capture_output=True).stdout


def flip(path, at, bit=1):
    bytes_ = bytearray(path.read_bytes())
    bytes_[at] ^= bit
    path.write_bytes(bytes_)


ATTACKS = []


def attack(name, refused=True):
    def keep(run):
        ATTACKS.append((name, refused, run))
        return run

    return keep


@attack("none: the log as it is", refused=False)
def _(log):
    pass


@attack("a ruling's bytes edited")
def _(log):
    _, rows = log.entries()
    at = ruled(rows)
    log.sql(("UPDATE entries SET bytes = ? WHERE seq = ?", (edited(rows[at][3]), rows[at][0])))


@attack("a ruling's bytes and hash edited")
def _(log):
    id_, rows = log.entries()
    row = rows[ruled(rows)]
    text = edited(row[3])
    log.sql(("UPDATE entries SET bytes = ?, hash = ? WHERE seq = ?", (text, entry_hash(id_, row[2], text), row[0])))


def rechained(log, sign=None):
    id_, rows = log.entries()
    at = ruled(rows)
    rows[at][3] = edited(rows[at][3])
    for number in range(at, len(rows)):
        row = rows[number]
        row[2] = rows[number - 1][1]
        row[1] = entry_hash(id_, row[2], row[3])
        if sign:
            row[4] = sign(row[1])
    return rows


@attack("a ruling edited, and all hashes after it made anew")
def _(log):
    log.put(rechained(log))


@attack("the same, signed anew by a stranger's key")
def _(log):
    log.put(rechained(log, Stranger(log.data).sign))


@attack("the same, and the stranger's key added to the table of keys")
def _(log):
    stranger = Stranger(log.data)
    rows = rechained(log, stranger.sign)
    name = hashlib.sha256(stranger.public).hexdigest()[:16]
    for row in rows[ruled(rows) :]:
        row[5] = name
    log.put(rows)
    log.sql(("INSERT INTO keys VALUES (?, ?, 1)", (name, stranger.public)))


def renumbered(rows):
    for number, row in enumerate(rows):
        row[0] = number + 1
    return rows


@attack("an entry in the middle removed")
def _(log):
    _, rows = log.entries()
    log.put(rows[:20] + rows[21:])


@attack("an entry in the middle removed, numbers closed up")
def _(log):
    _, rows = log.entries()
    log.put(renumbered(rows[:20] + rows[21:]))


@attack("the first entry removed")
def _(log):
    log.sql("DELETE FROM entries WHERE seq = 1")


@attack("the newest entry removed")
def _(log):
    _, rows = log.entries()
    log.put(rows[:-1])


@attack("the newest ten entries removed")
def _(log):
    _, rows = log.entries()
    log.put(rows[:-10])


@attack("all entries removed")
def _(log):
    log.sql("DELETE FROM entries")


@attack("two neighbours swapped")
def _(log):
    _, rows = log.entries()
    rows[20], rows[21] = rows[21], rows[20]
    log.put(renumbered(rows))


@attack("an entry doubled at the end")
def _(log):
    _, rows = log.entries()
    log.put(renumbered(rows + [list(rows[-1])]))


@attack("an entry doubled in the middle")
def _(log):
    _, rows = log.entries()
    log.put(renumbered(rows[:20] + [list(rows[19])] + rows[20:]))


@attack("one bit of a signature turned")
def _(log):
    _, rows = log.entries()
    signature = bytearray(rows[30][4])
    signature[5] ^= 4
    log.sql(("UPDATE entries SET signature = ? WHERE seq = 31", (bytes(signature),)))


@attack("the name of the key of an entry changed")
def _(log):
    log.sql("UPDATE entries SET key = 'nobody' WHERE seq = 31")


@attack("the command of an entry changed")
def _(log):
    log.sql("UPDATE entries SET command = 'another' WHERE seq = 31")


@attack("the log's own id changed")
def _(log):
    log.sql(("UPDATE log SET id = ?", (bytes(16),)))


@attack("a text beside the chain edited")
def _(log):
    log.sql("UPDATE blobs SET bytes = x'6e6f' WHERE rowid = (SELECT min(rowid) FROM blobs)")


@attack("a text beside the chain removed")
def _(log):
    log.sql("DELETE FROM blobs WHERE rowid = (SELECT max(rowid) FROM blobs)")


@attack("the stored rule book edited")
def _(log):
    log.sql("UPDATE editions SET text = replace(text, 'touchdown', 'touchback')")


@attack("the stored rule book removed")
def _(log):
    log.sql("DELETE FROM editions")


@attack("a record marked as imported that no entry imports")
def _(log):
    log.sql("INSERT INTO imported VALUES ('r-1', 2)")


@attack("a trigger that swallows new entries")
def _(log):
    log.plain("CREATE TRIGGER quiet BEFORE INSERT ON entries BEGIN SELECT RAISE(IGNORE); END;")


@attack("a view in the place of the table of entries")
def _(log):
    log.plain("ALTER TABLE entries RENAME TO kept; CREATE VIEW entries AS SELECT * FROM kept;")


@attack("the trigger that forbids removing dropped")
def _(log):
    log.plain("DROP TRIGGER entries_are_never_removed")


@attack("another table added")
def _(log):
    log.plain("CREATE TABLE notes (text)")


@attack("an index added")
def _(log):
    log.plain("CREATE INDEX by_key ON entries (key)")


@attack("the tables' version set to -1")
def _(log):
    log.plain("PRAGMA user_version = -1")


@attack("the application's number taken away")
def _(log):
    log.plain("PRAGMA application_id = 0")


@attack("statistics added by ANALYZE", refused=False)
def _(log):
    log.plain("ANALYZE")


@attack("newest acts in the write-ahead file, as after a kill", refused=False)
def _(log):
    log.unmerged()


@attack("one bit turned in the middle of the write-ahead file")
def _(log):
    log.unmerged()
    flip(log.beside("-wal"), 32 + 24 + 100)


@attack("one bit turned in the write-ahead file's last frame")
def _(log):
    log.unmerged()
    flip(log.beside("-wal"), log.beside("-wal").stat().st_size - 50)


@attack("the write-ahead file removed")
def _(log):
    log.unmerged()
    log.beside("-wal").unlink()


@attack("the write-ahead file cut by one frame")
def _(log):
    log.unmerged()
    wal = log.beside("-wal")
    wal.write_bytes(wal.read_bytes()[: -(24 + 4096)])


@attack("one bit turned in a page of entries")
def _(log):
    text = log.path.read_bytes()
    flip(log.path, text.index(b'"kind":"review.ruled"') + 8)


@attack("the log cut to half its pages")
def _(log):
    text = log.path.read_bytes()
    log.path.write_bytes(text[: len(text) // 8192 * 4096])


@attack("an older copy of the log put back")
def _(log):
    head = log.beside(".head").read_bytes()
    older = log.path.read_bytes()
    _, rows = log.entries()
    record = next(json.loads(line)["id"] for line in exported(log))
    done = run(log.data, ["log", "grade", record, str(log.path), "--call", "correct call"])
    assert done[0] == 0, done
    assert log.beside(".head").read_bytes() != head
    log.path.write_bytes(older)
    for suffix in ["-wal", "-shm"]:
        log.beside(suffix).unlink(missing_ok=True)


@attack("the log copied without its head", refused=False)
def _(log):
    log.beside(".head").unlink()


@attack("the head damaged", refused=False)
def _(log):
    log.beside(".head").write_text("{}")


@attack("the newest entry removed and the head damaged, seen by an exported head alone", refused=False)
def _(log):
    _, rows = log.entries()
    log.put(rows[:-1])
    log.beside(".head").write_text("{}")


@attack("a ruling edited, hashes made anew, the head taken away")
def _(log):
    log.put(rechained(log))
    log.beside(".head").unlink()


def exported(log):
    code, out, err = run(log.data, ["log", "export", "demo"])
    assert code == 0, err
    return out.splitlines()


def said(code, out, err):
    text = (err if code == 2 else out).strip().splitlines()
    line = next((line for line in text if not line.startswith("note")), "")
    return code, line.removeprefix("error: ")


def main():
    with tempfile.TemporaryDirectory() as folder:
        whole = Log(Path(folder) / "whole")
        code, _, err = run(whole.data, ["demo", "--no-window"])
        assert code == 0, err
        first = json.loads(exported(whole)[0])
        wrong = 0
        print("| attack | what `log verify` says | status of " + ", ".join(f"`{name}`" for name in COMMANDS) + " |")
        print("| --- | --- | --- |")
        for number, (name, refused, act) in enumerate(ATTACKS):
            log = Log(Path(folder) / f"attacked-{number}")
            shutil.copytree(whole.data, log.data)
            act(log)
            codes, verify = [], ""
            for command, words in COMMANDS.items():
                # Each command meets the log as the attack left it.
                copy = Log(Path(folder) / "copy")
                shutil.copytree(log.data, copy.data)
                out = copy.data / "out"
                names = {"OUT": str(out), "REVIEW": first["review"], "RECORD": first["id"], "LOG": str(copy.path)}
                code, line = said(*run(copy.data, [names.get(word, word) for word in words]))
                if command == "verify":
                    verify = line.replace(str(copy.path), "log.sqlite").replace("|", "\\|")
                codes.append(code)
                if (code != 0) != refused or (refused and out.exists()):
                    wrong += 1
                    print(f"{name}: `{command}` ends with {code}: {line}", file=sys.stderr)
                shutil.rmtree(copy.data)
            shutil.rmtree(log.data)
            print(f"| {name} | {verify} | {' '.join(map(str, codes))} |")
        print(f"{len(ATTACKS)} logs, {wrong} answers other than expected", file=sys.stderr)
    sys.exit(1 if wrong else 0)


main()
