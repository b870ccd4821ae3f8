//! The behaviour of `rules`, a file a behaviour, in one binary.

mod advance; // the next situation after a play given in a few words, by the published rules
mod enforcement_properties; // what holds of every ruling on a play with fouls, over random plays
mod fouls; // a play given in a few words with its fouls: published examples, and every combination that can be typed
mod regained; // a ball that changed hands twice
mod twins; // two fouls of one name in a play, decided apart
mod worth; // what a down, a distance and a spot are worth, and the choices that follow
