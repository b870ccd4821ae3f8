//! Another edition, by keys and without a display, over a season that has a change of rules planted in it.

use super::judging::{self, Came};
use super::{Face, Shown};
use crate::keys::{Cap, letter, plain};
use crate::week::board::Detail;
use crate::week::line::{Line, Of, OfEdition, Under};
use crate::week::tests::by_keys::{opened, played, press, tab};
use crate::week::{Message, Tab, Week};
use rules::book::shipped;
use season::Season;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::sync::Mutex;

/// The first records of a season in a log of their own, with the window at this tab.
fn season(folder: &Path, records: usize) -> (Season, Week) {
    let (named, played) = played(folder, records);
    let mut week = opened(folder, &named);
    tab(&mut week, Tab::Edition);
    (played, week)
}

/// Number of records that covers the first two weeks, with the first ruling that flips.
const WEEKS: usize = 60;

/// Does here what the other thread would do.
fn wait(week: &mut Week) {
    let Face::Judging(under, 0) = week.edition.face else { panic!("{:?}", week.edition.face) };
    let work = week.work(under).expect("it was begun");
    let read = Mutex::new(Vec::new());
    let came = judging::judge(work, |count| read.lock().expect("one thread").push(count));
    let number = week.edition.begun;
    for count in read.into_inner().expect("it is over") {
        let _ = week.update(Message::Judging(number, Came::Read(count)));
    }
    let _ = week.update(Message::Judging(number, came));
}

/// Selects the edition with this hash and judges under it.
fn judge_under(week: &mut Week, edition: &str) {
    let super::super::Reading::Done(held) = &week.reading else { panic!("it is not read") };
    let at = held.offered.iter().position(|one| one.edition == edition).expect("it is offered");
    let of = Of::Another(OfEdition::Under(Under::Offered(at)));
    let line = week.board.lines.iter().position(|line| line.of == of).expect("it has a line");
    let _ = week.update(Message::Line(line));
    press(week, &[plain(Cap::Enter)]);
    wait(week);
}

fn judge_folder(week: &mut Week, folder: &Path) {
    press(week, &[letter('b')]);
    let _ = week.update(Message::Typed(folder.display().to_string()));
    press(week, &[plain(Cap::Enter)]);
    assert!(week.typing.is_none());
    wait(week);
}

/// Every line of the list, with its detail.
fn walked(week: &mut Week) -> Vec<(Line, String)> {
    let mut walked = Vec::new();
    for number in 0..week.board.lines.len() {
        let _ = week.update(Message::Line(number));
        walked.push((week.board.lines[number].clone(), format!("{:?}", week.board.detail)));
    }
    walked
}

/// Writes a book of the program into a folder.
fn written(folder: &Path) {
    for source in shipped::sources("saltmarsh").expect("it is built in").files() {
        let path = folder.join(&source.path);
        fs::create_dir_all(path.parent().expect("a folder")).expect("made");
        fs::write(path, &source.text).expect("written");
    }
}

// PROPERTY: a season's rule change stands on the screen with the rulings that flip, and nobody else is accused
#[test]
fn the_rule_change_of_a_season_stands_on_the_screen_with_the_rulings_that_flip() {
    let folder = tempfile::tempdir().expect("a folder");
    let (played, mut week) = season(folder.path(), usize::MAX);
    let change = played.planted.change.clone().expect("a change");
    judge_under(&mut week, &change.since);
    let Detail::Edition(shown) = &week.board.detail else { panic!("{:?}", week.board.detail) };
    let Shown::Book(book) = &**shown else { panic!("{shown:?}") };
    // A record flips if it was ruled before the change and depends on it, or if its outcome is not what its own edition
    // gives.
    let was_before = |id: &&String| {
        let record = played.records.iter().find(|record| record.id == **id).expect("a record");
        record.edition == change.before
    };
    let expected: BTreeSet<&str> = change
        .records
        .iter()
        .filter(was_before)
        .chain(&played.planted.miscomputed)
        .map(String::as_str)
        .collect();
    let rulings = played.records.iter().filter(|record| record.again_of.is_none());
    let (short, ruled): (Vec<_>, Vec<_>) = rulings.partition(|record| record.outcome == "cut short");
    let judged = ruled.len() + short.len();
    assert_eq!(
        book.counts.map(|(count, _)| count),
        [judged, ruled.len() - expected.len(), expected.len(), short.len()]
    );
    let changed: Vec<&str> = book.since.iter().flat_map(|since| &since.changes).map(String::as_str).collect();
    assert!(changed.iter().any(|says| says.contains("at least 0.5 s")), "{changed:?}");
    assert!(changed.iter().all(|says| says.starts_with("linebacker-moving: ")), "{changed:?}");

    let walked = walked(&mut week);
    let flips: BTreeSet<&str> = walked
        .iter()
        .filter(|(line, _)| matches!(line.of, Of::Another(OfEdition::Flip(_))))
        .map(|(line, _)| line.under.rsplit(" · ").next().expect("an id"))
        .collect();
    assert_eq!(flips, expected);
    // Each flip shows what it was, what it would be and by which change, with its record.
    for (line, detail) in walked.iter().filter(|(line, _)| line.look) {
        assert!(detail.contains("Some(Card {"), "{line:?}: {detail}");
        let by_change = detail.contains(" ± 0.008 s against at least 0.5 s (was at least 0.4 s)");
        // The question is shown as it was worded on that day.
        assert_eq!(
            by_change,
            detail.contains("Feet still for four tenths of a second"),
            "{line:?}: {detail}"
        );
        assert!(by_change || detail.contains("its own edition already makes it"), "{line:?}: {detail}");
    }
    let untold: Vec<&str> = walked
        .iter()
        .filter(|(line, _)| matches!(line.of, Of::Another(OfEdition::Untold(_))))
        .map(|(line, _)| line.under.as_str())
        .collect();
    assert_eq!(untold, ["it ended without a ruling"]);

    // One week has its own counts and flips; E leads back to the editions.
    press(&mut week, &[plain(Cap::Right), plain(Cap::Right)]);
    let of_week: Vec<&str> = expected.iter().filter(|id| id.starts_with("W02")).copied().collect();
    assert_eq!((week.title().as_str(), of_week.len()), ("week 2", 1));
    let flips: Vec<&str> =
        week.board.lines.iter().filter(|line| line.look).map(|line| line.under.as_str()).collect();
    assert!(matches!(flips.as_slice(), [one] if one.ends_with(of_week[0])), "{flips:?}");
    assert!(week.board.lines[0].under.contains(", 1 flip, "), "{:?}", week.board.lines[0]);
    press(&mut week, &[letter('e')]);
    let pointed = &week.board.lines[week.pointed()];
    assert!(pointed.under.contains(&change.since[..8]), "{pointed:?}");
}

// PROPERTY: a season's rule change stands on the screen with the rulings that flip, and nobody else is accused
#[test]
fn a_record_under_its_own_edition_stays_and_nobody_else_is_accused() {
    let folder = tempfile::tempdir().expect("a folder");
    let (played, mut week) = season(folder.path(), 12);
    judge_under(&mut week, &played.records[0].edition);
    assert!(week.board.lines.iter().all(|line| !line.look), "{:?}", week.board.lines);
    assert!(week.board.lines[0].under.contains(", 0 flip, "), "{:?}", week.board.lines[0]);
}

// PROPERTY: the faults of a book are shown by place, and the mended book is judged again in the window
#[test]
fn a_book_in_a_folder_is_mended_until_the_records_are_judged_under_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let (_, mut week) = season(folder.path(), 12);
    let book = folder.path().join("draft");
    written(&book);
    // Misspells the first word of its kind.
    let file = book.join("linebacker-moving.ron");
    let sound = fs::read_to_string(&file).expect("it is there");
    let number = 1 + sound.lines().position(|line| line.contains("start:")).expect("a start");
    fs::write(&file, sound.replacen("start:", "strat:", 1)).expect("written");
    judge_folder(&mut week, &book);
    let shown = format!("{:?}", week.board.detail);
    let place = format!("{}:{number}:", file.display());
    for part in ["The book has ", place.as_str(), "strat", "did you mean"] {
        assert!(shown.contains(part), "{part}: {shown}");
    }
    // The other tabs still work, and the folder is listed again.
    assert!(tab(&mut week, Tab::Grades).len() > 1);
    let lines = tab(&mut week, Tab::Edition);
    assert_eq!(lines[0].0, book.display().to_string());
    // Mended, and with another wait: Enter alone judges again.
    fs::write(&file, sound.replace("at_least_s: 0.5", "at_least_s: 0.3")).expect("written");
    press(&mut week, &[plain(Cap::Enter)]);
    wait(&mut week);
    let Detail::Edition(shown) = &week.board.detail else { panic!("{:?}", week.board.detail) };
    let Shown::Book(book) = &**shown else { panic!("{shown:?}") };
    assert!(book.since.iter().flat_map(|since| &since.changes).any(|says| says.contains("at least 0.3 s")));
}

#[test]
fn a_name_that_is_no_book_is_told_with_what_would_be_one() {
    let folder = tempfile::tempdir().expect("a folder");
    let (_, mut week) = season(folder.path(), 12);
    judge_folder(&mut week, &folder.path().join("nowhere"));
    let shown = format!("{:?}", week.board.detail);
    assert!(shown.contains("nowhere") && shown.contains("saltmarsh"), "{shown}");
}

#[test]
fn what_comes_of_a_judging_that_was_given_up_is_passed_over() {
    let folder = tempfile::tempdir().expect("a folder");
    let (played, mut week) = season(folder.path(), 12);
    let change = played.planted.change.expect("a change");
    press(&mut week, &[plain(Cap::Enter)]);
    let (given_up, Face::Judging(under, _)) = (week.edition.begun, &week.edition.face) else {
        panic!("{:?}", week.edition.face)
    };
    let under = *under;
    // A result does not move the selection on another tab.
    tab(&mut week, Tab::Grades);
    press(&mut week, &[plain(Cap::Down), plain(Cap::Down)]);
    let (pointed, looked) = (week.pointed(), week.board.lines.clone());
    let came = judging::judge(week.work(under).expect("work"), |_| {});
    let _ = week.update(Message::Judging(given_up, came));
    assert_eq!((week.pointed(), &week.board.lines, pointed), (2, &looked, 2));
    tab(&mut week, Tab::Edition);
    assert!(matches!(week.edition.face, Face::Judged(_)));
    let late = judging::judge(week.work(under).expect("work"), |_| {});
    press(&mut week, &[letter('e')]);
    judge_under(&mut week, &change.since);
    let lines = week.board.lines.clone();
    let _ = week.update(Message::Judging(given_up, late));
    assert_eq!(week.board.lines, lines);
    // Late progress changes nothing after the result.
    let _ = week.update(Message::Judging(week.edition.begun, Came::Read(7)));
    assert_eq!(week.board.lines, lines);
}

#[test]
fn who_decided_is_a_number_where_officials_are_numbers_only() {
    let folder = tempfile::tempdir().expect("a folder");
    let (played, mut week) = season(folder.path(), WEEKS);
    let change = played.planted.change.expect("a change");
    judge_under(&mut week, &change.since);
    assert!(walked(&mut week).iter().any(|(_, detail)| detail.contains("booth-0")));
    let mut weekly = week.weekly.clone();
    weekly.numbers = true;
    let held = crate::week::held::Held::read(&weekly).map(std::sync::Arc::new).map_err(std::sync::Arc::new);
    let (mut week, _) = Week::open(weekly);
    let _ = week.update(Message::Read(held));
    tab(&mut week, Tab::Edition);
    judge_under(&mut week, &change.since);
    let walked = walked(&mut week);
    assert!(walked.iter().any(|(line, detail)| line.look && detail.contains("official: Some(")));
    assert!(walked.iter().all(|(_, detail)| !detail.contains("booth-0")));
}

#[test]
fn elsewhere_its_keys_say_where_it_is_done() {
    let folder = tempfile::tempdir().expect("a folder");
    let (_, mut week) = season(folder.path(), 12);
    for key in [plain(Cap::Enter), letter('j'), letter('b'), letter('e')] {
        tab(&mut week, Tab::Pairs);
        press(&mut week, &[key]);
        assert!(week.told.as_deref().is_some_and(|told| told.contains("another edition")), "{:?}", week.told);
        assert!(matches!(week.edition.face, Face::Choosing) && week.typing.is_none());
    }
}
