//! The ledger: every slip posted as an exact movement of dry matter.
//!
//! [`post()`] takes a season's effective slips and gives a [`Ledger`]; [`balances`] and [`accounts`]
//! read it at any moment; [`by_field`] and [`by_unit`] say what each field and insured unit made.
//!
//! A slip's dry mass is rounded once, half to even, to 10 micrograms ([`quantity::DryMass::of`]);
//! the same integer leaves one end and enters the other, so this holds exactly at every moment
//! whatever was entered:
//!
//! > came off + opening = in places + sold + on claim + fed + seed + spilt + unexplained
//!
//! Real losses are slips to their own places. What is left over when a place is emptied is
//! *unexplained*, by place and period, signed, and never absorbed into anything.

mod balance;
mod closing;
mod divide;
mod hold;
mod load;
mod movement;
mod post;
mod production;
mod season;
mod unweighed;

pub use balance::{Balance, CropAccount, accounts, balances};
pub use divide::in_proportion;
pub use movement::{
    Basis, End, Finding, Ledger, Load, Movement, NoWeight, Notice, Origin, Part, Refusal, SetAside,
    SourceRule, StockCheck, Unexplained,
};
pub use post::post;
pub use production::{
    FieldProduction, PerAcre, UnitProduction, Units, by_field, by_unit, per_acre,
};
pub use season::Season;
