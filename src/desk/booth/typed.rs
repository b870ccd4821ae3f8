//! What an official types in a hurry: a spot, a clock, a mark. Digits alone are enough where they can be.

use evidence::time::timecode::Timecode;
use field::Field;
use field::exact::Yards;
use review::announcement::Names;
use rules::book::Book;
use rules::book::effect::Part;
use rules::game::play::Flag;
use rules::game::situation::{Situation, Team};

/// Why a line cannot be read: what is wrong, and how it is written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(crate) enum Unread {
    #[error("`{0}` is not a clock: write 4:38, 438 or 12.5")]
    Clock(String),
    #[error(
        "`{text}` is not a spot: write the team's first letters and the yard line, like {home}12 or {away}12"
    )]
    Spot { text: String, home: String, away: String },
    #[error("a mark needs the timecode in the picture: 00:41:17;22, or just 411722")]
    NoTimecode,
    #[error("`{0}` is not a timecode: write 00:41:17;22, or just 411722")]
    Timecode(String),
    #[error("`{0}` names no penalty of the book, or several: write more of its name")]
    Penalty(String),
    #[error("`{0}` is not part of a flag: o or d for whom it is on, a spot, c4:38, dead")]
    Flag(String),
    #[error("`{text}` is not a camera: {known}")]
    Camera { text: String, known: String },
}

/// What a spot is read against: the field, the teams, the situation.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ground<'a> {
    pub field: &'a Field,
    pub names: &'a Names,
    /// The situation at the snap.
    pub situation: &'a Situation,
}

/// A clock in milliseconds: `4:38`, `4:38.5`, `438`, `38` and `12.5`.
///
/// # Errors
/// [`Unread::Clock`] for anything else.
pub(crate) fn clock(text: &str) -> Result<i64, Unread> {
    let wrong = || Unread::Clock(text.to_owned());
    let text = text.trim();
    let (minutes, seconds) = match text.split_once(':') {
        Some(("", seconds)) => ("0", seconds),
        Some((minutes, seconds)) => (minutes, seconds),
        // Digits alone: the last two are seconds.
        None if text.len() > 2 && text.bytes().all(|byte| byte.is_ascii_digit()) => {
            text.split_at(text.len() - 2)
        }
        None => ("0", text),
    };
    let minutes: i64 = minutes.parse().map_err(|_| wrong())?;
    let (whole, part) = seconds.split_once('.').unwrap_or((seconds, "0"));
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
    if !digits(whole) || !digits(part) || part.len() > 3 || !(0..=999).contains(&minutes) {
        return Err(wrong());
    }
    let whole: i64 = whole.parse().map_err(|_| wrong())?;
    let part: i64 = format!("{part:0<3}").parse().map_err(|_| wrong())?;
    if whole >= 60 {
        return Err(wrong());
    }
    Ok((minutes * 60 + whole) * 1000 + part)
}

/// A clock as a scoreboard shows it, and the step from one figure to the next, both in milliseconds. The typed places
/// give the step: `4:38` counts in seconds, `42.3` in tenths.
///
/// # Errors
/// [`Unread::Clock`] for anything else.
pub(crate) fn shown_clock(text: &str) -> Result<(i64, u32), Unread> {
    let shown_ms = clock(text)?;
    let places = text.trim().split_once('.').map_or(0, |(_, part)| part.len());
    Ok((
        shown_ms,
        match places {
            0 => 1000,
            1 => 100,
            2 => 10,
            _ => 1,
        },
    ))
}

/// A spot in the offense frame and a clock, in any order, either may be left out: `k12 4:38`, `438 o5`, `c38`. A clock
/// has a colon, a `c` before it, or three digits and more; one or two digits alone are a spot.
///
/// # Errors
/// [`Unread`] for the first part that is neither.
pub(crate) fn place(text: &str, ground: Ground<'_>) -> Result<(Option<Yards>, Option<i64>), Unread> {
    let (mut at, mut clock_ms) = (None, None);
    for part in text.split_whitespace() {
        let digits = part.bytes().all(|byte| byte.is_ascii_digit());
        match clock_after_c(part) {
            Some(shown) => clock_ms = Some(clock(shown)?),
            None if part.contains(':') || (digits && part.len() > 2) => clock_ms = Some(clock(part)?),
            None => at = Some(spot(part, ground)?),
        }
    }
    Ok((at, clock_ms))
}

/// The clock in `c4:38`; none where no digit follows the `c`.
fn clock_after_c(part: &str) -> Option<&str> {
    part.strip_prefix(['c', 'C']).filter(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))
}

/// A spot in the offense frame of the snap: `k12`, `Kites 12`, `25` at midfield, `k-3` in their end zone, `x38.5` as a
/// figure of that frame.
///
/// # Errors
/// [`Unread::Spot`] for anything else.
pub(crate) fn spot(text: &str, ground: Ground<'_>) -> Result<Yards, Unread> {
    let (home, away) = letters(ground.names);
    let wrong = || Unread::Spot { text: text.to_owned(), home: home.clone(), away: away.clone() };
    let typed = text.trim().to_lowercase();
    let at = typed.find(|c: char| c.is_ascii_digit() || matches!(c, '.' | '-')).ok_or_else(wrong)?;
    let (who, figure) = typed.split_at(at);
    let yards: Yards = figure.parse().map_err(|_| wrong())?;
    let length = ground.field.length;
    match who.trim() {
        "x" => Ok(yards),
        "" if yards == length.half() => Ok(yards),
        "" => Err(wrong()),
        who => {
            let team = team_named(who, ground.names).ok_or_else(wrong)?;
            if yards > length.half() {
                return Err(wrong());
            }
            Ok(if team == ground.situation.offense { yards } else { length - yards })
        }
    }
}

/// The fewest letters that name each team.
fn letters(names: &Names) -> (String, String) {
    let (home, away) = (names.short.home.to_lowercase(), names.short.away.to_lowercase());
    let same = home.chars().zip(away.chars()).take_while(|(a, b)| a == b).count();
    let first = |name: &str| name.chars().take(same + 1).collect();
    (first(&home), first(&away))
}

/// The one team whose name begins with these letters.
pub(crate) fn team_named(letters: &str, names: &Names) -> Option<Team> {
    let letters = letters.to_lowercase();
    let begins = |team: Team| {
        [names.short.of(team), names.teams.of(team)]
            .iter()
            .any(|name| name.to_lowercase().starts_with(&letters))
    };
    match (begins(Team::Home), begins(Team::Away)) {
        (true, false) => Some(Team::Home),
        (false, true) => Some(Team::Away),
        (true, true) | (false, false) => None,
    }
}

/// A flag: `face mask, d o12 c4:38 dead`. Part of the penalty's name is enough, if no other has it.
///
/// # Errors
/// [`Unread`] for a penalty that the book does not have, and for the first part that is not part of a flag.
pub(crate) fn flag(text: &str, book: &Book, ground: Ground<'_>) -> Result<Flag, Unread> {
    let (name, rest) = text.split_once(',').unwrap_or((text, ""));
    let sought = name.trim().to_lowercase();
    let exact = book.penalties.get_key_value(sought.as_str());
    let near: Vec<_> =
        book.penalties.iter().filter(|(name, _)| name.to_lowercase().contains(&sought)).collect();
    let (name, penalty) = match (exact, near.as_slice()) {
        (Some(found), _) => found,
        (None, [one]) if !sought.is_empty() => *one,
        (None, _) => return Err(Unread::Penalty(name.trim().to_owned())),
    };
    let by = penalty.by.unwrap_or(Part::Defense);
    let mut flag = Flag { name: name.clone(), by, spot: None, dead: false, clock_ms: None };
    for part in rest.split_whitespace() {
        match part.to_lowercase().as_str() {
            "o" => flag.by = Part::Offense,
            "d" => flag.by = Part::Defense,
            "dead" => flag.dead = true,
            lower => match lower.strip_prefix('c').map(clock) {
                Some(Ok(shown)) => flag.clock_ms = Some(shown),
                Some(Err(_)) | None => {
                    let at = spot(part, ground).map_err(|_| Unread::Flag(part.to_owned()))?;
                    flag.spot = Some(at);
                }
            },
        }
    }
    Ok(flag)
}

/// A mark as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Typed {
    /// Index of the camera.
    pub camera: usize,
    pub timecode: Timecode,
    /// The timecode is that of the current frame, and was not typed.
    pub of_frame: bool,
    /// In the offense frame.
    pub x: Option<Yards>,
    pub clock_ms: Option<i64>,
}

/// A mark: `411722`, `b 00:41:17;22 k5 c4:38`. In any order: the timecode, a camera's letter, `c` and the game clock, a
/// spot. Without a letter it is on `camera`. `here` is camera and timecode of the current frame, for a mark without a
/// timecode.
///
/// # Errors
/// [`Unread`] for the first part that is none of these.
pub(crate) fn mark(
    text: &str,
    camera: usize,
    cameras: &[String],
    ground: Ground<'_>,
    here: Option<(usize, Timecode)>,
) -> Result<Typed, Unread> {
    let (mut found, mut timecode_found, mut x, mut clock_ms) = (camera, None, None, None);
    for part in text.split_whitespace() {
        let lower = part.to_lowercase();
        if lower.chars().count() == 1 && lower.chars().all(char::is_alphabetic) {
            found = lettered(&lower, cameras)?;
        } else if let Some(shown) = clock_after_c(&lower) {
            clock_ms = Some(clock(shown)?);
        } else if lower.starts_with(|c: char| c.is_alphabetic()) {
            x = Some(spot(part, ground)?);
        } else {
            timecode_found = Some(timecode(part)?);
        }
    }
    let here = here.filter(|(on, _)| *on == found).map(|(_, timecode)| timecode);
    let timecode = timecode_found.or(here).ok_or(Unread::NoTimecode)?;
    Ok(Typed { camera: found, timecode, of_frame: timecode_found.is_none(), x, clock_ms })
}

fn lettered(letter: &str, cameras: &[String]) -> Result<usize, Unread> {
    let number = letter.bytes().next().map(|byte| usize::from(byte.saturating_sub(b'a')));
    number.filter(|number| *number < cameras.len()).ok_or_else(|| Unread::Camera {
        text: letter.to_owned(),
        known: cameras
            .iter()
            .zip('A'..)
            .map(|(camera, letter)| format!("{letter} {camera}"))
            .collect::<Vec<_>>()
            .join(", "),
    })
}

/// A timecode in full, without hours, or as digits alone. Hours and minutes that are left out are zero.
fn timecode(text: &str) -> Result<Timecode, Unread> {
    let wrong = || Unread::Timecode(text.to_owned());
    let text_whole = match text.bytes().all(|byte| byte.is_ascii_digit()) {
        true if text.len() <= 8 => {
            let digits = format!("{text:0>8}");
            let pairs: Vec<&str> = [0, 2, 4, 6].iter().filter_map(|at| digits.get(*at..at + 2)).collect();
            pairs.join(":")
        }
        true => return Err(wrong()),
        false => {
            let parts = text.split([':', ';']).count();
            format!("{}{text}", "00:".repeat(4usize.saturating_sub(parts)))
        }
    };
    text_whole.parse().map_err(|_| wrong())
}

#[cfg(test)]
mod tests {
    use super::*;
    use rules::game::situation::{ByTeam, End, Next};

    fn names() -> Names {
        let of = |home: &str, away: &str| ByTeam { home: home.to_owned(), away: away.to_owned() };
        Names { teams: of("Harbour Kites", "Millrace Otters"), short: of("Kites", "Otters") }
    }

    fn field() -> Field {
        let yards = Yards::whole;
        Field {
            length: yards(50),
            width: yards(27),
            end_zone: yards(7),
            wall_ft: Some(yards(4)),
            posts_ft: yards(10),
            crossbar_ft: yards(12),
        }
    }

    fn situation() -> Situation {
        Situation {
            period: 2,
            clock_ms: 281_300,
            clock_running: true,
            play_clock_s: None,
            next: Next::Scrimmage { down: 4, to_go: Yards::fraction(3, 2) },
            offense: Team::Home,
            attacks: End::East,
            spot: Yards::fraction(77, 2),
            score: ByTeam::default(),
            timeouts: ByTeam::default(),
            challenges: ByTeam::default(),
        }
    }

    #[test]
    fn a_clock_is_read_as_it_is_said() {
        for (text, expected) in [
            ("4:38", Some(278_000)),
            ("438", Some(278_000)),
            ("0:08", Some(8_000)),
            (":08", Some(8_000)),
            ("38", Some(38_000)),
            ("12.5", Some(12_500)),
            ("4:38.25", Some(278_250)),
            ("15:00", Some(900_000)),
            ("4:60", None),
            ("", None),
            ("4:", None),
            ("-1", None),
            ("4:38.1234", None),
        ] {
            assert_eq!(clock(text).ok(), expected, "{text}");
        }
    }

    #[test]
    fn a_scoreboards_clock_counts_as_it_is_typed() {
        for (text, expected) in [
            ("4:38", Some((278_000, 1000))),
            ("438", Some((278_000, 1000))),
            ("0:42.3", Some((42_300, 100))),
            ("42.30", Some((42_300, 10))),
            ("42.305", Some((42_305, 1))),
            ("42.", None),
            ("late", None),
        ] {
            assert_eq!(shown_clock(text).ok(), expected, "{text}");
        }
    }

    #[test]
    fn a_spot_is_read_from_the_side_of_the_offense() {
        let (names, field, situation) = (names(), field(), situation());
        let ground = Ground { field: &field, names: &names, situation: &situation };
        for (text, expected) in [
            ("k12", Some(Yards::whole(12))),
            ("Kites 12", Some(Yards::whole(12))),
            ("o5", Some(Yards::whole(45))),
            ("otters .5", Some(Yards::fraction(99, 2))),
            ("25", Some(Yards::whole(25))),
            ("x38.5", Some(Yards::fraction(77, 2))),
            ("x85/3", Some(Yards::fraction(85, 3))),
            ("x-3", Some(Yards::whole(-3))),
            ("k-3", Some(Yards::whole(-3))),
            ("o-2.5", Some(Yards::fraction(105, 2))),
            ("-3", None),
            ("k30", None),
            ("12", None),
            ("drays 5", None),
            ("o", None),
        ] {
            assert_eq!(spot(text, ground).ok(), expected, "{text}");
        }
        let refused = spot("12", ground).expect_err("nobody's half");
        assert_eq!(
            refused.to_string(),
            "`12` is not a spot: write the team's first letters and the yard line, like k12 or o12"
        );
    }

    #[test]
    fn where_and_when_are_told_apart_by_their_signs() {
        let (names, field, situation) = (names(), field(), situation());
        let ground = Ground { field: &field, names: &names, situation: &situation };
        for (text, expected) in [
            ("k12 4:38", Some((Some(Yards::whole(12)), Some(278_000)))),
            ("438 o5", Some((Some(Yards::whole(45)), Some(278_000)))),
            ("25", Some((Some(Yards::whole(25)), None))),
            ("c38", Some((None, Some(38_000)))),
            ("", Some((None, None))),
            ("12", None),
            ("4:99", None),
        ] {
            assert_eq!(place(text, ground).ok(), expected, "{text}");
        }
    }

    #[test]
    fn a_mark_is_read_in_any_order_and_from_digits_alone() {
        let (names, field, situation) = (names(), field(), situation());
        let ground = Ground { field: &field, names: &names, situation: &situation };
        let cameras = ["near side".to_owned(), "low wall".to_owned()];
        let read = |text: &str| mark(text, 0, &cameras, ground, None);
        let plain = read("411722").expect("digits alone");
        assert_eq!((plain.camera, plain.timecode.to_string()), (0, "00:41:17:22".to_owned()));
        let full = read("c4:38 b 41:17;22 o5").expect("in any order");
        assert_eq!((full.camera, full.timecode.to_string()), (1, "00:41:17;22".to_owned()));
        assert_eq!((full.x, full.clock_ms), (Some(Yards::whole(45)), Some(278_000)));
        assert_eq!(read("b"), Err(Unread::NoTimecode));
        let here = Some((0, full.timecode));
        let on_frame = mark("o5 c4:38", 0, &cameras, ground, here).expect("the frame's");
        assert_eq!((on_frame.of_frame, on_frame.timecode, on_frame.x), (true, full.timecode, full.x));
        assert_eq!(mark("b o5", 0, &cameras, ground, here), Err(Unread::NoTimecode));
        assert_eq!(
            read("e 411722").expect_err("no such camera").to_string(),
            "`e` is not a camera: A near side, B low wall"
        );
        assert_eq!(read("41:99;22"), Err(Unread::Timecode("41:99;22".to_owned())));
    }
}
