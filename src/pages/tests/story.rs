//! How a question was walked, step by step, and the page that shows it.

use ::review::decide::{Command, decide};
use ::review::event::Answered;
use ::review::fold::{Review, Stamped};
use ::review::path::{Leads, Walk, Way, walk};
use evidence::mark::Basis;
use log::chain::label::ReviewId;
use log::streams::reviews;
use pages::review;
use testing::challenge::{Challenge, stamp};
use testing::day::{self, kickoff};
use testing::logs::Desk;

/// The demo's challenge after its first `first` commands, then with answers that carry a reason.
fn review(challenge: &Challenge, first: usize, answers: &[(&str, &[&str])]) -> Review {
    let script = challenge.commands().into_iter().take(first);
    let answer = |(step, options): &(&str, &[&str])| {
        let options = options.iter().map(|&option| option.to_owned()).collect();
        let reason = Some("as the low wall shows".to_owned());
        let step = (*step).to_owned();
        Command::Answer(Answered { question: 0, step, options, basis: Basis::Attested, reason })
    };
    let given = answers.iter().map(|given| (answer(given), 60_000));
    let mut review = Review::default();
    for (command, at_ms) in script.chain(given) {
        let at = stamp(at_ms);
        for event in decide(challenge.desk(), &review, command, &at).expect("it fits") {
            review.apply(Stamped { at: at.clone(), event });
        }
    }
    review
}

fn all(challenge: &Challenge) -> usize {
    challenge.commands().len()
}

/// `step: answer -> what it took / what it left`.
fn lines(walk: &Walk<'_>) -> Vec<String> {
    let to = |way: Way, told: &::review::path::WalkedStep<'_>| {
        let of = told.branches.iter().filter(|branch| branch.way == way);
        let name = |to: Leads<'_>| match to {
            Leads::Step(step) => step.to_owned(),
            Leads::Finding(finding) => format!("={finding}"),
        };
        of.map(|branch| name(branch.to)).collect::<Vec<_>>().join(",")
    };
    let line = |told: &::review::path::WalkedStep<'_>| {
        let answer = told.answer.map_or("-".to_owned(), |answered| answered.options.join("|"));
        let apart = if told.on_path { "" } else { " apart" };
        format!("{}: {answer}{apart} -> {} / {}", told.step.name, to(Way::Taken, told), to(Way::Left, told))
    };
    walk.steps.iter().map(line).collect()
}

#[test]
fn the_path_of_the_demo_is_told_with_what_it_took_and_left() {
    let challenge = Challenge::demo();
    let review = review(&challenge, all(&challenge), &[]);
    let asked = walk(&challenge.book, &review, 0).expect("it has a question");
    // The script (demo/challenge.ron) and the tree (catch-beyond-wall.ron), read side by side.
    assert_eq!(
        lines(&asked),
        [
            "inside: yes -> control / =incomplete",
            "control: yes -> control first / =incomplete",
            "control first: yes -> survives / =incomplete",
            "survives: yes -> crossing / =incomplete",
            "crossing: complete -> =complete / =touchdown",
        ]
    );
    assert_eq!(asked.excluded().collect::<Vec<_>>(), ["incomplete", "touchdown"]);
    let control = &asked.steps[1];
    // The mark on the low wall was taken back.
    let marks: Vec<_> = control.marks.iter().map(|marked| marked.mark.camera.as_str()).collect();
    assert_eq!((marks, control.looks.len(), asked.steps[0].looks.len()), (vec!["near side"], 1, 2));
    assert!(walk(&challenge.book, &review, 1).is_none());
    assert!(walk(&challenge.book, &Review::default(), 0).is_none());
}

#[test]
fn an_answer_off_the_path_is_told_apart_and_doubt_takes_every_way() {
    let challenge = Challenge::demo();
    let answers: &[(&str, &[&str])] = &[
        ("crossing", &["complete"]),
        ("control", &["yes", "no"]),
        ("inside", &["yes"]),
        ("survives", &["no"]),
    ];
    let doubtful = review(&challenge, 3, answers);
    let told = walk(&challenge.book, &doubtful, 0).expect("it has a question");
    assert_eq!(
        lines(&told),
        [
            "inside: yes -> control / =incomplete",
            "control: yes|no -> control first,=incomplete / ",
            "control first: - ->  / ",
            "survives: no -> =incomplete / crossing",
            "crossing: complete apart ->  / ",
        ]
    );
    assert!(told.steps[1].unclear() && !told.steps[0].unclear());
    assert_eq!(told.path().count(), 4);
    assert_eq!(told.possible.len(), 1);
}

/// The page of the demo's challenge, held in a game whose card names the teams.
fn made(reason: Option<&str>) -> String {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::demo());
    let mut log = desk.open();
    let mut commands = challenge.commands();
    let mut card = day::card("W03-MO-HK");
    card.names.short.home = "Kites <b>".to_owned();
    let mut game = log::streams::days::DaySession::start(&log, challenge.official(), challenge.rules.clone())
        .expect("started");
    let open = ::review::day::Command::Open(card);
    day::act(&mut log, &challenge, &mut game, "open", open);
    day::act(&mut log, &challenge, &mut game, "set", ::review::day::Command::Set(kickoff(&challenge)));
    if let Some(reason) = reason {
        commands.retain(|(command, _)| !matches!(command, Command::Look(look) if look.step == "inside"));
        for (command, _) in &mut commands {
            if let Command::Answer(answer) = command {
                answer.reason = Some(reason.to_owned());
            }
        }
    }
    let mut session = challenge.start(&log, "r-1");
    challenge.play(&mut log, &mut session, &commands, 0);
    let id = ReviewId::new("r-1").expect("a label");
    let held = reviews::Held::one(log.reader(), &id).expect("read").expect("there");
    let page = review::of_review(log.reader(), &held).expect("made");
    for entry in log.reader().entries(1).expect("read") {
        if page.contains(&format!("<td class=\"num\">{}</td>", entry.seq)) {
            assert!(page.contains(&entry.hash.to_string()[..12]), "entry {}", entry.seq);
        }
    }
    page
}

/// The text of a page without its tags.
fn text(page: &str) -> String {
    let body = page.split("<body>").nth(1).expect("a body");
    let pieces = body.split('<').map(|piece| piece.split_once('>').map_or(piece, |(_, text)| text));
    pieces.collect::<Vec<_>>().join(" ").split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_page_tells_the_whole_review() {
    let page = made(None);
    let text = text(&page);
    for said in [
        "The home coach challenges",
        "The league's published rules prevail, and the official decides",
        "Reversed",
        "the video established that the call was wrong",
        "what changed the call",
        "Firm control of the ball? Yes.",
        "camera near side, 00:41:17;19",
        "taken: yes → control · left: no → finding incomplete",
        "complete : the receiver had control before he touched down beyond the wall",
        "excluded incomplete, touchdown",
        "clock 4:41.3 4:37 changed",
        "ball Harbour Kites Harbour Kites",
        "won; no timeout is charged",
        "Set the game clock to 4:37",
        "Limit from the first look to the ruling: 90 s (kept)",
        "announced 71.5 s",
        "None: nothing was done against a rule of proof or time.",
        "(taken back)",
        "took back entry ",
        "tellframe log verify",
    ] {
        assert!(text.contains(said), "{said}\n{text}");
    }
}

// PROPERTY: a review's page needs nothing else, and typed text is no markup
#[test]
fn the_page_needs_nothing_else_and_what_people_typed_is_no_markup() {
    let page = made(Some("<script>alert('x')</script> & the wall"));
    assert!(page.starts_with("<!DOCTYPE html>"));
    for outside in ["<script", "src=", "http://", "https://", "<link", "<b>\"", "Kites <b>"] {
        assert!(!page.contains(outside), "{outside}");
    }
    assert!(page.contains("&lt;script&gt;alert('x')&lt;/script&gt; &amp; the wall"));
    assert!(text(&page).contains("the answer to `inside`: yes , because:"));
    // Every tag that is opened is closed.
    for tag in
        ["main", "section", "table", "tr", "td", "dl", "dd", "dt", "li", "ol", "div", "p", "svg", "s", "b"]
    {
        let opened = page.matches(&format!("<{tag}>")).count() + page.matches(&format!("<{tag} ")).count();
        assert_eq!(opened, page.matches(&format!("</{tag}>")).count(), "{tag}");
    }
}
