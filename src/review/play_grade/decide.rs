//! Whether the crew's call on a play may be graded.

use super::Event;
use super::fold::PlayGrades;
use crate::day::fold::Day;
use crate::decide::{Refusal, no};

/// The event that is asked for, if it fits the game; `day` is none where the log has no such game.
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
            "`tellframe log show GAME` tells its plays in order",
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
