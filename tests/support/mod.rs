//! What several behaviours need: nothing yet that is not in the library.
