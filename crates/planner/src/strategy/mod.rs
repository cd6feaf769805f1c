//! Ways to a plan: coarse to fine, by branches, by parts, tilted, across what leans.

pub(crate) mod branches;
pub(crate) mod by_members;
pub(crate) mod by_parts;
pub(crate) mod coarse_to_fine;
pub(crate) mod find;
pub(crate) mod leaf;
pub(crate) mod leaning;
pub(crate) mod leg;
pub(crate) mod no_plan;
pub(crate) mod scarf;
