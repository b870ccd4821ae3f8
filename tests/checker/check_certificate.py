#!/usr/bin/env python3
"""Checks certificates of rulings: check_certificate.py FILE…  (each line of a FILE is one certificate)

Written from the description of the format (docs/certificate.md) and of the rule books (docs/rule-books.md), and
from nothing else: it shares no code with the program whose rulings it checks. Python's standard library suffices.
Prints one line a certificate; the status is 0 if all are good, 1 if one is not, 2 if a file cannot be read.
"""
import datetime
import hashlib
import itertools
import json
import re
import sys

# --- Ed25519 (RFC 8032, section 5.1), verification only; points are x, y, z, t with x = X/Z, y = Y/Z, xy = T/Z.
P = 2**255 - 19
L = 2**252 + 27742317777372353535851937790883648493
D = -121665 * pow(121666, P - 2, P) % P
I = pow(2, (P - 1) // 4, P)


def plus(p, q):
    a, b = (p[1] - p[0]) * (q[1] - q[0]) % P, (p[1] + p[0]) * (q[1] + q[0]) % P
    c, d = 2 * p[3] * q[3] * D % P, 2 * p[2] * q[2] % P
    e, f, g, h = b - a, d - c, d + c, b + a
    return e * f % P, g * h % P, f * g % P, e * h % P


def times(number, point):
    total = (0, 1, 1, 0)
    while number:
        if number & 1:
            total = plus(total, point)
        point, number = plus(point, point), number >> 1
    return total


def point(code):
    y = int.from_bytes(code, "little")
    sign, y = y >> 255, y & (1 << 255) - 1
    x2 = (y * y - 1) * pow(D * y * y + 1, P - 2, P) % P
    x = pow(x2, (P + 3) // 8, P)
    if (x * x - x2) % P:
        x = x * I % P
    if y >= P or (x * x - x2) % P or (x == 0 and sign):
        return None
    if x & 1 != sign:
        x = P - x
    return x, y, 1, x * y % P


BASE = point((4 * pow(5, P - 2, P) % P).to_bytes(32, "little"))


def signed(key, message, signature):
    """Whether `signature` (64 bytes) over `message` is that of `key` (32 bytes)."""
    a, r, s = point(key), point(signature[:32]), int.from_bytes(signature[32:], "little")
    if len(signature) != 64 or a is None or r is None or s >= L:
        return False
    k = int.from_bytes(hashlib.sha512(signature[:32] + key + message).digest(), "little") % L
    left, right = times(s, BASE), plus(r, times(k, a))
    return not ((left[0] * right[2] - right[0] * left[2]) % P or (left[1] * right[2] - right[1] * left[2]) % P)


# --- RON, as far as rule books are written in it. Name(a: b, c) becomes Form(name, [c], {a: b}).
class Form:
    def __init__(self, name, items, fields):
        self.name, self.items, self.fields = name, items, fields

    def __eq__(self, other):
        return isinstance(other, Form) and vars(self) == vars(other)

    def __getitem__(self, field):
        return self.fields[field]

    def get(self, field, default=None):
        return self.fields.get(field, default)


TOKEN = re.compile(r'\s+|//[^\n]*|/\*.*?\*/|("(?:\\.|[^"\\])*")|([A-Za-z_]\w*)|(-?[\d.]+)|([(){}\[\]:,])', re.S)


def ron(text):
    tokens, at = [], 0
    while at < len(text):
        found = TOKEN.match(text, at)
        if not found:
            raise ValueError("not RON at %r" % text[at : at + 20])
        at = found.end()
        if found.lastindex:
            tokens.append(found.group())
    return value(tokens, 0)[0]


def value(tokens, at):
    token = tokens[at]
    if token[0] == '"':
        return json.loads(token), at + 1
    if token in "[{":
        return listed(tokens, at + 1, "]" if token == "[" else "}")
    if token == "(" or token[0].isalpha() or token[0] == "_":
        name, at = ("", at) if token == "(" else (token, at + 1)
        if name in ("true", "false"):
            return name == "true", at
        if at == len(tokens) or tokens[at] != "(":
            return Form(name, [], {}), at
        items, fields, at = [], {}, at + 1
        while tokens[at] != ")":
            if tokens[at + 1] == ":":
                fields[tokens[at]], at = value(tokens, at + 2)
            else:
                item, at = value(tokens, at)
                items.append(item)
            at += tokens[at] == ","
        return Form(name, items, fields), at + 1
    return float(token), at + 1


def listed(tokens, at, end):
    items, pairs = [], {}
    while tokens[at] != end:
        item, at = value(tokens, at)
        if tokens[at] == ":":
            pairs[item], at = value(tokens, at + 1)
        else:
            items.append(item)
        at += tokens[at] == ","
    return (pairs if end == "}" else items), at + 1


# --- Settling and outcome.
class Tree:
    """One question of the book, for one call on the field."""

    def __init__(self, tree, call, whistled, flag_on, shares):
        self.start, self.shares = tree["start"], shares
        self.steps = {}
        for name, step in tree["steps"].items():
            options = {"yes": step["yes"], "no": step["no"]} if step.name == "Ask" else step["options"]
            self.steps[name] = {option: (to.name, to.items[0]) for option, to in options.items()}
        self.findings = list(tree["findings"])
        self.includes = {name: found.get("includes") for name, found in tree["findings"].items()}
        self.must_be_proven = tree["calls"][call].get("must_be_proven") is not None
        self.stance, self.restart = {}, {}
        for name, found in tree["findings"].items():
            self.stance[name], self.restart[name] = stance(found, call, whistled, flag_on)

    def possible(self, answers):
        """The findings that can be reached: a step follows its answer, an open one every option."""
        found, steps, todo = set(), set(), [self.start]
        while todo:
            step = todo.pop()
            if step in steps:
                continue
            steps.add(step)
            for option in answers.get(step) or self.steps[step]:
                kind, to = self.steps[step][option]
                found.add(to) if kind == "Find" else todo.append(to)
        return found

    def judge(self, possible):
        """Outcome, and the finding that is stated."""
        ordered = [name for name in self.findings if name in possible]
        kinds = {self.stance[name] for name in ordered}
        only = ordered[0] if len(ordered) == 1 else None
        alike = all(self.restart[name] == self.restart[ordered[0]] for name in ordered)
        if kinds == {"agrees"}:
            return "confirmed", only
        if self.must_be_proven:
            return "reversed", next((name for name in ordered if self.stance[name] == "changes"), None)
        if kinds == {"changes"}:
            if alike:
                return "reversed", ordered[0]
            wide = self.shared(possible)
            return ("reversed", wide) if wide else ("stands", only)
        return "stands", only

    def shared(self, possible):
        """The wider finding that all possible ones are, or include, where the book takes what they share."""
        if not self.shares:
            return None
        for wide in self.findings:
            if self.stance[wide] == "changes" and all(name == wide or self.includes[name] == wide for name in possible):
                return wide
        return None

    def flips(self, given):
        """The smallest sets of given answers whose change could change the outcome, by trying every change."""
        now = self.judge(self.possible(given))[0]
        for size in range(1, len(given) + 1):
            found = []
            for chosen in itertools.combinations(sorted(given), size):
                ways = [[[option] for option in self.steps[step]] + [list(self.steps[step])] for step in chosen]
                tries = (dict(given, **dict(zip(chosen, way))) for way in itertools.product(*ways))
                if any(self.judge(self.possible(answers))[0] != now for answers in tries):
                    found.append(set(chosen))
            if found:
                return found
        return []


def stance(found, call, whistled, flag_on):
    """How a finding stands to a call, and what the game becomes; None leaves it as ruled."""
    effects, whistle = found.get("effects", {}).get(call), found.get("after_whistle", {}).get(call)
    if call in found.get("barred", {}):
        return "barred", None
    if call in found.get("agrees", []):
        return "agrees", effects or None
    if any(effect.name == "Discretion" for effect in effects or []):
        return "barred", None
    part = found.get("agrees_if_on", {}).get(call)
    if part is not None:
        return ("agrees" if flag_on in (None, part.name) else "changes"), effects
    if whistled and whistle is not None:
        return ("barred", None) if whistle.name == "Barred" else ("changes", whistle.items[0])
    return "changes", effects


# --- The certificate.
def check(line):
    """What is wrong with a certificate; an empty list if nothing is."""
    whole = json.loads(line)
    one, key = whole["certificate"], bytes.fromhex(whole["key"])
    # The signature is over the very bytes that stand in the file.
    text = line[len('{"certificate":') : line.rindex(',"key":"')].encode()
    wrong = []

    def must(good, what):
        if not good:
            wrong.append(what)

    must(json.loads(text) == one, "the file is not spelt as a certificate is")
    must(signed(key, b"tellframe certificate 1\n" + text, bytes.fromhex(whole["signature"])), "bad signature")
    must(whole["key"] in one["keys"].values(), "the signer is none of the log's keys")
    must(edition(one["rules"]) == one["edition"], "the rules are not of the edition")
    events = entries(one, must)
    rules = {path: ron(text) for path, text in one["rules"].items()}
    must(events and events[0]["kind"] == "review.begun", "the review does not begin")
    must(events[0]["body"]["edition"] == one["edition"], "the review was held under another edition")
    events = [event for event in events if event["kind"] != "review.begun"]
    ruling(one, rules, events, must)
    timed(one, events, must)
    return wrong


def edition(rules):
    digest = hashlib.sha256()
    for path in sorted(rules):
        for part in (path.encode(), rules[path].replace("\r\n", "\n").encode()):
            digest.update(len(part).to_bytes(8, "big") + part)
    return digest.hexdigest()


def entries(one, must):
    """The entries, each proven: its hash, its signature, its place, what it names."""
    log, before, events = bytes.fromhex(one["log"]), None, []
    for entry in one["entries"]:
        place = "entry %d: " % entry["seq"]
        body = b"tellframe log entry 1\n" + log + bytes.fromhex(entry["previous"]) + entry["text"].encode()
        must(hashlib.sha256(body).hexdigest() == entry["hash"], place + "bad hash")
        key = bytes.fromhex(one["keys"].get(entry["key"], ""))
        must(hashlib.sha256(key).hexdigest()[:16] == entry["key"], place + "unknown key")
        must(signed(key, bytes.fromhex(entry["hash"]), bytes.fromhex(entry["signature"])), place + "bad signature")
        if before and before["seq"] + 1 == entry["seq"]:
            must(entry["previous"] == before["hash"], place + "does not follow")
        must(before is None or before["seq"] < entry["seq"], place + "out of order")
        before, event = entry, json.loads(entry["text"])
        must(event["review"] == one["review"], place + "of another review")
        for blob in event["blobs"]:
            must(blob in one["texts"] or blob in one["stills"], place + "a text is missing")
        if event["kind"].startswith("review."):
            events.append(event)
    for name, text in one["texts"].items():
        salted = b"tellframe blob 1\n" + bytes.fromhex(text["salt"]) + text["text"].encode()
        must(hashlib.sha256(salted).hexdigest() == name, "text %s: bad hash" % name)
    return events


def fold(events):
    """Questions, answers and flags as the events leave them."""
    undone = {event["body"]["act"] for event in events if event["kind"] == "review.undone"}
    standing = [event for number, event in enumerate(events) if number not in undone]
    bodies = lambda kind: [event["body"] for event in standing if event["kind"] == kind]
    answers = {}
    for body in bodies("review.answered"):
        answers.setdefault(body["question"], {})[body["step"]] = body["options"]
    flags = bodies("review.flagged")
    return bodies("review.asked"), answers, flags[-1]["flags"] if flags else [], bodies


def flag_on(tree, flags):
    """The team of the first flag for a foul that the question can state."""
    lists = [call.get("result", []) for call in tree["calls"].values()]
    for found in tree["findings"].values():
        lists += found.get("effects", {}).values()
    names = {effect["name"] for effects in lists for effect in effects if effect.name == "Foul"}
    return next((flag["by"].capitalize() for flag in flags if flag["name"] in names), None)


def ruling(one, rules, events, must):
    """The ruling once more: from the answers alone, under the rules."""
    asked, answers, flags, bodies = fold(events)
    ruled, labels = bodies("review.ruled")[-1], rules["book.ron"]["replay"]["labels"]
    shares = rules["book.ron"]["replay"]["unproven"].name == "Shared"
    must(ruled["edition"] == one["edition"], "ruled under another edition")
    must(len(asked) == len(ruled["questions"]) == len(one["flips"]), "not every question was ruled")
    won = False
    for number, (question, found) in enumerate(zip(asked, ruled["questions"])):
        place = "question %d: " % (number + 1)
        raw, given = rules[question["tree"] + ".ron"], answers.get(number, {})
        tree = Tree(raw, question["call"], question["whistle"] is not None, flag_on(raw, flags), shares)
        possible = tree.possible(given)
        outcome, finding = tree.judge(possible)
        must((found["tree"], found["call"]) == (question["tree"], question["call"]), place + "another one was ruled")
        must(set(found["possible"]) == possible, place + "possible: %s, ruled %s" % (possible, found["possible"]))
        must(found["label"] == labels[outcome], place + "outcome: %s, ruled %s" % (labels[outcome], found["label"]))
        must(found["finding"] == finding, place + "finding: %s, ruled %s" % (finding, found["finding"]))
        flips, said = tree.flips(given), [set(steps) for steps in one["flips"][number]]
        must(all(steps in said for steps in flips) and len(said) == len(flips), place + "flips: %s, said %s" % (flips, said))
        won |= outcome == "reversed" and question["entry"] == "challenged" and not found["moot"]
    initiator = bodies("review.called")[0]["initiator"]
    must(ruled["won"] == (won if "coach" in initiator else None), "whether the coach won")


PHASES = {"opened": "review.read-back", "first look": "review.looked", "first mark": "review.marked"}
PHASES |= {"settled": "review.settled", "ruled": "review.ruled", "announced": "review.announced"}
PHASES |= {"cut short": "review.cut-short"}


def since(at, called):
    """Seconds from the call, and whether the wall clock alone tells them: the machine was started anew in between."""
    utc = lambda stamp: datetime.datetime.fromisoformat(stamp["utc"].replace("Z", "+00:00"))
    anew = at["boot"] != called["boot"]
    ms = (utc(at) - utc(called)) // datetime.timedelta(milliseconds=1) if anew else at["boot_ms"] - called["boot_ms"]
    return (None, False) if ms < 0 else (ms / 1000, anew)


def timed(one, events, must):
    """The times of the records once more, from the stamps of the events."""
    first = {}
    for event in events:
        first.setdefault(event["kind"], event["at"])
    over, cut = first.keys() & {"review.announced", "review.cut-short"}, "review.cut-short" in first
    told = {name: since(first[kind], first["review.called"]) for name, kind in PHASES.items() if kind in first}
    seconds = {name: told.get(name, (None, False))[0] for name in PHASES}
    duration, anew = seconds["cut short" if cut else "announced"], [name for name in told if told[name][1]]
    del seconds["cut short"]
    asked = sum(event["kind"] == "review.asked" for event in events)
    must(len(one["records"]) == (asked if over else 0), "not one record a question")
    for number, record in enumerate(one["records"]):
        place = "record %d: " % (number + 1)
        must(record["cut_short"] == cut, place + "cut short or not")
        must(record["phases_s"] == seconds, place + "phases: %s, said %s" % (seconds, record["phases_s"]))
        must(record["duration_s"] == duration, place + "duration: %s, said %s" % (duration, record["duration_s"]))
        must(record["by_wall_clock"] == anew, place + "by wall clock: %s, said %s" % (anew, record["by_wall_clock"]))


def main():
    bad = 0
    for path in sys.argv[1:]:
        try:
            with open(path, encoding="utf-8", newline="") as file:
                lines = [line.rstrip("\n") for line in file if line.strip()]
        except OSError as error:
            print("error: %s" % error, file=sys.stderr)
            return 2
        for number, line in enumerate(lines):
            try:
                wrong = check(line)
            except (ValueError, KeyError, IndexError, TypeError, AttributeError, StopIteration) as error:
                wrong = ["it cannot be read: %r" % error]
            bad += bool(wrong)
            print("%s:%d: %s" % (path, number + 1, "; ".join(wrong) or "good"))
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
