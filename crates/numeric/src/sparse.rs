//! Sparse symmetric factors.
