//! What changed between two editions of a book: a line for each change, in the order of the book.

use rules::book::Book;
use rules::book::line::{Case, Guard, Line, Place};
use rules::book::tree::{Finding, OnCall, Proof, Step, Target, Tree};

/// The changes from one edition to another; nothing where the rules are the same.
pub fn changes(old: &Book, new: &Book) -> Vec<String> {
    let mut lines = Vec::new();
    if old.edition == new.edition {
        return lines;
    }
    whole(old, new, &mut lines);
    for (place, was, now) in paired(&old.lines, &new.lines, |line| &line.name, "line", &mut lines) {
        line(place, was, now, &mut lines);
    }
    for (name, was, now) in matched(&old.penalties, &new.penalties, "penalty", &mut lines) {
        if was != now {
            lines.push(format!("penalty `{name}` has changed"));
        }
    }
    for (tree_id, was, now) in paired(&old.trees, &new.trees, |tree| &tree.id, "question", &mut lines) {
        tree(tree_id, was, now, &mut lines);
    }
    if lines.is_empty() {
        lines.push("only words, notes and the order of the text".to_owned());
    }
    lines
}

fn whole(old: &Book, new: &Book, lines: &mut Vec<String>) {
    let (was, now) = (&old.replay, &new.replay);
    if was.standard.established != now.standard.established {
        let (was, now) = (was.standard.established, now.standard.established);
        lines.push(format!("standard of proof: {now}, was {was}"));
    }
    if was.labels != now.labels {
        let (was, now) = (&was.labels, &now.labels);
        let words = |labels: &rules::book::replay::Labels| {
            format!("{}, {}, {}", labels.confirmed, labels.stands, labels.reversed)
        };
        lines.push(format!("labels: {}, were {}", words(now), words(was)));
    }
    let limits = [
        ("to the ruling", was.limits.to_ruling_s, now.limits.to_ruling_s),
        ("to the announcement", was.limits.to_announcement_s, now.limits.to_announcement_s),
    ];
    for (name, was, now) in limits.into_iter().filter(|(_, was, now)| was != now) {
        let limit_text = |limit: Option<u32>| limit.map_or("none".to_owned(), |limit| format!("{limit} s"));
        lines.push(format!("time {name}: {}, was {}", limit_text(now), limit_text(was)));
    }
    let rest = [
        ("the field", old.field != new.field),
        ("the game: downs, periods, points or clock", old.game != new.game),
        ("how penalties are enforced", old.enforcement != new.enforcement),
        ("what a coach may do or pays", was.coach != now.coach),
        ("who may start a review", was.booth_only != now.booth_only || was.booth_on != now.booth_on),
        ("what is left where the replacement is not proven", was.unproven != now.unproven),
        ("time that runs off", was.run_off != now.run_off),
        ("what is never reviewed", old.closed != new.closed),
    ];
    lines
        .extend(rest.into_iter().filter(|(_, changed)| *changed).map(|(what, _)| format!("changed: {what}")));
}

fn line(name: &str, was: &Line, now: &Line, lines: &mut Vec<String>) {
    let alike = |(was, now): (&Case, &Case)| {
        was.guards == now.guards && was.place == now.place && was.goes_first == now.goes_first
    };
    if was.cases.len() == now.cases.len() && was.cases.iter().zip(&now.cases).all(alike) {
        return;
    }
    lines.push(format!("line `{name}`: {}; was: {}", cases(now), cases(was)));
}

fn cases(line: &Line) -> String {
    let one = |case: &Case| {
        let guards: Vec<String> = case.guards.iter().map(guard).collect();
        match guards.is_empty() {
            true => place(&case.place),
            false => format!("{} if {}", place(&case.place), guards.join(" and ")),
        }
    };
    line.cases.iter().map(one).collect::<Vec<_>>().join(", else ")
}

fn guard(guard: &Guard) -> String {
    match guard {
        Guard::Down(down) => format!("down {down}"),
        Guard::ToGoAtMost(yards) => format!("{yards} or less to go"),
        Guard::ToGoOver(yards) => format!("more than {yards} to go"),
        Guard::SnapInside(yards) => format!("snapped inside the {yards}"),
        Guard::SnapOutside(yards) => format!("not snapped inside the {yards}"),
    }
}

fn place(place: &Place) -> String {
    match place {
        Place::Scrimmage => "the scrimmage line".to_owned(),
        Place::LineToGain => "the line to gain".to_owned(),
        Place::GoalLine => "the goal line".to_owned(),
        Place::BeyondScrimmage { yards, never_past_goal: false } => format!("{yards} yd past scrimmage"),
        Place::BeyondScrimmage { yards, never_past_goal: true } => {
            format!("{yards} yd past scrimmage, never past the goal line")
        }
        Place::Sides => "both sides".to_owned(),
        Place::Marked { between } => format!("by the marks of {}", between.join(", ")),
    }
}

fn tree(id: &str, was: &Tree, now: &Tree, lines: &mut Vec<String>) {
    let mut own = Vec::new();
    if was.refused.is_some() != now.refused.is_some() {
        own.push(format!("it may {}be reviewed", if now.refused.is_some() { "not " } else { "" }));
    }
    if was.creates_foul != now.creates_foul {
        own.push(format!("it may {}create a foul", if now.creates_foul { "" } else { "not " }));
    }
    for (name, was, now) in paired(&was.calls, &now.calls, |call| &call.name, "call", &mut own) {
        if was.result != now.result || was.must_be_proven.is_some() != now.must_be_proven.is_some() {
            own.push(format!("call `{name}`: its result has changed"));
        }
    }
    let start = |tree: &Tree| tree.steps[tree.start].name.clone();
    if start(was) != start(now) {
        own.push(format!("it begins at `{}`, was `{}`", start(now), start(was)));
    }
    for (name, before, after) in paired(&was.steps, &now.steps, |step| &step.name, "step", &mut own) {
        step(name, (was, before), (now, after), &mut own);
    }
    for (name, before, after) in
        paired(&was.findings, &now.findings, |found| &found.name, "finding", &mut own)
    {
        finding(name, (was, before), (now, after), &mut own);
    }
    lines.extend(own.into_iter().map(|line| format!("{id}: {line}")));
}

fn step(name: &str, (old, was): (&Tree, &Step), (new, now): (&Tree, &Step), lines: &mut Vec<String>) {
    if was.ask != now.ask {
        lines.push(format!("step `{name}` asks: {} — it asked: {}", now.ask, was.ask));
    }
    if was.proof != now.proof {
        lines.push(format!("step `{name}` is proven by {}, was {}", proof(&now.proof), proof(&was.proof)));
    }
    if was.looks != now.looks {
        lines.push(format!("step `{name}`: the looks it asks for have changed"));
    }
    if was.seconds != now.seconds {
        lines.push(format!("step `{name}` takes {} s, was {} s", now.seconds, was.seconds));
    }
    for (option, before, after) in paired(&was.options, &now.options, |choice| &choice.name, "answer", lines)
    {
        let (before, after) = (target(old, before.to), target(new, after.to));
        if before != after {
            lines.push(format!("step `{name}`: {option} leads to {after}, was {before}"));
        }
    }
}

fn target(tree: &Tree, to: Target) -> String {
    match to {
        Target::Step(step) => format!("the step `{}`", tree.steps[step].name),
        Target::Find(finding) => format!("the finding `{}`", tree.findings[finding].name),
    }
}

fn proof(proof: &Proof) -> String {
    match proof {
        Proof::Seen { moments } => format!("seeing {}", moments.join(", ")),
        Proof::Order { first, then } => format!("`{first}` before `{then}`"),
        Proof::Gap { first, then, at_least_s } => {
            format!("at least {at_least_s} s from `{first}` to `{then}`")
        }
        Proof::Position { point, at, line, .. } => format!("`{point}` past the {line} at `{at}`"),
        Proof::Count { what, at, at_least } => format!("at least {at_least} {what} at `{at}`"),
        Proof::Never { from, to } => format!("a clear view from `{from}` to `{to}`"),
        Proof::Judgement => "judgement".to_owned(),
    }
}

fn finding(
    name: &str,
    (old, was): (&Tree, &Finding),
    (new, now): (&Tree, &Finding),
    lines: &mut Vec<String>,
) {
    for (index, call) in new.calls.iter().enumerate() {
        let Some(before) = old.call(&call.name) else { continue };
        let (before, after) = (was.on.get(&before), now.on.get(&index));
        match (before.map(stance), after.map(stance)) {
            (Some(was), Some(now)) if was != now => {
                lines.push(format!("finding `{name}` {now} `{}`, {was} it before", call.name));
            }
            (Some(_), Some(_)) if before != after => {
                lines.push(format!("finding `{name}` changes `{}` in another way", call.name));
            }
            (Some(_) | None, Some(_) | None) => {}
        }
    }
    if was.dead_at != now.dead_at {
        lines.push(format!("finding `{name}` has the ball dead at another moment"));
    }
}

fn stance(on: &OnCall) -> &'static str {
    match on {
        OnCall::Agrees { .. } | OnCall::AgreesIfOn { .. } => "agrees with",
        OnCall::Changes { .. } => "changes",
        OnCall::Barred(_) => "may not change",
    }
}

/// Items of the same name in both, and a line for each that is new or gone.
fn paired<'o, 'n, T>(
    old: &'o [T],
    new: &'n [T],
    name: impl Fn(&T) -> &String,
    what: &str,
    lines: &mut Vec<String>,
) -> Vec<(&'n str, &'o T, &'n T)>
where
    'o: 'n,
{
    let has = |all: &[T], one: &T| all.iter().any(|other| name(other) == name(one));
    lines
        .extend(old.iter().filter(|one| !has(new, one)).map(|one| format!("{what} `{}` is gone", name(one))));
    lines.extend(new.iter().filter(|one| !has(old, one)).map(|one| format!("{what} `{}` is new", name(one))));
    let both = new.iter().filter_map(|now| {
        let was = old.iter().find(|was| name(was) == name(now))?;
        Some((was, now))
    });
    both.map(|(was, now)| (name(was).as_str(), was, now)).collect()
}

fn matched<'a, T>(
    old: &'a std::collections::BTreeMap<String, T>,
    new: &'a std::collections::BTreeMap<String, T>,
    what: &str,
    lines: &mut Vec<String>,
) -> Vec<(&'a String, &'a T, &'a T)> {
    lines.extend(
        old.keys().filter(|name| !new.contains_key(*name)).map(|name| format!("{what} `{name}` is gone")),
    );
    lines.extend(
        new.keys().filter(|name| !old.contains_key(*name)).map(|name| format!("{what} `{name}` is new")),
    );
    new.iter().filter_map(|(name, now)| Some((name, old.get(name)?, now))).collect()
}
