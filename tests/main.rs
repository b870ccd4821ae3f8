//! The behaviour of tellframe, a file a behaviour, in one binary.
//!
//! | file | behaviour |
//! | --- | --- |
//! | `settling` | what partial answers amount to, against brute force |

mod settling;
mod support;
