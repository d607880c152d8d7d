//! Tells the commands which system they are built for, as cargo names it.

fn main() {
    let target = std::env::var("TARGET").unwrap_or_default();
    println!("cargo::rustc-env=OVERBAR_TARGET={target}");
    println!("cargo::rerun-if-changed=build.rs");
}
