//! The binary: parse the arguments, set up tracing, hand over to one command.

fn main() {}
