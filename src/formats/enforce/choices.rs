//! What the teams choose: its words, and which of it there was nothing to choose about.

use super::{Asked, Read};
use crate::error::Error;
use crate::snap::Snap;
use rules::book::Book;
use rules::book::defect::nearest;
use rules::game::enforce::options::Kind;
use rules::game::enforce::reading::Ran;
use rules::game::enforce::walk_off::Place;
use rules::game::enforce::{Carry, Pick, Picks, Ruling};
use rules::game::situation::Team;
use rules::shown::shown;

const BOTH: &str = "fouls of both";
const TOUCHDOWN: &str = "after a touchdown";
const RUN_OFF: &str = "run-off";
const TIMEOUT: &str = "timeout";
const TOUCH: &str = "touch";
const WHISTLE: &str = "whistle";

pub(super) fn read(asked: &Asked, snap: Snap<'_, '_>, ran: &Ran) -> Result<Picks, Error> {
    let mut picks = Picks::better();
    for (name, word) in &asked.choices {
        pick(asked, snap, ran, (name, word), &mut picks).map_err(|error| match error.path.is_empty() {
            true => error.within(name).within("choices"),
            false => error.within("choices"),
        })?;
    }
    Ok(picks)
}

fn pick(
    asked: &Asked,
    snap: Snap<'_, '_>,
    ran: &Ran,
    (name, word): (&str, &str),
    picks: &mut Picks,
) -> Result<(), Error> {
    let one_of = |known: &[&str]| {
        Err(Error::new(format!("`{}` cannot be chosen here", shown(word)))
            .help(nearest(word, known.iter().copied())))
    };
    match (name, word) {
        (BOTH, "offset") => picks.play = Some(Kind::Offset),
        (BOTH, "keep the ball") => picks.play = Some(Kind::KeepBall),
        (BOTH, _) => return one_of(&["offset", "keep the ball"]),
        (TOUCHDOWN, "try") => picks.carry = Some(Carry::Try),
        (TOUCHDOWN, "free kick") => picks.carry = Some(Carry::FreeKick),
        (TOUCHDOWN, "next series") => picks.carry = Some(Carry::NextSeries),
        (TOUCHDOWN, _) => return one_of(&["try", "free kick", "next series"]),
        (RUN_OFF, "take") => picks.run_off = Some(true),
        (RUN_OFF, "decline") => picks.run_off = Some(false),
        (RUN_OFF, _) => return one_of(&["take", "decline"]),
        (TIMEOUT, "home") => picks.timeout = Some(snap.timeout(Team::Home)?),
        (TIMEOUT, "away") => picks.timeout = Some(snap.timeout(Team::Away)?),
        (TIMEOUT, _) => return one_of(&["home", "away"]),
        (TOUCH, "take") => match ran.touch_spots().next() {
            Some(spot) => picks.play = Some(Kind::TouchSpot(spot)),
            None => {
                return Err(Error::new("no stage of the play has a `touch_spot`, so there is none to take")
                    .help("give the stage of the kick its `touch_spot`, or leave the choice out"));
            }
        },
        (TOUCH, _) => return one_of(&["take"]),
        (WHISTLE, "take") => picks.play = Some(Kind::Play),
        (WHISTLE, "repeat") => picks.play = Some(Kind::Repeat),
        (WHISTLE, _) => return one_of(&["take", "repeat"]),
        (penalty, word) => {
            let pick = match word {
                "accept" => Pick::Accept,
                "decline" => Pick::Decline,
                "standard" => Pick::At(Place::Standard),
                "tack on" => Pick::At(Place::TackOn),
                "beyond" => Pick::At(Place::Beyond),
                _ if asked.fouls.iter().all(|foul| foul.name != penalty) => {
                    return Err(unknown(snap.book, asked, penalty));
                }
                _ => return one_of(&["accept", "decline", "standard", "tack on", "beyond"]),
            };
            let of = asked.fouls.iter().enumerate().filter(|(_, foul)| foul.name == penalty);
            let of: Vec<usize> = of.map(|(number, _)| number).collect();
            if of.is_empty() {
                return Err(unknown(snap.book, asked, penalty));
            }
            picks.about.extend(of.into_iter().map(|number| (number, pick)));
        }
    }
    Ok(())
}

/// The name of a choice that this play does not have.
fn unknown(book: &Book, asked: &Asked, name: &str) -> Error {
    let fouls = asked.fouls.iter().map(|foul| foul.name.as_str());
    let known = fouls.chain([BOTH, TOUCHDOWN, RUN_OFF, TIMEOUT, TOUCH, WHISTLE]);
    let message = match book.penalties.contains_key(name) {
        true => format!("there is no foul `{name}` in this play to choose about"),
        false => format!("there is nothing called `{}` to choose about", shown(name)),
    };
    Error::new(message).help(nearest(name, known)).at_name(name)
}

/// The choices that were given and that there was nothing to choose about.
pub(super) fn idle(read: &Read<'_>, ruling: &Ruling) -> Vec<String> {
    let any = |kind: &dyn Fn(Kind) -> bool| ruling.options.iter().any(|option| kind(option.kind));
    let dead = |number: usize| !any(&|kind| matches!(kind, Kind::Accept(of, _) if of == number));
    let idle = |name: &str| -> Option<&'static str> {
        match name {
            BOTH => {
                let offered = any(&|kind| Some(kind) == read.picks.play);
                (!offered).then_some("the fouls of this play do not leave that choice")
            }
            TOUCHDOWN => {
                let carried = ruling.options.iter().any(|option| option.carry.is_some());
                (!carried).then_some("no penalty follows a touchdown")
            }
            RUN_OFF => ruling.run_off.is_none().then_some("no time may run off"),
            WHISTLE => {
                let offered = any(&|kind| kind == Kind::Repeat);
                (!offered).then_some("no early whistle leaves that choice")
            }
            TIMEOUT | TOUCH => None,
            penalty => {
                let fouls = read.fouls.iter().enumerate();
                let mut of = fouls.filter(|(_, foul)| foul.penalty.name == penalty);
                let not_there = |(number, _): (usize, _)| match read.picks.about.get(&number) {
                    Some(Pick::At(place)) => !any(&|kind| kind == Kind::Accept(number, *place)),
                    Some(Pick::Accept | Pick::Decline) => dead(number) && !read.is_dead(number),
                    None => false,
                };
                of.all(not_there).then_some("the rules do not leave that choice here")
            }
        }
    };
    let said = read.chosen.iter().filter_map(|(name, word)| {
        Some(format!("the choice `{name}`: `{word}` changes nothing: {}", idle(name)?))
    });
    said.collect()
}
