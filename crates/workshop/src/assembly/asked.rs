//! What the maker asks of how pieces lie.

use design::{LyingWish, Settings, Side, Wishes};
use printing::{Asked, PrintPrice};
use rayon::prelude::*;
use solid::{Point, RayCaster, Solid, Vector};

use crate::assembly::congruent::Congruent;

/// What the maker asks of how pieces lie.
pub(crate) struct LyingWishes<'a> {
    wishes: &'a Wishes,
    /// For each piece the wish that names it.
    of_pieces: Vec<Option<&'a LyingWish>>,
    /// For each piece the directions of faces that are to be clean.
    clean: Vec<Vec<Vector>>,
    /// Which way is up where the furniture stands.
    up: Vector,
    /// What prints cost.
    price: PrintPrice,
}

impl<'a> LyingWishes<'a> {
    /// Those of some settings for pieces in place.
    pub(crate) fn of(settings: &'a Settings, pieces: &[Solid]) -> Self {
        let wishes = &settings.wishes;
        let density = settings.material.density_g_cm3;
        let mut out = Self {
            price: settings.rates.of_print(density),
            wishes,
            up: settings.up.direction(),
            of_pieces: vec![None; pieces.len()],
            clean: vec![Vec::new(); pieces.len()],
        };
        if wishes.lying.is_empty() {
            return out;
        }
        let casters: Vec<Option<RayCaster>> = pieces.par_iter().map(RayCaster::new).collect();
        for wish in &wishes.lying {
            let at = Point::from(wish.at_mm);
            let holds = |c: &Option<RayCaster>| c.as_ref().is_some_and(|c| c.contains(&at));
            if let Some(k) = casters.iter().position(holds) {
                out.of_pieces[k] = Some(wish);
                out.clean[k] = wish.clean.iter().copied().map(Side::direction).collect();
            }
        }
        out
    }

    /// Has pieces lie by themselves of which something else is asked than of the first
    /// of their shape.
    pub(crate) fn part(&self, firsts: &mut [Option<Congruent>]) {
        for (k, own) in firsts.iter_mut().enumerate() {
            let is_named = |piece: usize| self.of_pieces[piece].is_some();
            if own.is_some_and(|first| is_named(first.of) || is_named(k)) {
                *own = None;
            }
        }
    }

    /// What is asked of each piece whose joints run along some directions.
    pub(crate) fn asked<'b>(&'b self, runs: &'b [Vec<Vector>]) -> Vec<Asked<'b>> {
        let pieces = self.of_pieces.iter().zip(&self.clean).zip(runs);
        let price = self.price;
        pieces
            .map(|((wish, clean), runs)| Asked {
                runs,
                up: wish.and_then(LyingWish::up),
                no_supports: self.may_have_none(*wish),
                clean,
                stands: Some(self.up),
                price,
            })
            .collect()
    }

    fn may_have_none(&self, wish: Option<&LyingWish>) -> bool {
        let own = wish.and_then(|w| w.supports);
        own.map_or(self.wishes.no_supports, |may| !may)
    }
}
