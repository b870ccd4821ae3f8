//! Plays as scenes with truth, and the renderer that makes footage of them.
