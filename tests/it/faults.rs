//! Bad inputs by kind, limits and faults of the system: each run ends with a documented exit code, names a place, a cause and a cure,
//! and leaves nothing behind.
//!
//! `cargo test --release faults -- --nocapture` prints how many of each kind were tried. `REHOUSE_LARGE=1` tries more.

mod arguments;
mod bad_inputs;
#[cfg(unix)]
mod limits;
#[cfg(unix)]
mod signals;
mod terminal;
