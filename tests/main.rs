//! The behaviour of tellframe, a file a behaviour, in one binary.

mod audit; // `tellframe audit`: rates, times, agreement, consistency, tables alone, what is refused
mod bad_books; // every defect of a rule book: its place, its words, its help
mod certificate; // one file for an inquiry, checked by a program in another language
mod certificate_forged; // every field of a certificate forged in every way, and certificates by other keys
mod cli_forged; // every command that takes a log, on every kind of forged log
mod cli_inputs; // strange inputs through the program: places, exit status, hidden signs, notes
mod cli_kept; // the head beside a log on the command line, and going on after a loss
mod cli_log; // `tellframe log` and its exit status, the trace beside it
mod cli_measure; // `tellframe measure`: what it prints and what it refuses
mod cli_order; // `tellframe order`: its format, what it says, what it refuses
mod commands; // the examples of the page of commands, run
mod diagram; // the drawing of a book: whole, well formed, readable
mod footage_apart; // the built-in decoder in a process of its own: it crashes, hangs, and the next picture comes
mod footage_exact; // every picture of every kind of clip, against the reference decoder's hashes
mod log_again; // ruled questions answered again, blind: drawn, refused, entered, counted in agreement alone
mod log_files; // rights of the files of a log, links and strange files laid in their place
mod log_stamps; // clocks that say any time at all: refused, or shown, exported, audited, printed
#[cfg(unix)]
mod outputs; // what a command writes never destroys what is there
mod place_bad_landmarks; // verdicts with bad landmarks: no more wrong ones than the standard allows, or none
mod place_scripted; // the demo's challenge of a place: its clicks and figures against the play's truth
mod program; // the built program, run in a data folder of its own
mod properties; // docs/properties.md is what the tests say that they hold
mod rejudge; // the same facts under another edition: what flips, by which change, and what cannot be decided
mod tidy; // arrows between layers, lengths, banned words, names in the documents
