//! The objective: what makes one plan, one build or one slide better than
//! another, stated once.

pub(crate) mod emphasis;
pub(crate) mod prices;
pub(crate) mod rates;
pub(crate) mod whole;
pub(crate) mod worth;
