//! The behaviour of tellframe, a file a behaviour, in one binary.
//!
//! Table of contents (the module's own first line says more):

mod support;
