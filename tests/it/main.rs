//! The one integration crate. Each module has a sentence; add new ones here.
//!
//! Everything goes through the public library or the real binary, on files made for the case.

/// A folder of output is replaced whole or not at all, and nothing of anybody's is lost.
mod writing;
