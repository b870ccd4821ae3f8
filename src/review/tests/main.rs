//! Tests of `review`: one file for each behaviour, in one binary.

mod announcements; // the words of every ruling, as a table to read
mod as_announced; // the words of a ruling, beside the situation that the day takes over from it
mod carried; // penalties carried over the end of a half, and from a touchdown of overtime to the next series
mod coverage; // docs/coverage.md: which question, call and finding was signed on which ending
mod day_ends; // how a game ends, by the rules and early; the card, the officials and the cameras of the desk
mod events; // the life of a review: what each command asks for and writes
mod every_ending; // every question, call and finding on plays that ended in every way, signed without an override
mod find; // type to find: the question that is meant, with the gate's answer
mod foul_spots; // a foul that is measured from its spot: asked for by its mark, a safety behind the own goal line
mod game_day; // the day of a game: situation, plays, checklist, service, and how reviews fit in
mod game_properties; // random plays under every question: what a restart may never be
mod gate; // who may ask for what, when and at what price
mod held; // a review held by commands, for the tests that hold every question
mod marks; // marks of one moment: which replaces which, and which is refused
mod overtime; // every sequence of series of overtime, against a reckoning on paper
mod players; // fouls of one player counted across a game
mod proof; // what an answer needs before it counts
mod properties; // any commands at all: what a review may never do
mod referee; // their own ruling on any play: without a flag, earlier ones, fouls created, players disqualified
mod settling; // what partial answers amount to, against brute force
mod twins; // two flags of one name, and a ball that changed hands twice
