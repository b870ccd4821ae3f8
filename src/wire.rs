//! The JSON that outsiders rely on, as types.
