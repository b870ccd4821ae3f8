//! Clips: what they are, their exact frames, and the cameras' common clock.
