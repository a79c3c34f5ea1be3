//! Rebuilds the program when a migration is added: the migrations are compiled in.
fn main() {
    println!("cargo::rerun-if-changed=migrations");
}
