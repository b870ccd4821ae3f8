//! A situation as one line to type over: `p2 4:41.3 4&1.5 o11.5 ball Kites east 20-14 t2-3 u1-0 w1-0`.
//!
//! What is left out stays as it is. Words after a `;` are the reason.

use super::typed::{self, Ground, Unread};
use field::exact::Yards;
use review::announcement::{clock_text, spot};
use rules::game::situation::{ByTeam, Challenges, End, Next, Situation, Team};

/// Why a line cannot be read as a situation.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(crate) enum Wrong {
    #[error(
        "`{0}` is not part of a situation: p2, 4:41, 4&1.5, a spot, ball and a team, east, 20-14, t2-3, u1-0, w1-0"
    )]
    Part(String),
    /// A known part that cannot be read.
    #[error("{0}")]
    Unread(#[from] Unread),
}

pub(crate) fn write(ground: Ground<'_>) -> String {
    let Situation { period, clock_ms, next, offense, attacks, score, timeouts, challenges, .. } =
        *ground.situation;
    let next = match next {
        Next::Scrimmage { down, to_go } if ground.situation.spot + to_go >= ground.field.length => {
            format!("{down}&goal")
        }
        Next::Scrimmage { down, to_go } => format!("{down}&{to_go}"),
        Next::Try => "try".to_owned(),
        Next::FreeKick => "free".to_owned(),
    };
    let east = match attacks {
        End::East => "east",
        End::West => "west",
    };
    format!(
        "p{period} {} {next} {} ball {} {east} {}-{} t{}-{} u{}-{} w{}-{}",
        clock_text(clock_ms),
        place(ground),
        ground.names.short.of(offense),
        score.home,
        score.away,
        timeouts.home,
        timeouts.away,
        challenges.home.used,
        challenges.away.used,
        challenges.home.won,
        challenges.away.won,
    )
}

/// Spot and clock, as they are typed.
pub(crate) fn place_and_clock(ground: Ground<'_>) -> String {
    format!("{} {}", place(ground), clock_text(ground.situation.clock_ms))
}

/// The spot in a form that reads back: a goal line is a figure of the offense frame.
fn place(ground: Ground<'_>) -> String {
    let at = ground.situation.spot;
    if at <= Yards::ZERO || at >= ground.field.length {
        return format!("x{at}");
    }
    spot(ground.field, ground.names, ground.situation, at).replace(' ', "")
}

/// The current situation changed as typed, and the reason.
///
/// # Errors
/// [`Wrong`] for the first part that cannot be read.
pub(crate) fn read(text: &str, ground: Ground<'_>) -> Result<(Situation, Option<String>), Wrong> {
    let (line, reason) = text.split_once(';').unwrap_or((text, ""));
    let mut situation = *ground.situation;
    let mut spot: Option<&str> = None;
    let mut goal = false;
    let mut parts = line.split_whitespace();
    while let Some(part) = parts.next() {
        if part == "ball" {
            let name = parts.next().ok_or_else(|| Wrong::Part("ball".to_owned()))?;
            situation.offense =
                typed::team_named(name, ground.names).ok_or_else(|| Wrong::Part(name.to_owned()))?;
        } else if !simple(part, &mut situation, &mut goal)? {
            if part.contains(':') {
                situation.clock_ms = typed::clock(part)?;
            } else {
                spot = Some(part);
            }
        }
    }
    // The spot is read last: which half it names depends on who has the ball.
    if let Some(part) = spot {
        situation.spot = typed::spot(part, Ground { situation: &situation, ..ground })
            .map_err(|_| Wrong::Part(part.to_owned()))?;
    }
    if let (Next::Scrimmage { down, .. }, true) = (situation.next, goal) {
        situation.next = Next::Scrimmage { down, to_go: ground.field.length - situation.spot };
    }
    let reason = Some(reason.trim().to_owned()).filter(|reason| !reason.is_empty());
    Ok((situation, reason))
}

/// Reads a part that needs no other part; false if it is not one.
fn simple(part: &str, situation: &mut Situation, goal: &mut bool) -> Result<bool, Wrong> {
    let wrong = || Wrong::Part(part.to_owned());
    match part {
        "east" => situation.attacks = End::East,
        "west" => situation.attacks = End::West,
        "try" => situation.next = Next::Try,
        "free" => situation.next = Next::FreeKick,
        "runs" => situation.clock_running = true,
        "stopped" => situation.clock_running = false,
        _ => {
            if let Some((down, to_go)) = part.split_once('&') {
                let down = down.parse().map_err(|_| wrong())?;
                *goal = to_go == "goal";
                let to_go = if *goal { Yards::whole(1) } else { to_go.parse().map_err(|_| wrong())? };
                situation.next = Next::Scrimmage { down, to_go };
            } else if let Some(period) = part.strip_prefix('p').and_then(|rest| rest.parse().ok()) {
                situation.period = period;
            } else if let Some(score) = pair(part) {
                situation.score = score;
            } else if let Some(left) = part.strip_prefix('t').and_then(pair) {
                situation.timeouts = left;
            } else if let Some(used) = part.strip_prefix('u').and_then(pair) {
                each(&mut situation.challenges, used, |challenges, used| challenges.used = used);
            } else if let Some(won) = part.strip_prefix('w').and_then(pair) {
                each(&mut situation.challenges, won, |challenges, won| challenges.won = won);
            } else {
                return Ok(false);
            }
        }
    }
    Ok(true)
}

fn pair<T: std::str::FromStr>(text: &str) -> Option<ByTeam<T>> {
    let (home, away) = text.split_once('-')?;
    Some(ByTeam { home: home.parse().ok()?, away: away.parse().ok()? })
}

fn each(challenges: &mut ByTeam<Challenges>, to: ByTeam<u8>, set: impl Fn(&mut Challenges, u8)) {
    for team in [Team::Home, Team::Away] {
        set(challenges.of_mut(team), *to.of(team));
    }
}
