//! Whether something may be done to a record after the game.

use super::fold::Graded;
use super::{Event, Grade, Picture};
use crate::refusal::{Refusal, no};

/// The event, if it fits the record as it was graded so far.
///
/// # Errors
/// [`Refusal`] if it does not, with what to do instead.
pub fn decide(graded: &Graded, event: Event) -> Result<Event, Refusal> {
    let empty = |text: &str| text.trim().is_empty();
    match &event {
        Event::Graded { grade, reason } => {
            let before = graded.standing(grade.matter());
            if before.is_some() && empty(reason) {
                let what = grade.matter().word();
                return Err(Refusal {
                    because: format!("the {what} is graded already, and a new grade needs a reason"),
                    instead: "say why; the earlier grade is kept beside it".to_owned(),
                    reason_carries: true,
                });
            }
            if let Grade::Position(position) = grade
                && empty(position)
            {
                return no(
                    "the position that had the call is missing",
                    "name the position as the league does, spelt the same each time",
                );
            }
            if let Grade::Picture(Picture::Poor { camera, sight_line }) = grade
                && (empty(camera) || empty(sight_line) || empty(reason))
            {
                return no(
                    "a poor angle needs its camera, the sight line that it lacked, and why",
                    "name all three, so that the camera can be moved",
                );
            }
        }
        Event::Inquired { club, text } => {
            if empty(club) || empty(text) {
                return no("an inquiry needs its club and its text", "give both");
            }
        }
        Event::Appealed { of, text } => {
            if graded.standing(*of).is_none() {
                return no(
                    format!("the {} is not graded, so there is nothing to appeal", of.word()),
                    "appeal a grade that was given",
                );
            }
            if empty(text) {
                return no("an appeal needs its text", "say why the grade should be another");
            }
        }
        Event::Answered { letter, text } => {
            let place = usize::try_from(*letter).ok().and_then(|number| number.checked_sub(1));
            let Some(asked) = place.and_then(|place| graded.letters.get(place)) else {
                return no(
                    format!("there is no letter {letter}: the record has {}", graded.letters.len()),
                    "count inquiries and appeals together, from 1",
                );
            };
            if asked.answer.is_some() {
                return no(
                    format!("letter {letter} is answered already"),
                    "enter the new text as a letter of its own, then answer that",
                );
            }
            if empty(text) {
                return no("an answer needs its text", "write what is answered");
            }
        }
    }
    Ok(event)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grade::{Call, Matter, Reviewed, Stamped};
    use crate::stamp::Stamp;

    fn done(graded: &mut Graded, event: Event) -> Result<(), String> {
        let event = decide(graded, event).map_err(|no| no.because)?;
        let at = Stamp { utc_ms: 0, boot_ms: 0, boot: "b".to_owned() };
        graded.apply(Stamped { at, by: "supervisor".to_owned(), event });
        Ok(())
    }

    fn call(call: Call, reason: &str) -> Event {
        Event::Graded { grade: Grade::Call(call), reason: reason.to_owned() }
    }

    // PROPERTY: a later grade supersedes, and both are kept
    #[test]
    fn a_later_grade_needs_a_reason_supersedes_the_earlier_and_both_are_kept() {
        let mut graded = Graded::default();
        assert_eq!(done(&mut graded, call(Call::Correct, "")), Ok(()));
        let refused = done(&mut graded, call(Call::Incorrect, " "));
        assert_eq!(refused, Err("the call is graded already, and a new grade needs a reason".to_owned()));
        assert_eq!(done(&mut graded, call(Call::Incorrect, "the high end shows the foot")), Ok(()));
        assert_eq!((graded.call(), graded.grades.len()), (Some(Call::Incorrect), 2));
        assert!(graded.superseded(0) && !graded.superseded(1));
        let review = Event::Graded { grade: Grade::Review(Reviewed::TooLong), reason: String::new() };
        assert_eq!(done(&mut graded, review), Ok(()));
        assert_eq!((graded.call(), graded.review()), (Some(Call::Incorrect), Some(Reviewed::TooLong)));
    }

    #[test]
    fn whose_call_it_was_stands_beside_its_grade_and_is_changed_with_a_reason_only() {
        let whose = |position: &str, reason: &str| Event::Graded {
            grade: Grade::Position(position.to_owned()),
            reason: reason.to_owned(),
        };
        let mut graded = Graded::default();
        assert!(done(&mut graded, whose(" ", "")).is_err());
        assert_eq!(done(&mut graded, whose("umpire", "")), Ok(()));
        assert_eq!(done(&mut graded, call(Call::Missed, "")), Ok(()));
        assert!(done(&mut graded, whose("line judge", "")).is_err());
        assert_eq!(graded.position(), Some("umpire"));
        assert_eq!(done(&mut graded, whose("line judge", "it was in their zone")), Ok(()));
        assert_eq!((graded.position(), graded.call()), (Some("line judge"), Some(Call::Missed)));
    }

    #[test]
    fn a_poor_angle_says_which_camera_which_sight_line_and_why() {
        let poor = |camera: &str, reason: &str| Event::Graded {
            grade: Grade::Picture(Picture::Poor {
                camera: camera.to_owned(),
                sight_line: "along the goal line".to_owned(),
            }),
            reason: reason.to_owned(),
        };
        let mut graded = Graded::default();
        assert!(done(&mut graded, poor("", "blocked")).is_err());
        assert!(done(&mut graded, poor("far corner", "")).is_err());
        assert_eq!(done(&mut graded, poor("far corner", "an upright stands before the ball")), Ok(()));
    }

    #[test]
    fn only_a_grade_is_appealed_and_a_letter_is_answered_once() {
        let appeal = || Event::Appealed { of: Matter::Call, text: "the heel was on the line".to_owned() };
        let answer = |letter| Event::Answered { letter, text: "the grade stands".to_owned() };
        let mut graded = Graded::default();
        assert!(done(&mut graded, appeal()).is_err());
        assert_eq!(done(&mut graded, call(Call::Missed, "")), Ok(()));
        assert_eq!(done(&mut graded, appeal()), Ok(()));
        for wrong in [0, 2] {
            assert!(done(&mut graded, answer(wrong)).is_err(), "{wrong}");
        }
        assert_eq!(done(&mut graded, answer(1)), Ok(()));
        assert_eq!(done(&mut graded, answer(1)), Err("letter 1 is answered already".to_owned()));
    }

    #[test]
    fn every_word_names_its_grade() {
        assert!(Call::ALL.iter().all(|one| Call::of(one.word()) == Some(*one)));
        assert!(Reviewed::ALL.iter().all(|one| Reviewed::of(one.word()) == Some(*one)));
        assert_eq!(Call::of("fine"), None);
    }
}
