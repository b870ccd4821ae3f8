#!/usr/bin/env python3
"""Checks certificates of rulings: check_certificate.py [--key KEY] FILE…  (each line of a FILE is one certificate)

Written from the description of the format (docs/certificate.md) and of the rule books (docs/rule-books.md), and
from nothing else: it shares no code with the program whose rulings it checks. Python's standard library suffices.

Prints one line a certificate. Anybody can make a certificate with a key of their own, so a certificate is only as
good as its key: with --key (64 hex digits, or a file that holds them) it must be signed by that key; without it the
line names the key, for you to compare with the one that the league publishes.

The status is 0 if all certificates are good, 1 if one is not, 2 if a file or a key cannot be read.
"""
import argparse
import datetime
import functools
import hashlib
import itertools
import json
import os
import re
import sys
from fractions import Fraction

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
    if len(key) != 32 or len(signature) != 64 or a is None or r is None or s >= L:
        return False
    if times(8, a)[0] % P == 0:
        return False  # Under a key of small order almost anything is a signature.
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


@functools.lru_cache(maxsize=None)
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

    def __init__(self, tree, call, whistled, flag_on, shares, holds):
        self.start, self.shares = tree["start"], shares
        self.safety = tree.get("safety", False)
        self.steps, self.proof = {}, {}
        for name, step in tree["steps"].items():
            options = {"yes": step["yes"], "no": step["no"]} if step.name == "Ask" else step["options"]
            self.steps[name] = {option: (to.name, to.items[0]) for option, to in options.items()}
            self.proof[name] = step["proof"]
        # The answers that the situation, the play's end or the call leave; the first case that holds counts.
        self.known = {}
        for name, step in tree["steps"].items():
            cases = (case["answers"] for case in step.get("known", []) if all(holds(fact) for fact in case["when"]))
            self.known[name] = next(cases, [])
        self.findings = list(tree["findings"])
        self.includes = {name: found.get("includes") for name, found in tree["findings"].items()}
        self.dead_at = {name: found.get("dead_at") for name, found in tree["findings"].items()}
        self.must_be_proven = tree["calls"][call].get("must_be_proven") is not None
        self.stance, self.restart = {}, {}
        for name, found in tree["findings"].items():
            self.stance[name], self.restart[name] = stance(found, call, whistled, flag_on)
        # Those that find the foul by the other team than the flag is on.
        self.moves = {name for name, found in tree["findings"].items()
                      if call in found.get("agrees_if_on", {}) and self.stance[name] == "changes"}

    def moments(self):
        """The moments that its steps ask about, but the snap, which comes before everything."""
        for proof in self.proof.values():
            named = proof.get("moments", []) + [proof.get(field) for field in ("first", "then", "at", "from", "to")]
            yield from (moment for moment in named if moment not in (None, "snap"))

    def possible(self, answers):
        """The findings that can be reached: a step follows its answer, an open one every option."""
        found, steps, todo = set(), set(), [self.start]
        while todo:
            step = todo.pop()
            if step in steps:
                continue
            steps.add(step)
            for option in self.left(step, answers.get(step)):
                kind, to = self.steps[step][option]
                found.add(to) if kind == "Find" else todo.append(to)
        return found

    def left(self, step, given):
        """The options that are left at a step: what is known goes before what was answered."""
        known = self.known[step]
        return [option for option in given or [] if not known or option in known] or known or self.steps[step]

    def judge(self, possible):
        """Outcome, the finding that is stated, and why the call stands where it does."""
        ordered = [name for name in self.findings if name in possible]
        kinds = {self.stance[name] for name in ordered}
        only = ordered[0] if len(ordered) == 1 else None
        alike = all(self.restart[name] == self.restart[ordered[0]] for name in ordered)
        if kinds == {"agrees"}:
            return "confirmed", only, None
        if self.must_be_proven and not (alike and set(ordered) <= self.moves):
            away = [name for name in self.findings if self.stance[name] == "changes" and name not in self.moves]
            return "reversed", next((name for name in ordered + away if name in away), None), None
        if kinds == {"changes"}:
            if alike:
                return "reversed", ordered[0], None
            wide = self.shared(possible)
            return ("reversed", wide, None) if wide else ("stands", only, "not-shared")
        if kinds == {"left"}:
            return "stands", only, "left-to-referee"
        if kinds <= {"left", "barred"}:
            return "stands", only, "barred"
        return "stands", only, "not-proven" if "agrees" in kinds else "not-shared"

    def established(self, possible):
        """Whether the video has established that the call is right, or that it is wrong."""
        kinds = {self.stance[name] for name in possible}
        return kinds == {"agrees"} or "agrees" not in kinds

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
        ordered = [step for step in self.steps if given.get(step) and len(self.known[step]) != 1]
        for size in range(1, len(ordered) + 1):
            found = []
            for chosen in itertools.combinations(ordered, size):
                ways = [[[option] for option in self.steps[step]] + [list(self.steps[step])] for step in chosen]
                tries = (dict(given, **dict(zip(chosen, way))) for way in itertools.product(*ways))
                if any(self.judge(self.possible(answers))[0] != now for answers in tries):
                    found.append(list(chosen))
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
        return "left", None
    part = found.get("agrees_if_on", {}).get(call)
    if part is not None:
        return ("agrees" if flag_on in (None, part.name) else "changes"), effects
    if whistled and whistle is not None:
        return ("barred", None) if whistle.name == "Barred" else ("changes", whistle.items[0])
    return "changes", effects


# --- The spelling: one line of canonical JSON (RFC 8785), of one of two forms.
SPELT = re.compile(r'\{"certificate":(\{.*\}),"key":"([0-9a-f]{64})","signature":"([0-9a-f]{128})"\}', re.S)
HEX16, HEX32, HEX64, HEX128 = (re.compile("[0-9a-f]{%d}" % digits) for digits in (16, 32, 64, 128))
ENTRY = {"previous": HEX64, "hash": HEX64, "text": str, "key": HEX16, "signature": HEX128}
COMMON = {"form": int, "log": HEX32, "review": str, "book": str, "edition": HEX64, "rules": (str, str)}
COMMON |= {"keys": (HEX16, HEX64), "texts": (HEX64, {"salt": HEX64, "text": str}), "stills": [HEX64]}
COMMON |= {"records": list, "flips": [[[str]]]}
FORMS = {
    1: COMMON | {"entries": [ENTRY | {"seq": int}]},
    2: COMMON | {"entries": [ENTRY | {"number": "an event's number or null"}], "events": int},
}
# The newest form of a body that this checker knows, where it is not the first.
BODIES = {"review.answered": 2, "review.marked": 4, "review.ruled": 2, "review.read-back": 5}
# The engine whose rulings are worked out again in full; of others the outcome and what follows from it.
ENGINE = 6


def shape(wanted, found, path):
    """Where a value is not of the shape that is wanted: a type, a pattern, a list, a map, or an object's fields."""
    if wanted == "an event's number or null":
        if found is not None:
            yield from shape(int, found, path)
    elif isinstance(wanted, re.Pattern):
        if not isinstance(found, str) or not wanted.fullmatch(found):
            yield "%s: not lower-case hex digits: %r" % (path, found)
    elif isinstance(wanted, type):
        if type(found) is not wanted or wanted is int and found < 0:
            yield "%s: not of its type: %r" % (path, found)
    elif isinstance(found, dict) != isinstance(wanted, (dict, tuple)) or isinstance(found, list) != isinstance(wanted, list):
        yield "%s: not of its type: %r" % (path, found)
    elif isinstance(wanted, list):
        for number, item in enumerate(found):
            yield from shape(wanted[0], item, "%s[%d]" % (path, number))
    elif isinstance(wanted, tuple):
        for name, item in found.items():
            yield from shape(wanted[0], name, path)
            yield from shape(wanted[1], item, within(path, name))
    else:
        yield from ("%s: missing" % within(path, name) for name in wanted if name not in found)
        for name, item in found.items():
            if name in wanted:
                yield from shape(wanted[name], item, within(path, name))
            else:
                yield "%s: a certificate of this form has no such field" % within(path, name)


def within(path, name):
    return "%s.%s" % (path, name) if path else name


def canonical(value):
    """The one spelling of a value."""
    if isinstance(value, dict):
        names = sorted(value, key=lambda name: name.encode("utf-16-be"))
        return "{%s}" % ",".join("%s:%s" % (canonical(name), canonical(value[name])) for name in names)
    if isinstance(value, list):
        return "[%s]" % ",".join(map(canonical, value))
    if isinstance(value, float):
        if value.is_integer() and abs(value) < 1e21:
            return str(int(value))
        # Python's exponents begin earlier than those of JSON, and have two digits.
        return plain(value) if 1e-6 <= abs(value) < 1e-4 else re.sub(r"e([+-])0+", r"e\1", repr(value))
    return json.dumps(value, ensure_ascii=False)


def plain(value):
    """A number such as 1.5e-05 without its exponent: 0.000015."""
    digits, exponent = repr(abs(value)).split("e-")
    return "-" * (value < 0) + "0." + "0" * (int(exponent) - 1) + digits.replace(".", "")


def refused(constant):
    raise ValueError("%s is no number" % constant)


def differences(wanted, found, path):
    """Where a value is not the one that was worked out."""
    if isinstance(wanted, dict) and isinstance(found, dict):
        for name in sorted(wanted.keys() | found.keys()):
            place = within(path, name)
            if name not in found:
                yield "%s: missing; the events give %s" % (place, shown(wanted[name]))
            elif name not in wanted:
                yield "%s: the events give no such field" % place
            else:
                yield from differences(wanted[name], found[name], place)
    elif isinstance(wanted, list) and isinstance(found, list) and len(wanted) == len(found):
        for number, pair in enumerate(zip(wanted, found)):
            yield from differences(*pair, "%s[%d]" % (path, number))
    elif isinstance(wanted, bool) != isinstance(found, bool) or wanted != found:
        yield "%s: %s, the events give %s" % (path, shown(found), shown(wanted))


def shown(value):
    text = json.dumps(value, ensure_ascii=False)
    return text if len(text) <= 200 else text[:200] + "…"


# --- The certificate.
def check(line, trusted=()):
    """What is wrong with a certificate; an empty list if nothing is."""
    spelt = SPELT.fullmatch(line)
    if not spelt:
        return ["the file is not spelt as a certificate is: certificate, key and signature, in lower-case hex digits"]
    text, key, signature = spelt.groups()
    one = json.loads(text, parse_constant=refused)
    wrong = compared(one, key)
    if canonical(one) != text:
        wrong.append("the certificate is not spelt in canonical JSON")
    # The signature is over the very bytes that stand in the file.
    message = b"tellframe certificate %d\n" % (2 if one.get("form") == 2 else 1) + text.encode()
    if not signed(bytes.fromhex(key), message, bytes.fromhex(signature)):
        wrong.append("signature: not one by `key` over `certificate`")
    if trusted and key not in trusted:
        wrong.append("key: signed by %s, which is not the key that was given" % key)
    return wrong


def compared(one, key):
    """What is wrong in a certificate that `key` signed, by what its entries say under their own signatures."""
    form = one.get("form")
    if type(form) is not int or form not in FORMS:
        return ["form: %r; this checker reads forms 1 and 2" % (form,)]
    wrong = list(shape(FORMS[form], one, ""))
    if wrong:
        return wrong

    def must(good, what):
        if not good:
            wrong.append(what)

    must(edition(one["rules"]) == one["edition"], "edition: not that of `rules`")
    events = entries(one, key, must)
    if not wrong:  # The rest reads what was signed, and compares.
        story = Story(one, events)
        ruling(one, story, must)
        wrong += differences(story.records(), one["records"], "records")
    return wrong


def edition(rules):
    digest = hashlib.sha256()
    for path in sorted(rules):
        for part in (path.encode(), rules[path].encode()):
            digest.update(len(part).to_bytes(8, "big") + part)
    return digest.hexdigest()


def entries(one, signer, must):
    """The events, `review.begun` first, each entry proven: its hash, its signature, its place, what it names."""
    keys_named(one, signer, must)
    if not all([proven(one, at, entry, must) for at, entry in enumerate(one["entries"])]):
        return []
    read = [json.loads(entry["text"]) for entry in one["entries"]]
    hashes = [entry["hash"] for entry in one["entries"]]
    must(len(set(hashes)) == len(hashes), "entries: one of them stands there twice")
    # Of form 2 the erasures come last, wherever they stand in the log.
    chained = [hash for hash, event in zip(hashes, read) if one["form"] == 1 or event["kind"] != "erased"]
    events, others = [], []
    for at, (entry, event) in enumerate(zip(one["entries"], read)):
        place = "entries[%d]" % at
        linked = entry["previous"] not in chained or at > 0 and entry["previous"] == hashes[at - 1]
        must(linked or event["kind"] == "erased", place + ".previous: entries are out of order")
        known = event["form"] in (1, 2) and event["body"].get("form", 1) <= BODIES.get(event["kind"], 1)
        must(known, place + ".text: of a newer form than this checker reads")
        must(("number" in event) == (event["form"] == 2), place + ".text: a number and form 2 go together")
        if event["kind"].startswith("review."):
            must(not others or one["form"] == 1, place + ": entries are out of order")
            numbered(entry, event, len(events) - 1, place, must)
            events.append(event)
        else:
            must(one["form"] == 1 or event["kind"] == "erased", place + ".text: neither an event nor an erasure")
            must(entry.get("number") is None, place + ".number: an erasure has none")
            others.append(event)
        if one["form"] == 1 or event["kind"] != "erased":
            must(event["review"] == one["review"], place + ".text: of another review than `review`")
    seqs = [entry["seq"] for entry in one["entries"] if one["form"] == 1]
    must(all(low < high for low, high in zip(seqs, seqs[1:])), "entries: `seq` does not rise")
    must(one["form"] == 1 or one["events"] == len(events) - 1, "events: not as many as `entries` holds")
    return begun(one, events, must) and beside(one, read, events, others, must)


def proven(one, at, entry, must):
    """Whether an entry is what its desk hashed and signed."""
    log, previous, text = bytes.fromhex(one["log"]), bytes.fromhex(entry["previous"]), entry["text"].encode()
    hashed = hashlib.sha256(b"tellframe log entry 1\n" + log + previous + text).hexdigest() == entry["hash"]
    must(hashed, "entries[%d].hash: not that of `log`, `previous` and `text`" % at)
    key = bytes.fromhex(one["keys"].get(entry["key"], ""))
    good = signed(key, bytes.fromhex(entry["hash"]), bytes.fromhex(entry["signature"]))
    must(good, "entries[%d].signature: not one by its `key`, of `keys`, over its `hash`" % at)
    return hashed


def begun(one, events, must):
    """Whether the review begins, is called for, and is ruled, each once."""
    kinds = [event["kind"] for event in events]
    counts = [kinds.count("review." + kind) for kind in ("begun", "called", "ruled")]
    good = kinds[:2] == ["review.begun", "review.called"] and counts == [1, 1, 1]
    must(good, "entries: a review begins, is called for, and is ruled, each once: %s" % kinds)
    if good:
        body = events[0]["body"]
        must(body["edition"] == one["edition"], "edition: the review was held under another one")
        must(body["book"] == one["book"], "book: the review was held under %s" % shown(body["book"]))
    return good


def keys_named(one, signer, must):
    """Each key has its own short name, and the signer's is among them; of form 2 each has signed something here."""
    for name, key in one["keys"].items():
        must(hashlib.sha256(bytes.fromhex(key)).hexdigest()[:16] == name, "keys.%s: not the short name of its key" % name)
    must(signer in one["keys"].values(), "keys: the signer is none of the log's keys")
    used = {entry["key"] for entry in one["entries"]} | {hashlib.sha256(bytes.fromhex(signer)).hexdigest()[:16]}
    must(used <= one["keys"].keys(), "keys: the key of an entry is missing")
    must(one["form"] == 1 or used == one["keys"].keys(), "keys: a key that signed nothing here")


def numbered(entry, event, number, place, must):
    """The number of an event within the review, which an entry of form 2 has under its own signature."""
    number = None if event["kind"] == "review.begun" else number
    must(event.get("number", number) == number, place + ".text: another event should stand here, of number %s" % number)
    if "seq" not in entry:
        must(entry["number"] == number, place + ".number: event %s stands here" % number)


def beside(one, read, events, others, must):
    """Every text that an entry names is there, or erased by an entry; every still is named; nothing else is there."""
    for name, text in one["texts"].items():
        salted = b"tellframe blob 1\n" + bytes.fromhex(text["salt"]) + text["text"].encode()
        must(hashlib.sha256(salted).hexdigest() == name, "texts.%s: not the hash of its salt and text" % name)
    named = [name for event in read for name in event["blobs"]]
    must(one["texts"].keys() <= set(named), "texts: no entry names one of them")
    left = [name for name in named if name not in one["texts"]]
    must(one["stills"] == left, "stills: not what the entries name besides `texts`: %s" % shown(left))
    if one["form"] == 2:
        gone = [name for event in events for name in reasons(event) if name not in one["texts"]]
        erased = [event["body"].get("blob") for event in others]
        must(erased == gone, "texts, entries: not every text is there or was erased by an entry: %s" % shown(gone))
    return events


def reasons(event):
    """The names of the texts that a person wrote freely."""
    body = event["body"]
    if event["kind"] == "review.ruled":
        return [done["reason"] for done in body["overrides"]]
    kinds = ("review.looked", "review.answered", "review.amended", "review.cut-short")
    return [body["reason"]] if event["kind"] in kinds and body["reason"] is not None else []


# --- What the events come to.
class Story:
    """A review as its events leave it."""

    def __init__(self, one, events):
        self.one, self.begun, self.events = one, events[0], events[1:]
        self.rules = {path: ron(text) for path, text in one["rules"].items()}
        undone = {event["body"]["act"] for event in self.events if event["kind"] == "review.undone"}
        self.standing = [event for number, event in enumerate(self.events) if number not in undone]
        self.called = self.of("called")[0]
        self.asked = self.of("asked")
        self.flags = (self.of("flagged") or [{"flags": []}])[-1]["flags"]
        self.ruled = self.of("ruled")[-1]
        self.cut_short = any(event["kind"] == "review.cut-short" for event in self.events)
        self.over = self.cut_short or any(event["kind"] == "review.announced" for event in self.events)
        self.answers, self.measured = {}, {}
        for body in self.of("answered"):
            place = body["question"], body["step"]
            self.answers[place] = body
            if body["basis"] != "attested":
                computed = body["basis"]["computed"]
                self.measured[place] = computed if body["form"] > 1 else {"verdict": computed, "of": None}
        self.trees = [self.tree(asked) for asked in self.asked]

    def of(self, kind):
        return [event["body"] for event in self.standing if event["kind"] == "review." + kind]

    def tree(self, asked):
        """A question as the rules have it."""
        raw, shares = self.rules[asked["tree"] + ".ron"], self.rules["book.ron"]["replay"]["unproven"].name == "Shared"
        holds = functools.partial(self.holds, asked["call"])
        return Tree(raw, asked["call"], asked["whistle"] is not None, flag_on(raw, self.flags), shares, holds)

    def holds(self, call, fact):
        """Whether a fact that answers a step without a picture is so."""
        at_snap, game = self.called["situation"], self.rules["book.ron"]["game"]
        length = exact(self.rules["book.ron"]["field"]["length"])
        spot, coming = exact(at_snap["spot"]), at_snap["next"]
        down, to_go = 1, length - spot
        if isinstance(coming, dict):
            down, to_go = coming["scrimmage"]["down"], exact(coming["scrimmage"]["to_go"])
        if fact.name == "Down":
            return down == fact.items[0]
        if fact.name == "ToGo":
            at_most, over = fact.get("at_most"), fact.get("over")
            return (at_most is None or to_go <= exact(at_most)) and (over is None or to_go > exact(over))
        if fact.name in ("SnapInside", "SnapOutside"):
            return (length - spot < exact(fact["yards"])) == (fact.name == "SnapInside")
        if fact.name in ("Scrimmage", "Try", "FreeKick"):
            return fact.name == {"try": "Try", "free-kick": "FreeKick"}.get(coming if isinstance(coming, str) else "", "Scrimmage")
        if fact.name == "Period":
            return at_snap["period"] == fact.items[0]
        if fact.name == "LastSeconds":
            return at_snap["period"] in game["halves_end"] and at_snap["clock_ms"] <= fact.items[0] * 1000
        if fact.name == "HadBall":
            return self.had_ball() == fact.items[0].name
        return fact.name == "Call" and fact.items[0] == call

    def had_ball(self):
        """Who had the ball at the end of the play as it was ruled; where no end is known, who snapped, or received a kick."""
        end, put = None, None
        for body in self.of("read-back"):
            end, put = body.get("end"), body["spot"]
        for body in self.of("marked"):
            if body["mark"]["moment"] == "as ruled" and body["x"] is not None:
                put = body["x"]
        if end and (put is None or exact(put) == exact(end["spot"])):
            return "Defense" if end["turnover"] and end["dead_by"] != "incomplete" else "Offense"
        return "Defense" if self.called["situation"]["next"] == "free-kick" else "Offense"

    def given(self, number):
        return {step: body["options"] for (question, step), body in self.answers.items() if question == number}

    def text(self, name):
        return self.one["texts"][name]["text"] if name in self.one["texts"] else "(erased)"

    def clocks(self):
        """What the game clock showed at each moment: as read back, and as marked."""
        clocks = {"as ruled": body["clock_ms"] for body in self.of("read-back")}
        for body in self.of("marked"):
            if body["clock_ms"] is not None:
                clocks[body["mark"]["moment"]] = body["clock_ms"]
        return clocks

    def overrides(self):
        """What was done with a reason; an answer that was revised carries none any more."""
        done = []
        for event in self.standing:
            body = event["body"]
            if event["kind"] == "review.looked":
                done.append(("the look at `%s`" % body["step"], body["reason"]))
            if event["kind"] == "review.answered" and self.answers[body["question"], body["step"]] is body:
                done.append(("the answer to `%s`: %s" % (body["step"], " or ".join(body["options"])), body["reason"]))
        done += [("the restart", body["reason"]) for body in self.of("amended")[-1:]]
        return [{"what": what, "reason": self.text(reason)} for what, reason in done if reason is not None]

    def records(self):
        """One record a question, once the review is over."""
        return [self.record(number) for number in range(len(self.asked))] if self.over else []

    def record(self, number):
        asked, called, one, coach = self.asked[number], self.called, self.one, self.called["initiator"]
        proofs = {step: self.proof(number, step) for step in self.given(number)}
        seconds, duration, anew = times_of(self.events, self.cut_short)
        record = {
            "id": "%s/%d" % (one["review"], number + 1), "review": one["review"], "book": one["book"],
            "edition": one["edition"], "official": self.begun["actor"], "game": called["game"], "week": called["week"],
            "play": called["play"], "initiator": "coach-" + coach["coach"] if isinstance(coach, dict) else coach,
            "situation": situation(called["situation"]), "tree": asked["tree"], "call": asked["call"],
            "whistle": asked["whistle"], "answers": {step: self.answer(number, step) for step in proofs},
            "proofs": proofs, "marks": [mark(body) for body in self.of("marked")], "called_at": self.events[0]["at"]["utc"],
            "phases_s": seconds, "duration_s": duration, "by_wall_clock": anew, "cut_short": self.cut_short,
            "overrides": self.overrides(), "grade": None, "crew_position": None, "review_grade": None, "plain": None,
            "again_of": None,
        }
        if self.flags:
            record["fouls"] = [flag(one) for one in self.flags]
        return record | (NOTHING_RULED if self.cut_short else self.found(number))

    def found(self, number):
        """What the ruling's entry says of a question."""
        ruled, found = self.ruled, self.ruled["questions"][number]
        return {
            "engine": ruled["engine"], "possible": found["possible"], "finding": found["finding"],
            "established": found["established"], "changed": found["outcome"] == "reversed" and not found["moot"],
            "outcome": found["label"], "after": situation(ruled["after"]), "moot": found["moot"], "won": ruled["won"],
        }

    def answer(self, number, step):
        options = self.given(number)[step]
        if len(options) == len(self.trees[number].steps.get(step, ())):
            return "unclear"
        return options[0] if len(options) == 1 else options

    def proof(self, number, step):
        """What an answer rests on; what was measured stands beside what a person said against it."""
        asks, measured = self.trees[number].proof.get(step), self.measured.get((number, step))
        proof = {"kind": asks and asks.name.lower(), "attested": self.answers[number, step]["basis"] == "attested"}
        if not measured:
            return proof
        verdict = measured["verdict"]
        for word, body in verdict.items() if isinstance(verdict, dict) else [(verdict, {})]:
            proof["verdict"] = word
            if body.get("probability") is not None:
                proof["probability"] = body["probability"]
        for kind, quantity in (measured["of"] or {}).items():
            proof |= quantity | {"kind": proof["kind"] or kind}
        return proof


# A ruling that was never announced ruled no game.
NOTHING_RULED = {"engine": None, "possible": [], "finding": None, "established": None, "changed": None}
NOTHING_RULED |= {"outcome": "cut short", "after": None, "moot": False, "won": None}


def exact(number):
    """A number of yards, as written: `38.5`, or a fraction in quotes."""
    return Fraction(str(number))


def yards(text):
    """Exact yards: a number where a decimal says it exactly, else the text."""
    if "/" in text:
        return text
    if "." not in text:
        return int(text)
    return float(text) if Fraction(repr(float(text))) == Fraction(text) else text


def situation(body):
    """A situation as records have it."""
    found = {name: body[name] for name in ("period", "clock_running", "offense", "attacks", "score", "timeouts")}
    found |= {"clock_s": body["clock_ms"] / 1000, "spot": yards(body["spot"]), "challenges": body["challenges"]}
    if body["play_clock_s"] is not None:
        found["play_clock_s"] = body["play_clock_s"]
    if isinstance(body["next"], dict):
        down = body["next"]["scrimmage"]
        return found | {"next": "scrimmage", "down": down["down"], "to_go": yards(down["to_go"])}
    return found | {"next": body["next"].replace("-", " ")}


def flag(body):
    spot, clock = body["spot"], body.get("clock_ms")
    found = {"name": body["name"], "by": body["by"], "dead": body["dead"]}
    return found | {"spot": None if spot is None else yards(spot), "clock_s": None if clock is None else clock / 1000}


def mark(body):
    """A typed mark names the picture as a person read it, so it is not exact."""
    shot = body.get("shot") or {}
    found = dict(body["mark"], exact=shot.get("exact", False))
    if body["x"] is not None:
        found["x"] = yards(body["x"])
    if body["clock_ms"] is not None:
        found["clock_s"] = body["clock_ms"] / 1000
    if shot.get("still") is not None:
        found["still"] = shot["still"]
    return found


def flag_on(tree, flags):
    """The team of the first flag for a foul that the question can state."""
    lists = [call.get("result", []) for call in tree["calls"].values()]
    for found in tree["findings"].values():
        lists += found.get("effects", {}).values()
    names = {effect["name"] for effects in lists for effect in effects if effect.name == "Foul"}
    return next((flag["by"].capitalize() for flag in flags if flag["name"] in names), None)


def ruling(one, story, must):
    """The ruling once more: from the answers alone, under the rules."""
    ruled, replay = story.ruled, story.rules["book.ron"]["replay"]
    must(ruled["edition"] == one["edition"], "edition: ruled under another one")
    must(len(ruled["questions"]) == len(story.asked), "entries: not every question was ruled")
    must(len(one["flips"]) == len(story.asked), "flips: not one list a question")
    if len(ruled["questions"]) != len(story.asked) or len(one["flips"]) != len(story.asked):
        return
    judged = [tree.judge(tree.possible(story.given(number))) for number, tree in enumerate(story.trees)]
    moot = moot_of(story.trees, judged, story.clocks())
    won = False
    for number, (asked, found, tree) in enumerate(zip(story.asked, ruled["questions"], story.trees)):
        place, possible = "the ruling on question %d: " % (number + 1), tree.possible(story.given(number))
        outcome, finding, why = judged[number]
        wanted = {"tree": asked["tree"], "call": asked["call"], "finding": finding, "label": replay["labels"][outcome]}
        wanted["possible"] = [name for name in tree.findings if name in possible]
        if ruled["engine"] == ENGINE:
            wanted |= {"established": tree.established(possible), "moot": moot[number]}
            wanted["outcome"] = {"stands": why} if why else outcome
        for what in differences(wanted, {name: found[name] for name in wanted}, ""):
            must(False, place + what)
        for what in differences(tree.flips(story.given(number)), one["flips"][number], "flips[%d]" % number):
            must(False, what)
        won |= outcome == "reversed" and asked["entry"] == "challenged" and not found["moot"]
    coach = isinstance(story.called["initiator"], dict)
    must(ruled["won"] == (won if coach else None), "the ruling: whether the coach won")
    if ruled["engine"] == ENGINE:
        price = {word.name for word in replay["coach"]["won" if won else "lost"]} if coach else set()
        must(ruled["price"] == {word.lower(): word in price for word in ("Timeout", "Challenge")}, "the ruling: its price")
        said = [{"what": done["what"], "reason": story.text(done["reason"])} for done in ruled["overrides"]]
        for what in differences(story.overrides(), said, "the ruling: overrides"):
            must("(erased)" in what, what)


def moot_of(trees, judged, clocks):
    """Which questions are about what came after a ball that an earlier one found dead, unless the clock says otherwise."""
    moot, dead = [], None
    for tree, (outcome, finding, _) in zip(trees, judged):
        later = [clocks[moment] for moment in tree.moments() if clocks.get(moment) is not None]
        before = dead and clocks.get(dead) is not None and later and max(later) > clocks[dead]
        moot.append(bool(dead and not tree.safety and not before))
        dead = dead or outcome == "reversed" and finding and tree.dead_at[finding] or None
    return moot


PHASES = {"opened": "review.read-back", "first look": "review.looked", "first mark": "review.marked"}
PHASES |= {"settled": "review.settled", "ruled": "review.ruled", "announced": "review.announced"}
PHASES |= {"cut short": "review.cut-short"}
# Longer than any two times of a review are apart, in seconds; beyond it a record has none.
MOST_S = 1e12


def since(at, called):
    """Seconds from the call, and whether the wall clock alone tells them: the machine was started anew in between."""
    utc = lambda stamp: datetime.datetime.fromisoformat(stamp["utc"].replace("Z", "+00:00"))
    anew = at["boot"] != called["boot"]
    ms = (utc(at) - utc(called)) // datetime.timedelta(milliseconds=1) if anew else at["boot_ms"] - called["boot_ms"]
    return (None, False) if ms < 0 else (ms / 1000 if ms / 1000 <= MOST_S else None, anew)


def times_of(events, cut_short):
    """The times of a review, from the stamps of its events: by phase, in all, and which of them by the wall clock."""
    first = {}
    for event in events:
        first.setdefault(event["kind"], event["at"])
    told = {name: since(first[kind], first["review.called"]) for name, kind in PHASES.items() if kind in first}
    seconds = {name: told.get(name, (None, False))[0] for name in PHASES}
    duration, anew = seconds["cut short" if cut_short else "announced"], [name for name in told if told[name][1]]
    del seconds["cut short"]
    return seconds, duration, anew


# --- The command.
NOT_SHOWN = """\
note: compared with the signed entry of the ruling and not worked out again: where the game goes on (`after`), how its
clock starts, what became of the fouls, the words, and whether the question was settled. Not shown: that the pictures
say what was answered, and that the holder of the key kept a true log."""
UNNUMBERED = """\
note: the events of %s carry no numbers of their own: that none was left out or moved, the signature of the certificate
alone says."""


def key_of(text):
    """A key as given: 64 hex digits, or the name of a file that holds them."""
    if not HEX64.fullmatch(text) and os.path.isfile(text):
        with open(text, encoding="utf-8") as file:
            text = file.read().strip()
    if not HEX64.fullmatch(text):
        raise argparse.ArgumentTypeError("not a key: 64 lower-case hex digits, or a file that holds them")
    return text


def lines_of(path):
    with open(path, encoding="utf-8", newline="\n") as file:
        lines = [line.rstrip("\n") for line in file if line.strip()]
    if not lines:
        raise ValueError("it holds no certificate")
    return lines


def verdict(line, trusted):
    """What is wrong with a certificate, however wrong it is."""
    try:
        return check(line, trusted)
    except Exception as error:  # Whatever a forger writes is an answer, not a crash.
        return ["it cannot be read: %r" % error]


def unnumbered(one):
    """Whether an event is of the form that has no number under its own signature."""
    events = [json.loads(entry["text"]) for entry in one["entries"]]
    kinds = [event["form"] for event in events if event["kind"].startswith("review.") and event["kind"] != "review.begun"]
    return 1 in kinds


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--key", type=key_of, action="append", default=[], help="a key that the league publishes")
    parser.add_argument("files", nargs="+", metavar="FILE")
    given, bad, good, old = parser.parse_args(), 0, 0, []
    for path in given.files:
        try:
            lines = lines_of(path)
        except (OSError, ValueError) as error:
            print("error: %s: %s" % (path, error), file=sys.stderr)
            return 2
        for number, line in enumerate(lines):
            wrong, name = verdict(line, given.key), "%s:%d" % (path, number + 1)
            if wrong:
                bad += 1
                print("%s: %s" % (name, "; ".join(wrong)))
                continue
            good, key = good + 1, SPELT.fullmatch(line)[2]
            old += [name] if unnumbered(json.loads(line)["certificate"]) else []
            end = ", signed by %s" if given.key else ", if %s is the key that the league publishes"
            print("%s: good%s" % (name, end % key))
    sys.stdout.flush()
    if good:
        print(NOT_SHOWN, file=sys.stderr)
    if old:
        print(UNNUMBERED % ", ".join(old), file=sys.stderr)
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
