//! The binary: parse the arguments, set up tracing, hand over to one command.

mod cli;

fn main() -> std::process::ExitCode {
    cli::run()
}
