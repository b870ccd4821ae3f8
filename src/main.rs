//! The binary: parse the arguments, set up tracing, hand over to one command.

mod books;
mod cli;
mod clock;
mod data;
mod decoder;
#[cfg(feature = "desk")]
mod desk;
mod frame;
mod output;

fn main() -> std::process::ExitCode {
    cli::run()
}
