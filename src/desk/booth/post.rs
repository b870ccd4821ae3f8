//! What the booth has open: the log, the rules, the review in hand.

use tellframe::book::Book;
use tellframe::game::situation::ByTeam;
use tellframe::log::label::{Actor, CommandId};
use tellframe::log::location::Location;
use tellframe::log::reviews;
use tellframe::log::session::{Done, Session};
use tellframe::log::sign::Key;
use tellframe::log::store::Log;
use tellframe::review::decide::{Command, Desk};
use tellframe::review::fold::Review;
use tellframe::review::stamp::Stamp;
use tellframe::review::words::Names;

/// The booth's post.
pub(crate) struct Post {
    /// The rules.
    pub book: Book,
    /// How the teams are called.
    pub names: Names,
    /// The cameras, in the order of their letters.
    pub cameras: Vec<String>,
    session: Session,
}

impl Post {
    /// Opens the log and the review that was left.
    pub(crate) fn open(place: &Location) -> Result<Post, String> {
        let key = Key::read(&place.key()).map_err(|error| error.to_string())?;
        let log = Log::open(&place.log(), key).map_err(|error| error.to_string())?;
        let left = reviews::unfinished(log.reader()).map_err(|error| error.to_string())?;
        let held = left.into_iter().next_back().ok_or("no review was left unfinished")?;
        let actor = Actor::new(held.official.as_str()).map_err(|error| error.to_string())?;
        let session = Session::resume(log, held.id, actor).map_err(|error| error.to_string())?;
        let book =
            session.rules().load().map_err(|faults| format!("the rules have {} faults", faults.len()))?;
        let of = |home: &str, away: &str| ByTeam { home: home.to_owned(), away: away.to_owned() };
        let names = Names { teams: of("Harbour Kites", "Millrace Otters"), short: of("Kites", "Otters") };
        let cameras = ["near side", "high end", "low wall", "far corner", "scoreboard"];
        Ok(Post { book, names, cameras: cameras.map(str::to_owned).to_vec(), session })
    }

    /// The review in hand.
    pub(crate) fn review(&self) -> Option<&Review> {
        Some(self.session.review())
    }

    /// Does something to the review in hand: on the disk, then in the state.
    pub(crate) fn act(&mut self, command: Command, now: Stamp) -> Result<Done, String> {
        let number = self.session.review().events().len();
        let id = CommandId::new(format!("{} desk {number}", self.session.id()))
            .map_err(|error| error.to_string())?;
        let desk = Desk { book: &self.book, names: &self.names };
        self.session.act(desk, &id, command, now).map_err(|error| error.to_string())
    }
}
