//! The one integration crate. Each module has a sentence; add new ones here.
//!
//! Everything goes through the public library or the real binary, on files made for the case.
/// Reading: every code with its place, dialects, rows left out, nothing that panics.
mod reading;
