//! Where bushels are kept: slips, balances by place in dry matter and water, claims, shares, and
//! the squaring of everything that was measured.

pub mod claims;
pub mod ledger;
pub mod shares;
pub mod slip;
pub mod square;
