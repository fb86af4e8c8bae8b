//! Sparse symmetric positive semi-definite systems: order, factor, solve, and the entries of the
//! inverse that standard errors need.
//!
//! The ordering is approximate minimum degree (`faer`); the factor is a plain simplicial
//! L D L^T, written here rather than borrowed because it must do what a general solver refuses
//! to do: carry on through a *zero* pivot. A direction that no measurement touches gives such a
//! pivot; it is set aside ([`Factor::free`]) and pinned, which leaves a generalised inverse that
//! is exact for every combination that the measurements do determine (Searle 1971, from memory).
//!
//! The inverse is never formed. [`Inverse`] holds its entries on the pattern of L (Takahashi,
//! Fagan & Chin 1973; Erisman & Tinney 1975, from memory) and works out the few others that
//! are asked for by the same recursion.
//!
//! Limitations: simplicial, single-threaded; made for systems whose factor stays sparse (the
//! account's does: tens of entries a column), not for dense ones past a few thousand columns.

mod factor;
mod inverse;
mod matrix;

pub use factor::Factor;
pub use inverse::Inverse;
pub use matrix::SymmetricMatrix;
