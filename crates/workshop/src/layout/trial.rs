//! A seam through a block, to try the steps of the layout on.

use design::{CutTree, ModelReference, Plan, PlannedSeam, Settings};
use printing::Printer;
use solid::{Bounds, Point, Solid};

use crate::layout::bed_room::BedRoom;
use crate::layout::earlier::Obstacle;
use crate::layout::joining::Stock;
use crate::layout::load::foot::Foot;
use crate::layout::seam_task::{Task, terms_of};
use crate::partition::cells::{Parted, part};
use crate::partition::contacts::{BodyFinder, Contact, PieceIndex, contacts};

/// A model cut by one seam.
pub(crate) struct Trial {
    plan: Plan,
    parted: Parted,
}

impl Trial {
    pub(crate) fn cut(model: &Solid, seam: PlannedSeam, settings: Settings) -> Self {
        let tree = CutTree::cut(None, seam, CutTree::uncut(), CutTree::uncut()).named(1);
        let printers = vec![Printer::rectangular("bed-1", 220.0, 220.0, 250.0)];
        let plan = Plan::new(ModelReference::default(), settings, printers, tree).unwrap();
        let parted = part(model, &plan).unwrap();
        Self { plan, parted }
    }

    /// A plank 200 mm long, 100 mm wide and of some thickness, cut across its
    /// middle and joined by some kinds.
    pub(crate) fn plank(thickness_mm: f64, joint: &str) -> Self {
        let model = Solid::cuboid(Point::origin(), Point::new(200.0, 100.0, thickness_mm));
        let settings = Settings {
            joint: joint.parse().unwrap(),
            ..Settings::default()
        };
        Self::cut(&model, PlannedSeam::at([1.0, 0.0, 0.0], 100.0), settings)
    }

    /// Shows the task of laying its seam out beside some obstacles.
    pub(crate) fn show<R>(&self, obstacles: &[Obstacle], see: impl FnOnce(&Task) -> R) -> R {
        let (plan, parted) = (&self.plan, &self.parted);
        let seam = &parted.seams[0];
        let index = PieceIndex::new(&parted.cells);
        let bodies: Vec<&Solid> = parted.cells.iter().flat_map(|c| &c.bodies).collect();
        let bounds: Vec<Bounds> = bodies.iter().filter_map(|b| b.bounds()).collect();
        let feet = Foot::each(&bodies, &plan.settings().up.direction());
        let room = BedRoom::of(bodies, plan.printers());
        let contacts: Vec<Contact> =
            contacts(seam, &parted.cells, &index, &BodyFinder::new(&parted.cells));
        let terms = plan.terms(seam.planned);
        let settings = plan.settings();
        see(&Task {
            id: plan.tree().id(seam.planned),
            seam,
            terms: terms_of(terms, &contacts, |k| design::PieceId::cut(k + 1, 2)),
            contacts,
            within: None,
            common: terms.common(),
            stock: Stock::of(plan),
            slide: None,
            hide: &settings.hide,
            up: settings.up.direction(),
            freed: None,
            bodies: &bounds,
            feet: &feet,
            own: 0..bounds.len(),
            obstacles,
            printers: plan.printers(),
            room: &room,
        })
    }
}
