//! Whether the crew's call on a play may be graded.

use super::Event;
use super::fold::PlayGrades;
use crate::day::fold::Day;
use crate::refusal::{Refusal, no};

/// The event, if it fits the game; `day` is `None` where the log has no such game.
///
/// # Errors
/// [`Refusal`] if it does not, with what to do instead.
pub fn decide(day: Option<&Day>, grades: &PlayGrades, event: Event) -> Result<Vec<Event>, Refusal> {
    let Event::Graded { play: number, reason, .. } = &event;
    let Some(day) = day else {
        return no("there is no such game in the log", "`tellframe log show` lists the games");
    };
    let Some(play) = day.plays.get(*number) else {
        let count = day.plays.len();
        return no(
            format!("there is no play {number}: the game has {count}, counted from 0"),
            "`tellframe log show GAME` lists its plays in order",
        );
    };
    if !play.reviews.is_empty() {
        return no(
            format!("play {number} was reviewed"),
            "grade the record of its review; `tellframe log export` writes all records with their ids",
        );
    }
    if play.did.is_none() && number + 1 == day.plays.len() {
        return no(format!("play {number} was not run"), "grade a play that was run");
    }
    if grades.standing(*number).is_some() && reason.trim().is_empty() {
        return Err(Refusal {
            because: format!("play {number} is graded already, and a new grade needs a reason"),
            instead: "say why; the earlier grade is kept beside it".to_owned(),
            reason_carries: true,
        });
    }
    Ok(vec![event])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::day::fold::{Play, fold};
    use crate::grade::Call;
    use crate::play_grade::Stamped;
    use crate::stamp::Stamp;
    use field::exact::Yards;
    use rules::book::{load, shipped};
    use rules::game::advance::{Advance, Did, Start, opening};
    use rules::game::situation::{End, Team};

    /// Three plays: one was run, one was run and reviewed, one is coming.
    fn day() -> Day {
        let sources = shipped::sources("saltmarsh").expect("it is in the program");
        let book = load::load("saltmarsh", &sources).expect("it is sound");
        let at = opening(&book, Start { team: Team::Home, attacks: End::East });
        let did = Advance { did: Did::Down { at: Yards::whole(30) }, clock_ms: 800_000 };
        let play = |did, reviews| {
            let (fouls, decided) = (Vec::new(), Vec::new());
            Play { at, came: at, did, fouls, decided, looked: false, reviews, replay: true }
        };
        let plays =
            vec![play(Some(did), vec![]), play(Some(did), vec!["r-1".to_owned()]), play(None, vec![])];
        let mut day = fold([]);
        day.plays = plays;
        day
    }

    fn graded(play: usize, call: Call, reason: &str) -> Event {
        Event::Graded { play, call, reason: reason.to_owned() }
    }

    #[test]
    fn only_a_play_that_was_run_and_not_reviewed_is_graded() {
        let (day, none) = (day(), PlayGrades::default());
        let no = |day, play| {
            decide(day, &none, graded(play, Call::Correct, "")).map_err(|no| no.because).expect_err("refused")
        };
        assert_eq!(no(None, 0), "there is no such game in the log");
        assert_eq!(no(Some(&day), 3), "there is no play 3: the game has 3, counted from 0");
        assert_eq!(no(Some(&day), 1), "play 1 was reviewed");
        assert_eq!(no(Some(&day), 2), "play 2 was not run");
        let event = graded(0, Call::Missed, "");
        assert_eq!(decide(Some(&day), &none, event.clone()), Ok(vec![event]));
    }

    #[test]
    fn a_later_grade_of_a_play_needs_a_reason_and_both_are_kept() {
        let (day, mut grades) = (day(), PlayGrades::default());
        let mut done = |event: Event| -> Result<(), String> {
            for event in decide(Some(&day), &grades, event).map_err(|no| no.because)? {
                let at = Stamp { utc_ms: 0, boot_ms: 0, boot: "b".to_owned() };
                grades.apply(Stamped { at, by: "supervisor".to_owned(), event });
            }
            Ok(())
        };
        assert_eq!(done(graded(0, Call::Correct, "")), Ok(()));
        let refused = done(graded(0, Call::Incorrect, " "));
        assert_eq!(refused, Err("play 0 is graded already, and a new grade needs a reason".to_owned()));
        assert_eq!(done(graded(0, Call::Incorrect, "the high end shows the foot")), Ok(()));
        assert_eq!(grades.standing(0).map(|given| given.call), Some(Call::Incorrect));
        let kept: Vec<_> = grades.superseded().map(|(given, gone)| (given.call, gone)).collect();
        assert_eq!(kept, [(Call::Correct, true), (Call::Incorrect, false)]);
    }
}
