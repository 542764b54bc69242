//! The one integration crate. Each module has a sentence; add new ones here.
//!
//! Everything goes through the public library or the real binary, on files made for the case.

/// Correct plans pass the audit, and single wrongs are found.
mod audit_mutations;
