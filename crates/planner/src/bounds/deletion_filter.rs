//! What is against a split into equal boxes that has fewer pieces than a plan.
//!
//! Everything that a plan cares about and equal boxes do not is given up, on a lattice
//! of the places of both. Then one after the other is taken up again, unless that
//! costs a piece: what is left given up is a set of which nothing can be missed
//! (the deletion filter of Chinneck & Dravnieks 1991, *Locating minimal
//! infeasible constraint sets in linear programs*).

use std::fmt;

use solid::{KernelError, Solid};

use crate::bounds::equal_boxes::EqualBoxes;
use crate::candidates::axis_sections::AxisSections;
use crate::candidates::proxy::Proxy;
use crate::constraint::constraints::Constraints;
use crate::constraint::fixed::along_axis;
use crate::cost::four_corners::Crossings;
use crate::cost::piece_cost::{MISFIT, PieceCost};
use crate::cost::seam_cost::{Scale, SeamCost};
use crate::lattice::box_lattice::Lattice;
use crate::lattice::box_range::BoxRange;
use crate::search::question::Question;
use crate::search::table::Table;
use crate::strategy::find::{emphasised, keys};
use design::{CutTree, Emphasis, Settings, Weights};
use printing::Printer;

/// What a plan cares about.
#[derive(Clone, Copy)]
enum Concern {
    /// A weight's name, what it is for, and where it stands.
    Weight(&'static str, &'static str, fn(&mut Weights) -> &mut f64),
    JointRoom,
    Margin,
    Wishes,
}

use Concern::{JointRoom, Margin, Weight, Wishes};

/// All of it; what comes first is least worth telling, and so is taken up again
/// first.
const ALL: [Concern; 21] = [
    Weight("print_hour", "how long pieces print", |w| &mut w.print_hour),
    Weight(
        "mid_span",
        "seams in the middle of the model's length",
        |w| &mut w.mid_span,
    ),
    Weight("area", "how large the seams are", |w| &mut w.area),
    Weight("unequal", "how unequal the pieces are", |w| &mut w.unequal),
    Weight("seam", "what each seam costs", |w| &mut w.seam),
    Weight("weak", "seams that can bear little", |w| &mut w.weak),
    Weight("four_corners", "four corners that meet", |w| {
        &mut w.four_corners
    }),
    Weight("housed", "seams flush with a panel", |w| &mut w.housed),
    Weight("shown", "seams that show on a hidden side", |w| {
        &mut w.shown
    }),
    Weight("sliver", "slivers", |w| &mut w.sliver),
    Weight("wobble", "pieces that stand unsteadily on the bed", |w| {
        &mut w.wobble
    }),
    Weight("feather", "feather edges", |w| &mut w.feather),
    Weight("keyed", "keys where the bed has no room for tails", |w| {
        &mut w.keyed
    }),
    Weight("support", "what hangs over as pieces lie on the bed", |w| {
        &mut w.support
    }),
    Weight(
        "footing",
        "pieces that do not stand while they are printed",
        |w| &mut w.footing,
    ),
    Weight("shallow", "seams that run along boards", |w| &mut w.shallow),
    Weight("roomless", "seams too narrow for a joint", |w| {
        &mut w.roomless
    }),
    Weight(
        "unsound",
        "seams without material a joint deep on both sides",
        |w| &mut w.unsound,
    ),
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
    scale: Scale,
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
            return Ok(Vec::new());
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
    /// `None` where the model is nothing.
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
        let free = Constraints::default();
        let along = [0, 1, 2].map(|axis| {
            let model = (model, &bounds);
            let printers = &proxy.printers;
            AxisSections::along(axis, model, printers, &settings.joints, reach, &free)
        });
        let sections = along.iter().flatten();
        let scale = Scale {
            largest_mm2: sections.map(AxisSections::largest_mm2).fold(1.0, f64::max),
            bounds,
        };
        let cuts = [0, 1, 2].map(|axis| match &along[axis] {
            Some(sections) => sections.cuts(&places_mm[axis]),
            None => Vec::new(),
        });
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
            scale,
        }))
    }

    /// How many pieces the cheapest plan has that does not care about some things.
    fn pieces_without(&self, given_up: &[bool; ALL.len()]) -> usize {
        let settings = self.settings;
        let mut weights = emphasised(settings, Emphasis::Given);
        let mut reach_mm = settings.joints.growth_of_any_mm(settings.joint.kinds());
        let mut printers = &self.proxy.printers;
        let (mut constraints, mut lattice) = (&self.wished, &self.lattices[0]);
        for (concern, _) in ALL.iter().zip(given_up).filter(|(_, given_up)| **given_up) {
            match concern {
                Weight(.., weight) => *weight(&mut weights) = 0.0,
                JointRoom => reach_mm = (0.0, 0.0),
                Margin => printers = &self.bare,
                Wishes => (constraints, lattice) = (&self.free, &self.lattices[1]),
            }
        }
        let question = Question::new(
            lattice,
            PieceCost::new(
                lattice,
                printers,
                (reach_mm, keys(settings)),
                (weights, settings.print),
                constraints,
            ),
            SeamCost::new(lattice, weights, self.scale, constraints),
            &constraints.forced,
        );
        let domain = BoxRange::all(lattice.counts());
        let crossings = Crossings::weighing(weights.four_corners);
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
            Weight(name, words, _) => write!(f, "{words} (weight {name})"),
            JointRoom => f.write_str("the room that joints take on the bed"),
            Margin => f.write_str("the margin of the bed"),
            Wishes => f.write_str("what was wished"),
        }
    }
}
