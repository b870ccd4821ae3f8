//! The books are built into the program: a change of theirs builds it again.

fn main() {
    println!("cargo:rerun-if-changed=../../decision-trees");
}
