#!/usr/bin/env python3
"""Forges certificates in every way, one field at a time, and says what the checker does not find.

forge_certificate.py FILE [all]  (each line of FILE is one good certificate)

Every value of a certificate is changed, dropped, given twice, moved or made null, and every object is given a field
more. Each forgery is checked as if the desk's own key had signed it: what is wrong must be found from what the
entries say under their own signatures, and the answer must name the field. A signature takes Python ten
milliseconds, so those of the certificates are taken as good here and those of the entries are remembered.

Every item of a list is dropped, given twice and moved; of long lists, whose items are alike, the first three and the last
are changed, with their fields, or with "all" every item.
"""
import json
import re
import sys

import check_certificate as checker

# Its entries had no numbers: an event that is left out, and the place of the last entry in the log, are vouched for by
# the certificate's signature alone.
FORM_1_CANNOT_SHOW = re.compile(r"entries\[\d+\] dropped|entries\[\d+\]\.seq changed to \d+")


def changed(value):
    """Other values of the same type."""
    if isinstance(value, bool):
        return [not value]
    if isinstance(value, (int, float)):
        return [value + 1, -value - 1]
    if isinstance(value, str):
        return [value + "0", value[:-1] + ("1" if value[-1:] != "1" else "2"), ""] if value else ["0"]
    if isinstance(value, list):
        return [value + ["x"], []] if value else [["x"]]
    if isinstance(value, dict):
        return [value | {"not a field": True}, {}] if value else [{"not a field": True}]
    return [0, "x", False]


def forgeries(holder, key, path, deep=True):
    """Makes each forgery of holder[key] in place, or moves it only, yields where and how, and takes it back."""
    value = holder[key]
    for new in changed(value) + ([None] if value is not None else []) if deep else []:
        holder[key] = new
        yield path, "null" if new is None else "changed to %s" % json.dumps(new)[:60]
    holder[key] = value
    if isinstance(holder, dict):
        del holder[key]
        yield path, "dropped"
        holder[key] = value
    else:
        yield from reordered(holder, key, path)
    if not deep:
        return
    if isinstance(value, dict):
        for name in sorted(value):
            yield from forgeries(value, name, ("%s.%s" % (path, name)).lstrip("."), deep)
    elif isinstance(value, list):
        for item in range(len(value)):
            sampled = item < 3 or item == len(value) - 1 or "all" in sys.argv[2:]
            yield from forgeries(value, item, "%s[%d]" % (path, item), sampled)


def reordered(holder, at, path):
    """Drops an item of a list, gives it twice, and changes its place with the next one that differs."""
    value = holder[at]
    del holder[at]
    yield path, "dropped"
    holder.insert(at, value)
    holder.insert(at, value)
    yield path, "given twice"
    del holder[at]
    other = next((other for other in range(at + 1, len(holder)) if holder[other] != value), None)
    if other is not None:
        holder[at], holder[other] = holder[other], value
        yield path, "moved to %d" % other
        holder[at], holder[other] = value, holder[at]


def renumbered(one):
    """Gives the entries the numbers that they should have, as a forger would who knows the format."""
    number = 0
    for entry in one["entries"]:
        event = json.loads(entry["text"])["kind"]
        numbered = event.startswith("review.") and event != "review.begun"
        entry["number"], number = (number, number + 1) if numbered else (None, number)
    one["events"] = number


def cunning(one):
    """Forgeries that leave no wrong number behind: an event left out, given twice or moved, and all counted anew."""
    whole = one["entries"]
    numbers = [json.loads(entry["text"]).get("number") for entry in whole]
    last = max((at for at, number in enumerate(numbers) if number is not None), default=None)
    for at, number in enumerate(numbers):
        if number is None:
            continue
        ways = [("left out", whole[:at] + whole[at + 1 :]), ("given twice", whole[: at + 1] + whole[at:])]
        if at + 1 < len(whole) and numbers[at + 1] is not None:
            ways.append(("moved", whole[:at] + [whole[at + 1], whole[at]] + whole[at + 2 :]))
        for how, entries in ways:
            if at == last and how == "left out":
                continue  # A review that has come less far: `events` and `records` say how far, and both are the signer's.
            one["entries"] = [dict(entry) for entry in entries]
            renumbered(one)
            yield "entries[%d]" % at, how + ", and all counted anew"
    one["entries"] = whole
    renumbered(one)


def main():
    tried, missed, memory, genuine = 0, [], {}, checker.signed

    def signed(key, message, signature):
        if message.startswith(b"tellframe certificate "):
            return True
        if (key, message, signature) not in memory:
            memory[key, message, signature] = genuine(key, message, signature)
        return memory[key, message, signature]

    checker.signed = signed
    with open(sys.argv[1], encoding="utf-8") as file:
        lines = [line.rstrip("\n") for line in file]
    for number, line in enumerate(lines):
        holder = json.loads(line)
        one, key = holder["certificate"], holder["key"]
        form, ways = one["form"], [forgeries(holder, "certificate", "")]
        if form == 2:
            ways.append(cunning(one))
        for path, how in (forgery for way in ways for forgery in way):
            if form == 1 and FORM_1_CANNOT_SHOW.fullmatch("%s %s" % (path, how)):
                continue
            tried += 1
            try:
                wrong = checker.compared(holder.get("certificate"), key)
            except Exception as error:
                wrong = ["%s" % error]
            field = path.split(".")[0].split("[")[0]
            if not any(field in what for what in wrong):
                what = "; ".join(wrong) or "good"
                missed.append("certificate %d: %s %s: %s" % (number + 1, path or "the whole", how, what))
        if holder != json.loads(line) or checker.check(line):
            missed.append("certificate %d is not what it was: %s" % (number + 1, checker.check(line)))
    print("%d forgeries of %d certificates, %d not found" % (tried, len(lines), len(missed)))
    print("\n".join(missed[:40]), file=sys.stderr)
    return 1 if missed or not tried else 0


if __name__ == "__main__":
    sys.exit(main())
