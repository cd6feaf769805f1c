//! The cheapest guillotine plan over a lattice.

pub(crate) mod lightened;
pub(crate) mod question;
pub(crate) mod row;
pub(crate) mod solution;
pub(crate) mod solve;
pub(crate) mod table;
