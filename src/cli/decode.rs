//! `tellframe decode-apart`: this program as the decoder of another process of it; no command for people.

use super::{Answer, Unable};
use footage::decode::worker;

/// It has no arguments: what it does comes in on its input.
#[derive(Debug, clap::Args)]
pub(super) struct Decode {}

impl Decode {
    pub(super) fn run(&self) -> Result<Answer, Unable> {
        let served = worker::serve(std::io::stdin().lock(), std::io::stdout().lock());
        served.map(|()| Answer::Yes).map_err(|error| Unable::new(format!("the decoder ends: {error}")))
    }
}
