//! The books are compiled into the program, so a change to one rebuilds it.

fn main() {
    println!("cargo:rerun-if-changed=../../decision-trees");
}
