//! The behaviour of `footage`, a file a behaviour, in one binary.

mod changed; // a file that changes under a clip: no picture and no hash of another recording
mod coloured; // colours as the file says: matrix and range, small copies as exact pictures
mod damaged; // damaged clips: an error or frames, never a panic, a hang, memory without bound
mod deck; // what a desk plays from: opening, moving, resting
#[cfg(unix)]
mod proxies; // small pictures leave room on the disk, and what killed desks left is swept
mod shaped; // pixels that are not square: in their true shape on the screen, clicked and proven as stored
mod streams; // transport streams and Matroska: a cold picture from its key is the one from the start
mod times; // times that contradict the order of pictures: shown, and never as exact
mod turned; // clips that a player turns: upright on the screen, proven as stored
