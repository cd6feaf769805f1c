//! What the maker asks of how pieces lie.

use design::{LyingWish, Settings, Side, Wishes};
use printing::{Asked, Placement, PrintPrice};
use rayon::prelude::*;
use solid::{Point, RayCaster, Solid, Vector};

use crate::assembly::congruent::Congruent;
use crate::remark::LyingRemark;

/// What the maker asks of how pieces lie.
pub(crate) struct LyingWishes<'a> {
    wishes: &'a Wishes,
    /// For each piece the wish that names it.
    of_pieces: Vec<Option<&'a LyingWish>>,
    /// For each piece the directions of faces that are to be clean.
    clean: Vec<Vec<Vector>>,
    /// Wishes that name no piece.
    idle: Vec<&'a LyingWish>,
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
            idle: Vec::new(),
        };
        if wishes.lying.is_empty() {
            return out;
        }
        let casters: Vec<Option<RayCaster>> = pieces.par_iter().map(RayCaster::new).collect();
        for wish in &wishes.lying {
            let at = Point::from(wish.at_mm);
            let holds = |c: &Option<RayCaster>| c.as_ref().is_some_and(|c| c.contains(&at));
            match casters.iter().position(holds) {
                Some(k) => {
                    out.of_pieces[k] = Some(wish);
                    out.clean[k] = wish.clean.iter().copied().map(Side::direction).collect();
                }
                None => out.idle.push(wish),
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

    /// What could not be had of pieces that lie so, as far as they fit.
    pub(crate) fn unmet<'p>(
        &self,
        placed: impl Iterator<Item = Option<&'p Placement>>,
    ) -> Vec<LyingRemark> {
        let mut out: Vec<LyingRemark> = self
            .idle
            .iter()
            .map(|w| LyingRemark::NoSuchPiece { at_mm: w.at_mm })
            .collect();
        for (k, placed) in placed.enumerate() {
            let Some(placed) = placed else { continue };
            if self.may_have_none(self.of_pieces[k]) && placed.support_mm3 > NEGLIGIBLE_MM3 {
                out.push(LyingRemark::NeedsSupport {
                    piece: k,
                    space_mm3: placed.support_mm3,
                    joints_across: placed.joints_across,
                });
            }
            if placed.marked_clean_mm2 > NEGLIGIBLE_MM2 {
                out.push(LyingRemark::MarkedFace {
                    piece: k,
                    area_mm2: placed.marked_clean_mm2,
                });
            }
        }
        out
    }
}

/// Less space under an overhang is no support: it sags by a layer, and no more.
const NEGLIGIBLE_MM3: f64 = 200.0;
const NEGLIGIBLE_MM2: f64 = 10.0;
