//! What is against a split into equal boxes that has fewer pieces than a plan.
//!
//! Everything that a plan cares about and equal boxes do not is given up, on a lattice
//! of the places of both. Then one after the other is taken up again, unless that
//! costs a piece: what is left given up is a set of which nothing can be missed
//! (the deletion filter of Chinneck & Dravnieks 1991, *Locating minimal
//! infeasible constraint sets in linear programs*).

use std::fmt;

use solid::{Bounds, KernelError, Solid};

use crate::bounds::equal_boxes::{EqualBoxes, box_mm};
use crate::bounds::laid::Laid;
use crate::candidates::axis_sections::AxisSections;
use crate::candidates::places::{MOST_CUTS, ranges};
use crate::candidates::proxy::Proxy;
use crate::constraint::constraints::Constraints;
use crate::constraint::fixed::along_axis;
use crate::cost::four_corners::Crossings;
use crate::cost::piece_cost::{MISFIT, PieceCost};
use crate::cost::seam_cost::SeamCost;
use crate::lattice::box_lattice::Lattice;
use crate::lattice::box_range::BoxRange;
use crate::search::question::Question;
use crate::search::table::Table;
use crate::strategy::coarse_to_fine::RANGES;
use crate::strategy::find::{emphasised, keys};
use design::{CutTree, Emphasis, Prices, Settings};
use printing::Printer;

/// What a plan cares about.
#[derive(Clone, Copy)]
enum Concern {
    /// In words, and where its price stands.
    Price(&'static str, fn(&mut Prices) -> &mut f64),
    Spool,
    JointRoom,
    Margin,
    Wishes,
}

use Concern::{JointRoom, Margin, Price, Spool, Wishes};

/// All of it; what comes first is least worth telling, and so is taken up again
/// first.
const ALL: [Concern; 23] = [
    Price("how long pieces print", |p| &mut p.print.hour_min),
    Price("how much plastic pieces take", |p| &mut p.print.cm3_min),
    Price("prints so long that they are likely to fail", |p| {
        &mut p.spoilt
    }),
    Price("seams in the middle of the model's length", |p| {
        &mut p.mid_span
    }),
    Price("what each seam costs", |p| &mut p.seam),
    Price("seams that can bear little", |p| &mut p.weak),
    Price("four corners that meet", |p| &mut p.four_corners),
    Price("seams flush with a panel", |p| &mut p.housed),
    Price("seams that show on a hidden side", |p| &mut p.shown),
    Price("slivers", |p| &mut p.sliver),
    Price("pieces that stand unsteadily on the bed", |p| &mut p.wobble),
    Price("feather edges", |p| &mut p.feather),
    Price("keys where the bed has no room for tails", |p| &mut p.keyed),
    Price("what hangs over as pieces lie on the bed", |p| {
        &mut p.support
    }),
    Price("pieces that do not stand while they are printed", |p| {
        &mut p.footing
    }),
    Price("seams that rip rails along their length", |p| &mut p.ripped),
    Price("seams that run along boards", |p| &mut p.shallow),
    Price("seams too narrow for a joint", |p| &mut p.roomless),
    Price("seams without material a joint deep on both sides", |p| {
        &mut p.unsound
    }),
    Spool,
    JointRoom,
    Margin,
    Wishes,
];

/// A plan's places and those of equal boxes, and what plans on them care about.
struct Places<'a> {
    settings: &'a Settings,
    proxy: &'a Proxy,
    /// With no margin.
    bare: Vec<Printer>,
    wished: Constraints,
    free: Constraints,
    /// Around what was wished, and without.
    lattices: [Lattice; 2],
    bounds: Bounds,
}

impl EqualBoxes {
    /// The fewest pieces that equal boxes make on any of some printers, with no
    /// joint and all of the bed, beside a plan for those; where that has more
    /// pieces, what is against the boxes.
    ///
    /// # Errors
    ///
    /// When the kernel refuses the model.
    pub fn beside(
        model: &Solid,
        printers: &[Printer],
        settings: &Settings,
        (tree, pieces): (&CutTree, usize),
    ) -> Result<Self, KernelError> {
        let proxy = Proxy::of(model, printers)?;
        let mut out = Self::of(&proxy, printers)?;
        let beds_mm: Vec<[f64; 3]> = printers.iter().map(box_mm).collect();
        out.laid = Some(out.laid_down(&proxy.model, &beds_mm, &settings.print)?);
        // Were there a bed for it.
        out.whole = Some(Laid::of(&proxy.model.bodies(), &[], &settings.print));
        if out.pieces < pieces {
            out.against = out.against_it(&proxy, printers, settings, tree)?;
        }
        Ok(out)
    }

    fn against_it(
        &self,
        proxy: &Proxy,
        printers: &[Printer],
        settings: &Settings,
        tree: &CutTree,
    ) -> Result<Vec<String>, KernelError> {
        let Some(places) = Places::of(self, proxy, printers, settings, tree)? else {
            return Ok(vec!["not looked into, with so many places".to_owned()]);
        };
        let mut given_up = [true; ALL.len()];
        if places.pieces_without(&given_up) > self.pieces {
            return Ok(vec!["how pieces can lie on a bed".to_owned()]);
        }
        for k in 0..ALL.len() {
            given_up[k] = false;
            given_up[k] = places.pieces_without(&given_up) > self.pieces;
        }
        let left = ALL.iter().zip(given_up).filter(|(_, given_up)| *given_up);
        Ok(left.map(|(concern, _)| concern.to_string()).collect())
    }
}

impl<'a> Places<'a> {
    /// `None` where the model is nothing, or so large that a search over all of the places
    /// would take too long.
    fn of(
        equal: &EqualBoxes,
        proxy: &'a Proxy,
        printers: &[Printer],
        settings: &'a Settings,
        tree: &CutTree,
    ) -> Result<Option<Self>, KernelError> {
        let model = &proxy.model;
        let Some(bounds) = model.bounds() else {
            return Ok(None);
        };
        let mut places_mm = equal.places_mm(&bounds);
        for seam in tree.seams().map(|k| tree.seam(k)) {
            let place = along_axis(seam.normal, seam.at_mm, &proxy.turn);
            if let Some((axis, at_mm)) = place {
                places_mm[axis].push(at_mm);
            }
        }
        let kinds = settings.joint.kinds();
        let reach = (settings.joints.growth_of_any_mm(kinds), keys(settings));
        let wished = Constraints::of(settings, &[], &proxy.turn);
        // A spool is a concern of its own.
        let free = Constraints {
            most_mm3: wished.most_mm3,
            longest_h: wished.longest_h,
            ..Constraints::default()
        };
        let along = [0, 1, 2].map(|axis| {
            let model = (model, &bounds);
            let printers = &proxy.printers;
            AxisSections::along(axis, model, printers, &settings.joints, reach, &free)
        });
        let cuts = [0, 1, 2].map(|axis| match &along[axis] {
            Some(sections) => sections.cuts(&places_mm[axis]),
            None => Vec::new(),
        });
        if ranges(&cuts) > RANGES || cuts.iter().any(|c| c.len() > MOST_CUTS) {
            return Ok(None);
        }
        let mut open = cuts.clone();
        for axis in (0..3).filter(|&axis| wished.closed[axis]) {
            open[axis].clear();
        }
        let lattices = [
            Lattice::over(model, open, &wished)?,
            Lattice::over(model, cuts, &free)?,
        ];
        let bare = printers.iter().cloned();
        let bare = bare
            .map(|p| Printer {
                margin_mm: 0.0,
                ..p
            })
            .collect();
        Ok(Some(Self {
            settings,
            proxy,
            bare,
            wished,
            free,
            lattices,
            bounds,
        }))
    }

    /// How many pieces the cheapest plan has that does not care about some things.
    fn pieces_without(&self, given_up: &[bool; ALL.len()]) -> usize {
        let settings = self.settings;
        let mut prices = emphasised(settings, Emphasis::Given);
        let mut reach_mm = settings.joints.growth_of_any_mm(settings.joint.kinds());
        let mut printers = &self.proxy.printers;
        let (mut constraints, mut lattice) = (&self.wished, &self.lattices[0]);
        let mut spared = false;
        for (concern, _) in ALL.iter().zip(given_up).filter(|(_, given_up)| **given_up) {
            match concern {
                Price(_, price) => *price(&mut prices) = 0.0,
                JointRoom => reach_mm = (0.0, 0.0),
                Margin => printers = &self.bare,
                Spool => spared = true,
                Wishes => (constraints, lattice) = (&self.free, &self.lattices[1]),
            }
        }
        let endless = Constraints {
            most_mm3: None,
            longest_h: None,
            ..constraints.clone()
        };
        if spared {
            constraints = &endless;
        }
        let question = Question::new(
            lattice,
            PieceCost::new(
                lattice,
                printers,
                (reach_mm, keys(settings)),
                (prices, settings.print),
                constraints,
            ),
            SeamCost::new(lattice, prices, self.bounds, constraints),
            &constraints.forced,
        );
        let domain = BoxRange::all(lattice.counts());
        let crossings = Crossings::weighing(prices.four_corners);
        let best = Table::solve(&question, domain, &crossings).of(domain);
        match best.cost < MISFIT {
            true => usize::from(best.pieces),
            false => usize::MAX,
        }
    }
}

impl fmt::Display for Concern {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Price(words, _) => f.write_str(words),
            Spool => f.write_str("what a spool holds, or how long a piece may print"),
            JointRoom => f.write_str("the room that joints take on the bed"),
            Margin => f.write_str("the margin of the bed"),
            Wishes => f.write_str("what was wished"),
        }
    }
}
