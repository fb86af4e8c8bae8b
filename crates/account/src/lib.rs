//! Where bushels are kept: slips, balances by place in dry matter and water, claims, shares, and
//! the squaring of everything that was measured.

pub mod slip;
