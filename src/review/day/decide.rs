//! Which events a command of the day leads to, as `review::decide` decides it for a review.

use super::fold::{Day, Phase, Service};
use super::{By, Command, Ending, Event, Opened, desk, over};
use crate::fold::{Phase as ReviewPhase, Review};
use crate::refusal::{Refusal, no, unknown};
use rules::book::Book;
use rules::book::words::Say;
use rules::game::advance;
use rules::game::advance::Error;
use rules::game::advance::fouls;
use rules::game::advance::fouls::{Fouled, Stage};
use rules::game::situation::{Next, Situation};

/// The events that a command leads to.
///
/// # Errors
/// [`Refusal`] if the command does not fit the day as it is.
pub fn decide(book: &Book, day: &Day, command: Command) -> Result<Vec<Event>, Refusal> {
    allowed(day, &command)?;
    let event = match command {
        Command::Open(card) if card.game.trim().is_empty() => {
            return no("the game has no id", "give it one, such as its week and its teams");
        }
        Command::Open(card) => Event::Opened(Box::new(Opened::under(book, card))),
        Command::Check { item, done } => match day.checks.iter().any(|check| check.item == item) {
            true => Event::Checked { item, done },
            false => {
                let known = day.checks.iter().map(|check| check.item.as_str());
                return unknown("item", &item, known);
            }
        },
        Command::Set(_) if !day.plays.is_empty() => {
            return no("the situation is set", "correct it, or say what the play did");
        }
        Command::Set(to) => moved(book, to, By::Set)?,
        Command::Advance(play) => {
            over::goes_on(book, day)?;
            let next = fits(advance::advance(book, &situation(day)?, play))?;
            moved(book, after_try(book, day, next.after), By::Play(play))?
        }
        Command::Fouls(fouled) => {
            over::goes_on(book, day)?;
            with_fouls(book, day, fouled)?
        }
        Command::Correct { situation: to, reason } => {
            if to == situation(day)? {
                return no(
                    "the situation already has these values",
                    "change what is wrong, or leave it as it is",
                );
            }
            moved(book, to, By::Correction { reason })?
        }
        Command::Timeout(team) => {
            moved(book, fits(advance::timeout(&situation(day)?, team))?, By::Timeout(team))?
        }
        Command::NextPeriod(start) => {
            over::period_over(book, day)?;
            let begun = fits(advance::next_period(book, &situation(day)?, start))?;
            moved(book, after_period(book, day, begun)?, By::Period)?
        }
        Command::Undo => undo(day)?,
        Command::Looked { play } => looked(day, play)?,
        Command::Review { review, play } => review_begins(day, review, play)?,
        Command::EndReview { review, ended } => review_ends(book, day, review, &ended)?,
        Command::OutOfService { reason } if reason.trim().is_empty() => {
            return no("taking replay out of service needs a reason", "say what failed");
        }
        Command::OutOfService { reason } => {
            let words = book.first_words().say(Say::OutOfService, &[]);
            Event::OutOfService { reason, words }
        }
        Command::BackInService => {
            let words = book.first_words().say(Say::BackInService, &[]);
            Event::BackInService { words }
        }
        Command::Close => over::close(book, day)?,
        Command::EndEarly { how, reason } => over::end_early(book, day, how, reason)?,
        Command::Reopen { reason } if reason.trim().is_empty() => {
            return no("reopening a game needs a reason", "say why it goes on");
        }
        Command::Reopen { reason } => Event::Reopened { reason },
        Command::CorrectCard { card, reason } => desk::correct_card(day, card, reason)?,
        Command::HandOver { who } => desk::hand_over(day, &who)?,
        Command::CameraLost { camera, reason } => desk::camera_lost(day, camera, reason)?,
        Command::CameraBack { camera } => desk::camera_back(day, camera)?,
    };
    Ok(vec![event])
}

/// Refuses a command that does not fit the state of the day.
fn allowed(day: &Day, command: &Command) -> Result<(), Refusal> {
    use Command as C;
    match (day.phase, command) {
        (Phase::New, C::Open(_)) => return Ok(()),
        (Phase::New, _) => return no("no game is open", "open the game with its card"),
        (Phase::Open, C::Open(_)) => return no("the game is open already", "close it before the next one"),
        (Phase::Closed, C::Reopen { .. }) => return Ok(()),
        (Phase::Closed, _) => return no("the game is closed", "reopen it, or open the next one"),
        (Phase::Open, C::Reopen { .. }) => return no("the game is open", "go on with it"),
        (Phase::Open, _) => {}
    }
    let moves = match command {
        C::Set(_)
        | C::Advance(_)
        | C::Fouls(_)
        | C::Correct { .. }
        | C::Timeout(_)
        | C::NextPeriod(_)
        | C::Undo
        | C::Review { .. }
        | C::Close
        | C::EndEarly { .. }
        | C::CorrectCard { .. } => true,
        C::Open(_)
        | C::Check { .. }
        | C::Looked { .. }
        | C::EndReview { .. }
        | C::OutOfService { .. }
        | C::BackInService
        | C::Reopen { .. }
        | C::HandOver { .. }
        | C::CameraLost { .. }
        | C::CameraBack { .. } => false,
    };
    match (day.review(), &day.service, command) {
        (Some(on), _, _) if moves => {
            no(format!("the review {} is on", on.review), "end it first: rule, withdraw, or cut it short")
        }
        (_, Service::Out { .. }, C::Review { .. }) => {
            no("replay is out of service", "the ruling on the field stands; put replay back in service first")
        }
        (_, Service::Out { .. }, C::OutOfService { .. }) => {
            no("replay is out of service already", "put it back in service when it works again")
        }
        (_, Service::In, C::BackInService) => no("replay is in service", "nothing to do"),
        (_, Service::In | Service::Out { .. }, _) => Ok(()),
    }
}

fn situation(day: &Day) -> Result<Situation, Refusal> {
    match day.situation() {
        Some(situation) => Ok(situation),
        None => no("there is no situation yet", "set it: period, clock, ball and score"),
    }
}

/// The event of a new situation, if this game can have it.
fn moved(book: &Book, to: Situation, by: By) -> Result<Event, Refusal> {
    match to.possible(&book.field, &book.game) {
        Ok(()) => Ok(Event::Moved { to, by }),
        Err(impossible) => no(impossible.to_string(), "correct that value first"),
    }
}

fn fits<T>(found: Result<T, Error>) -> Result<T, Refusal> {
    let unfit = match found {
        Ok(found) => return Ok(found),
        Err(unfit) => unfit,
    };
    let instead = match unfit {
        Error::NoKick => "say whether it was run or passed, or failed",
        Error::Next(_) => "say what became of it, or correct the situation",
        Error::Spot { .. } => "say where the ball was dead, in yards from the offense's own goal line",
        Error::Clock { .. } => "say what the clock showed when the ball was dead, or correct the clock first",
        Error::TimeLeft(_) => "run the clock down with the last play, or correct it",
        Error::TryLeft => "say what became of the try",
        Error::GameOver => "close the game",
        Error::NobodyBegins => "say who kicks off, or has the ball, and toward which end",
        Error::NoTimeout => "correct the count if it is wrong",
        Error::Nothing => "say what the play did, or which foul came before the snap",
    };
    no(unfit.to_string(), instead)
}

/// A play with its fouls, once every choice about them is made.
fn with_fouls(book: &Book, day: &Day, fouled: Box<Fouled>) -> Result<Event, Refusal> {
    let stage = match fouled.stage(book, &situation(day)?) {
        Err(fouls::Error::Unfit(unfit)) => return fits(Err(unfit)),
        Err(unfit) => return no(unfit.to_string(), "put the foul right, or leave it out"),
        Ok(stage) => stage,
    };
    match stage {
        Stage::Asks(_) => no("a team has a choice that is not made yet", "decide it"),
        Stage::Led(led) => moved(book, after_try(book, day, led.after), By::Fouls(fouled)),
    }
}

/// What follows a try, with the penalties on the touchdown that were carried there.
fn after_try(book: &Book, day: &Day, after: Situation) -> Situation {
    let Some(a_try) = day.plays.last().filter(|play| play.at.next == Next::Try) else { return after };
    let begins = match after.next {
        Next::FreeKick => after.offense == a_try.at.offense,
        Next::Scrimmage { .. } => after.offense != a_try.at.offense,
        Next::Try => false,
    };
    let scored = day.plays.iter().rev().find(|play| play.at.next != Next::Try).filter(|_| begins);
    scored.and_then(|play| play.fouled()?.carried(book, &play.at, after)).unwrap_or(after)
}

/// What begins a half or overtime, with the penalties that were carried over the end of the one before: of its last play,
/// and where that was a try, of the touchdown before it.
fn after_period(book: &Book, day: &Day, begun: Situation) -> Result<Situation, Refusal> {
    let now = situation(day)?;
    if !advance::needs_start(book, &now) || book.game.is_overtime(now.period) {
        return Ok(begun);
    }
    let mut carried = begun;
    for play in day.plays.iter().rev().filter(|play| play.did.is_some()) {
        if play.at.period != now.period {
            break;
        }
        carried = play.fouled().and_then(|fouled| fouled.carried(book, &play.at, carried)).unwrap_or(carried);
        if play.at.next != Next::Try {
            break;
        }
    }
    Ok(carried)
}

/// Undoes the newest change, but never past a review: its result is corrected, not undone.
fn undo(day: &Day) -> Result<Event, Refusal> {
    for (act, stamped) in day.standing().rev() {
        match &stamped.event {
            Event::Moved { .. } => return Ok(Event::Undone { act }),
            Event::ReviewBegan { .. } | Event::ReviewEnded { .. } => {
                return no("a review came after the last change", "correct the situation instead");
            }
            Event::Opened(_)
            | Event::Checked { .. }
            | Event::Undone { .. }
            | Event::Looked { .. }
            | Event::OutOfService { .. }
            | Event::BackInService { .. }
            | Event::Closed
            | Event::EndedEarly { .. }
            | Event::Reopened { .. }
            | Event::CardCorrected { .. }
            | Event::HandedOver { .. }
            | Event::CameraLost { .. }
            | Event::CameraBack { .. } => {}
        }
    }
    no("there is no change to take back", "set the situation")
}

fn looked(day: &Day, play: usize) -> Result<Event, Refusal> {
    match day.plays.get(play) {
        Some(found) if found.looked => no("the play is marked as looked at", "go on"),
        Some(found) if !found.replay => {
            no("replay was out of service", "the play could not be seen, so it cannot be marked as looked at")
        }
        Some(_) => Ok(Event::Looked { play }),
        None => no("there is no such play", "set the situation first"),
    }
}

fn review_begins(day: &Day, review: String, play: usize) -> Result<Event, Refusal> {
    if day.reviews.iter().any(|known| known.review == review) {
        return no(format!("there is a review {review} already"), "give the new one another id");
    }
    match day.plays.get(play) {
        Some(_) => Ok(Event::ReviewBegan { review, play }),
        None => no("there is no such play", "set the situation first"),
    }
}

/// The end of a review. A ruling on the play just run, or on the coming one, gives the new situation; one on an earlier
/// play, and a refusal with its price, change only what the teams have left.
fn review_ends(book: &Book, day: &Day, review: String, ended: &Review) -> Result<Event, Refusal> {
    let Some(on) = day.review().filter(|on| on.review == review) else {
        return no(format!("no review {review} is on"), "name the one that is on");
    };
    let now = situation(day)?;
    let how = match ended.phase {
        ReviewPhase::Announced => Ending::Ruled,
        ReviewPhase::Refused => Ending::Refused,
        ReviewPhase::Withdrawn => Ending::Withdrawn,
        // `New`: the desk was killed before the review was called.
        ReviewPhase::CutShort | ReviewPhase::New => Ending::CutShort,
        ReviewPhase::Called
        | ReviewPhase::Admitted
        | ReviewPhase::Open
        | ReviewPhase::Ruled
        | ReviewPhase::ReadyToAnnounce => return no("the review is not over", "announce it, or end it"),
    };
    let ruled = ended.ruling.as_ref().map(|ruling| ruling.after).filter(|_| how == Ending::Ruled);
    let to = match (ruled, ended.situation()) {
        (Some(after), _) => day.after_ruling(book, on.play, after),
        (None, Some(left)) => Situation { timeouts: left.timeouts, challenges: left.challenges, ..now },
        (None, None) => now,
    };
    let always = ruled.is_some() && on.play + 1 == day.plays.len();
    Ok(Event::ReviewEnded { review, how, to: (always || to != now).then_some(to) })
}
