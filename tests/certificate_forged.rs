//! Forged certificates: every field changed, dropped, given twice or moved, and whole certificates by other keys.
//!
//! `tests/checker/forge_certificate.py` makes the forgeries of fields, in one process with the checker.

use crate::certificate::{CHECKER, certificates, python, text};
use audit::certificate::certificate;
use evidence::mark::Shot;
use log::chain::canonical;
use log::chain::entry::Act;
use log::chain::label::{Actor, ReviewId};
use log::chain::sign::Key;
use log::forms;
use log::forms::Begun;
use log::store::log::Log;
use log::store::verify::Trust;
use log::streams::reviews;
use log::streams::reviews::{Done, Pictured, Session};
use log::streams::session::Attempt;
use review::decide::Command;
use review::event::{ENGINE, Marked};
use review::stamp::Stamp;
use serde_json::{Value, json};
use std::process::Output;
use testing::challenge::{CALLED_MS, Challenge, command_id, shot, stamp};
use testing::logs::{Desk, act, append, key, note};

const FORGER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/checker/forge_certificate.py");
/// What the commands of a challenge say as their reason, where they give one.
const REASON: &str = "the near side was dark";

/// Certificates of an earlier tellframe, of form 1.
const FORM_1: &str = include_str!("golden/certificate-form-1.jsonl");

fn id(name: &str) -> ReviewId {
    ReviewId::new(name).expect("a label")
}

/// The commands with a reason in each answer, and without some looks: those answers then stand against the rules.
fn with_reasons(challenge: &Challenge) -> Vec<(Command, u64)> {
    let mut commands = challenge.commands();
    for (command, _) in &mut commands {
        if let Command::Answer(answer) = command {
            answer.reason = Some(REASON.to_owned());
        }
    }
    commands.retain(|(command, _)| !matches!(command, Command::Look(look) if ["inside", "facing"].contains(&look.step.as_str())));
    commands
}

/// Plays commands; the machine is restarted at `anew_ms` with a wall clock that is two seconds slow. Each mark keeps
/// a still.
fn play(
    log: &mut Log,
    challenge: &Challenge,
    name: &str,
    commands: Vec<(Command, u64)>,
    anew_ms: u64,
) -> Session {
    let mut session = challenge.start(log, name);
    for (number, (command, at_ms)) in commands.into_iter().enumerate() {
        let same = stamp(at_ms);
        let at = match at_ms < anew_ms {
            true => same,
            false => Stamp { utc_ms: same.utc_ms - 2_000, boot_ms: at_ms, boot: "boot-2".to_owned() },
        };
        let attempt = Attempt { command: command_id(&session, number), at };
        let done = match command {
            Command::Mark(marked) => {
                let shot = Shot { exact: number % 2 == 0, ..shot() };
                // No text: a still is named only.
                let still = vec![0xff, 0xd8, 0xff, 0xe0];
                let pictured = Pictured { marked: Marked { shot: Some(shot), ..marked }, still };
                session.mark(log, challenge.desk(), &attempt, pictured)
            }
            other => session.act(log, challenge.desk(), &attempt, other),
        };
        assert!(matches!(done, Ok(Done::Events(_))), "command {number}: {done:?}");
    }
    session
}

/// A review as a tellframe wrote it whose entries had no number within the review.
fn without_numbers(log: &mut Log, challenge: &Challenge, name: &str) {
    let desk = Desk::with_notes(0);
    let played = play(&mut desk.open(), challenge, name, challenge.commands(), u64::MAX);
    let act = |at: &Stamp| Act { actor: challenge.official(), review: Some(id(name)), at: at.clone() };
    let begun = Begun { book: "saltmarsh".to_owned(), edition: challenge.rules.edition().to_string() };
    let mut new = vec![forms::begun_entry(act(&stamp(0)), &begun).expect("can be stored")];
    for stamped in played.review().events() {
        new.push(forms::entry(act(&stamped.at), &stamped.event).expect("can be stored"));
    }
    append(log, name, &new);
}

/// Reviews of all kinds in one log, certified by its desk: measured orders and places, marks with and without stills,
/// answers taken back and given against the rules, texts erased, a restart of the machine, cut short after the ruling,
/// entries without numbers.
fn of_one_log() -> Vec<String> {
    let desk = Desk::with_notes(0);
    let (demo, alignment) = (Challenge::demo(), Challenge::alignment());
    let mut log = desk.open();
    play(&mut log, &demo, "reasons", with_reasons(&demo), u64::MAX);
    play(&mut log, &alignment, "erased", with_reasons(&alignment), u64::MAX);
    let erasing = Act { review: Some(id("erased")), ..act() };
    let erasure = reviews::erasure(log.reader(), &erasing, REASON).expect("read");
    append(&mut log, "erase", &erasure);
    let mut cut = demo.commands();
    cut.pop();
    cut.push((Command::CutShort { reason: "the power was gone".to_owned() }, 80_000));
    play(&mut log, &demo, "cut", cut, 20_000);
    without_numbers(&mut log, &alignment, "old");
    assert!(desk.verdict(&Trust::OwnKeys, None).starts_with("whole"));
    let certified = |name| certificate(log.reader(), &key(7), &id(name)).expect("it was ruled");
    ["reasons", "erased", "cut", "old"].map(certified).into()
}

/// Of random reviews the first that has several questions, the first in which one was refused, the first with an unclear
/// answer, and the first with a whistle.
fn random() -> Vec<String> {
    let lines = certificates(24);
    let of =
        |line: &&str| serde_json::from_str::<Value>(line).expect("JSON")["certificate"]["records"].clone();
    let records = |line: &&str| of(line).as_array().map_or(0, Vec::len);
    let several = lines.lines().find(|line| records(line) > 1);
    let refused = lines.lines().find(|line| records(line) > 0 && line.contains("review.refused"));
    let unclear = lines.lines().find(|line| line.contains(r#""unclear""#));
    let whistle = lines.lines().find(|line| line.contains(r#""whistle":""#));
    [several, refused, unclear, whistle]
        .map(|line| line.expect("one of the first random reviews").to_owned())
        .into()
}

/// Everything that the certificates should hold between them, so that every field is forged.
fn hold_everything(lines: &[String]) {
    let all = lines.join("\n");
    let wanted = [
        r#""form":2"#,
        r#"review.undone"#,
        r#"review.refused"#,
        r#"review.flagged"#,
        r#"review.placed"#,
        r#"{\"computed\":"#,
        r#"\"kind\":\"erased\""#,
        r#""text":"the near side was dark""#,
        r#""stills":[""#,
        r#""by_wall_clock":[""#,
        r#""cut_short":true"#,
        r#""cut_short":false"#,
        r#""fouls":["#,
        r#""overrides":[{"#,
        r#""overrides":[]"#,
        r#""kind":"order""#,
        r#""kind":"position""#,
        r#""verdict":""#,
        r#""exact":true"#,
        r#""exact":false"#,
        r#""whistle":""#,
        r#""unclear""#,
    ];
    for wanted in wanted {
        assert!(all.contains(wanted), "no certificate holds {wanted}");
    }
}

fn forged(lines: &str) -> Option<Output> {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("certificates.jsonl");
    std::fs::write(&file, lines).expect("written");
    python(FORGER, &[&file.display().to_string()])
}

// PROPERTY: every field of a certificate is compared with the signed events: changed, dropped, given twice or moved, it is found and named
#[test]
fn every_forged_field_is_found_and_named_even_where_the_desks_own_key_signed_it() {
    let mut lines = of_one_log();
    lines.extend(random());
    hold_everything(&lines);
    let Some(output) = forged(&lines.join("\n")) else { return };
    assert!(output.status.success(), "{}", text(&output));
}

// PROPERTY: a certificate of form 1 is still checked
#[test]
fn certificates_of_form_1_are_still_checked_and_what_they_tell_cannot_be_forged() {
    let Some(output) = forged(FORM_1) else { return };
    assert!(output.status.success(), "{}", text(&output));
}

/// For another engine the checker would work out less, and nobody would notice.
#[test]
fn the_checker_knows_this_programs_engine() {
    let checker = std::fs::read_to_string(CHECKER).expect("it is there");
    assert!(checker.contains(&format!("\nENGINE = {ENGINE}\n")), "raise ENGINE in {CHECKER}");
}

/// A certificate that was edited, and signed by any key.
fn resigned(line: &str, signer: &Key, edit: impl FnOnce(&mut Value)) -> String {
    let mut whole: Value = serde_json::from_str(line).expect("JSON");
    let one = &mut whole["certificate"];
    edit(one);
    let bytes = canonical::bytes(one).expect("canonical");
    let domain = format!("tellframe certificate {}\n", one["form"]);
    let signature = signer.sign(&[domain.as_bytes(), &bytes].concat());
    let text = String::from_utf8(bytes).expect("text");
    format!(r#"{{"certificate":{text},"key":"{}","signature":"{signature}"}}"#, signer.public())
}

/// Lists a key beside or instead of those of the log.
fn list_key(one: &mut Value, key: &Key, alone: bool) {
    if alone {
        one["keys"] = json!({});
    }
    one["keys"][key.id().as_str()] = json!(key.public().to_string());
}

// PROPERTY: a certificate signed by another key is recognized
#[test]
fn a_certificate_is_as_good_as_its_key_and_the_checker_names_it_or_is_told_it() {
    let of_desk = |number: u8| {
        let (folder, challenge) = (tempfile::tempdir().expect("a folder"), Challenge::demo());
        let path = folder.path().join("log.sqlite");
        let mut log = Log::create(&path, key(number), Act { review: None, ..act() }).expect("made");
        play(&mut log, &challenge, "r-1", challenge.commands(), u64::MAX);
        certificate(log.reader(), &key(number), &id("r-1")).expect("it was ruled")
    };
    let good = of_desk(7);
    let changed = |one: &mut Value| one["records"][0]["outcome"] = json!("confirmed");
    // The other desk's own log; the desk's entries in a certificate of its own, its key listed beside or alone.
    let other = [
        of_desk(8),
        resigned(&good, &key(8), |one| list_key(one, &key(8), false)),
        resigned(&good, &key(8), |one| list_key(one, &key(8), true)),
        resigned(&good, &key(8), |_| ()),
        resigned(&good, &key(8), |one| (list_key(one, &key(8), false), changed(one)).1),
    ];
    let (folder, published) = (tempfile::tempdir().expect("a folder"), key(7).public().to_string());
    let file = |name: &str, text: &str| {
        let path = folder.path().join(name);
        std::fs::write(&path, text).expect("written");
        path.display().to_string()
    };
    let (league, good) = (file("league.txt", &format!("{published}\n")), file("good.json", &good));
    let end = |key: &str| format!("good, if {key} is the key that the league publishes\n");
    let Some(output) = python(CHECKER, &[&good]) else { return };
    let says = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(output.status.code() == Some(0) && says.ends_with(&end(&published)), "{}", text(&output));
    for given in [&published, &league] {
        let output = python(CHECKER, &["--key", given, &good]).expect("it ran before");
        let says = String::from_utf8_lossy(&output.stdout).into_owned();
        let wanted = format!("good, signed by {published}\n");
        assert!(output.status.code() == Some(0) && says.ends_with(&wanted), "{}", text(&output));
    }
    let forger = key(8).public().to_string();
    let output = python(CHECKER, &["--key", &forger, &good]).expect("it ran before");
    let says = text(&output);
    assert!(
        output.status.code() == Some(1) && says.contains(&format!("signed by {published}, which is not")),
        "{says}"
    );
    for (number, forgery) in other.iter().enumerate() {
        let path = file(&format!("forged-{number}.json"), forgery);
        let output = python(CHECKER, &["--key", &published, &path]).expect("it ran before");
        let says = text(&output);
        let named = says.contains(&format!("signed by {forger}, which is not the key that was given"));
        assert!(output.status.code() == Some(1) && named, "forgery {number}: {says}");
        // Without the league's key nothing but the key that is named betrays a forgery that agrees with itself.
        let output = python(CHECKER, &[&path]).expect("it ran before");
        let says = String::from_utf8_lossy(&output.stdout).into_owned();
        let betrayed =
            if number == 0 { says.ends_with(&end(&forger)) } else { !says.contains(&end(&published)) };
        assert!(betrayed, "forgery {number}: {says}");
    }
}

#[test]
fn a_key_that_is_none_and_a_file_without_certificates_are_refused() {
    let folder = tempfile::tempdir().expect("a folder");
    let empty = folder.path().join("empty.json").display().to_string();
    std::fs::write(&empty, "\n").expect("written");
    let key = key(7).public().to_string();
    let cases: [&[&str]; 5] =
        [&[], &[&empty], &["no such file"], &["--key", &key[1..], &empty], &["--key", &empty, &empty]];
    for case in cases {
        let Some(output) = python(CHECKER, case) else { return };
        assert_eq!(output.status.code(), Some(2), "{case:?}: {}", text(&output));
        assert!(output.stdout.is_empty() && !output.stderr.is_empty(), "{case:?}");
    }
}

// PROPERTY: an event carries its number within the review under its signature, and stands where it says
#[test]
fn the_events_of_a_review_carry_their_number_in_it_under_their_signature() {
    let (desk, challenge) = (Desk::with_notes(1), Challenge::demo());
    let commands = challenge.commands();
    let (first, rest) = commands.split_at(9);
    let mut log = desk.open();
    let mut session = challenge.start(&log, "r-1");
    challenge.play(&mut log, &mut session, first, 0);
    // Another review and a note in between, and the desk killed: the numbers are the review's own.
    play(&mut log, &challenge, "r-2", challenge.commands(), u64::MAX);
    append(&mut log, "between", &[note("between")]);
    drop((session, log));
    let mut log = desk.open();
    let mut session =
        Session::resume(&log, id("r-1"), Actor::new("booth-08").expect("a label")).expect("resumed");
    challenge.play(&mut log, &mut session, &commands, first.len());
    assert_eq!(rest.len() + first.len(), commands.len());
    let mut numbers: Vec<(String, Value)> = Vec::new();
    for stored in desk.reader().entries(1).expect("read") {
        let entry: Value = serde_json::from_slice(&stored.bytes).expect("JSON");
        if entry["review"] == "r-1" && entry["kind"] != "review.begun" {
            numbers.push((entry["kind"].to_string(), entry["number"].clone()));
        }
    }
    let counted = (0..session.review().events().len()).map(|number| json!(number)).collect::<Vec<_>>();
    assert_eq!(numbers.iter().map(|(_, number)| number.clone()).collect::<Vec<_>>(), counted, "{numbers:?}");
    assert!(counted.len() > 20 && desk.verdict(&Trust::OwnKeys, None).starts_with("whole"));
    assert_eq!(session.review().events()[0].at.utc_ms, CALLED_MS);
}

#[test]
fn a_key_that_the_log_does_not_know_certifies_nothing() {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::demo());
    let mut log = desk.open();
    play(&mut log, &challenge, "r-1", challenge.commands(), u64::MAX);
    let refused = certificate(log.reader(), &key(8), &id("r-1")).expect_err("not a key of this log");
    assert!(refused.to_string().contains(&format!("does not know the key {}", key(8).id())), "{refused}");
}
