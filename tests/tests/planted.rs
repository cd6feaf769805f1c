//! Faults planted in a split that is sound: the inspection, which knows nothing of how pieces
//! were made, finds each of them.

use design::{
    Assembly, Closes, PieceId, PieceInPlace, PrinterId, Recall, SeamEntry, SeamId, Settings,
    StepEntry,
};
use exchange::PieceFormat;
use inspection::{Code, Limits, Severity, inspect};
use joinery::JointKind;
use printing::Printer;
use solid::{Isometry, Point, Solid, Vector};
use whole_program::halved;
use workshop::Written;

/// What an assembly is made of, to be spoilt.
#[derive(Clone)]
struct Parts {
    pieces: Vec<PieceInPlace>,
    /// The motion that lays each piece on its bed.
    onto_bed: Vec<Isometry>,
    seams: Vec<SeamEntry>,
    steps: Vec<StepEntry>,
    printers: Vec<Printer>,
}

impl Parts {
    /// The codes of what is found, notes left out.
    fn found(&self) -> Vec<Code> {
        let Self {
            pieces,
            seams,
            steps,
            printers,
            ..
        } = self.clone();
        let assembly = Assembly::new(pieces, seams, steps, printers).unwrap();
        let findings = inspect(&assembly, &Limits::default()).findings;
        let told = findings.iter().filter(|f| f.severity != Severity::Note);
        told.map(|f| f.code).collect()
    }

    /// Another shape for a piece, in place and as it is printed.
    fn reshaped(&self, piece: usize, to: Solid) -> Self {
        let mut out = self.clone();
        out.pieces[piece].as_printed = to.moved(&self.onto_bed[piece]);
        out.pieces[piece].in_place = to;
        out
    }

    fn with(&self, piece: usize, more: &Solid) -> Self {
        self.reshaped(piece, self.pieces[piece].in_place.union(more).unwrap())
    }

    fn without(&self, piece: usize, less: &Solid) -> Self {
        self.reshaped(piece, self.pieces[piece].in_place.difference(less).unwrap())
    }

    /// A piece laid otherwise, on the bed.
    fn laid(&self, piece: usize, turn: Vector) -> Self {
        let mut out = self.clone();
        let turned = self.pieces[piece]
            .as_printed
            .moved(&Isometry::rotation(turn));
        let low = turned.bounds().unwrap().min;
        out.pieces[piece].as_printed = turned.shifted(-low.coords);
        out
    }

    fn on(&self, bed: &str) -> Self {
        Self {
            printers: vec![bed.parse().unwrap()],
            ..self.clone()
        }
    }

    fn moving(&self, direction: [f64; 3]) -> Self {
        let mut out = self.clone();
        out.steps[0].direction = direction;
        out
    }
}

fn block(low: [f64; 3], high: [f64; 3]) -> Solid {
    Solid::cuboid(low.into(), high.into())
}

/// A block of some volume, twice as long along x as it is wide and high, about a place.
fn crumb(at: [f64; 3], volume_mm3: f64) -> Solid {
    let half = (volume_mm3 / 16.0).cbrt();
    let reach = Vector::new(2.0 * half, half, half);
    let at = Point::from(at);
    Solid::cuboid(at - reach, at + reach)
}

/// A board of 160 × 90 × 18 mm, cut in the middle, with dovetails.
fn board() -> Parts {
    let model = block([-80.0, 0.0, 0.0], [80.0, 90.0, 18.0]);
    let plan = halved("dovetail", Settings::default());
    let build = workshop::build(&model, &plan).unwrap();
    let files = workshop::written(&build, PieceFormat::Stl, &Recall::none()).unwrap();
    let written: Vec<Written> = files.into_iter().map(|f| f.written).collect();
    let (assembly, _) = seamwright::judged(&plan, &build, &written, &Recall::none()).unwrap();
    Parts {
        pieces: assembly.pieces().to_vec(),
        onto_bed: build.pieces.iter().map(|p| p.onto_bed()).collect(),
        seams: assembly.seams().to_vec(),
        steps: assembly.steps().to_vec(),
        printers: assembly.printers().to_vec(),
    }
}

/// A bar that slides 240 mm along x to its place over a floor, and what stands on the floor.
fn sliding(stands: Option<&Solid>) -> Parts {
    let bar = block([0.0, 0.0, 0.0], [60.0, 40.0, 30.0]);
    let floor = block([-300.0, -60.0, -30.0], [90.0, 100.0, -0.05]);
    let floor = stands.map_or(floor.clone(), |s| floor.union(s).unwrap());
    let piece = |k: usize, solid: Solid| {
        let low = solid.bounds().unwrap().min;
        PieceInPlace {
            id: PieceId::cut(k, 2),
            as_printed: solid.shifted(-low.coords),
            placed: Isometry::translation(low.x, low.y, low.z),
            in_place: solid,
            printer: PrinterId::at(0),
        }
    };
    let step = StepEntry {
        step: 1,
        moving: vec![PieceId::cut(1, 2)],
        onto: vec![PieceId::cut(2, 2)],
        closes: Closes::Body(SeamId::body(1)),
        direction: [1.0, 0.0, 0.0],
        travel_mm: 240.0,
        rests: None,
        play: Vec::new(),
    };
    let pieces = vec![piece(1, bar), piece(2, floor)];
    let onto_bed = pieces
        .iter()
        .map(|p| {
            let low = p.in_place.bounds().unwrap().min;
            Isometry::translation(-low.x, -low.y, -low.z)
        })
        .collect();
    Parts {
        pieces,
        onto_bed,
        seams: Vec::new(),
        steps: vec![step],
        printers: vec!["500x500x500".parse().unwrap()],
    }
}

/// Bodies of one piece that lie in each other's way, as no boolean leaves them.
fn heaped(parts: &Parts, piece: usize, more: Solid) -> Parts {
    let bodies = [parts.pieces[piece].in_place.clone(), more];
    parts.reshaped(piece, Solid::gathered(&bodies))
}

#[test]
fn what_the_faults_are_planted_in_is_sound() {
    assert_eq!(board().found(), []);
    assert_eq!(sliding(None).found(), []);
}

/// A rib that stands up into the way of the bar by so much, half a millimetre thick.
fn rib(x: f64, volume_mm3: f64) -> Solid {
    block([x, 10.0, -1.0], [x + 0.5, 10.4, volume_mm3 / 0.2])
}

#[test]
fn everything_planted_is_found() {
    let board = board();
    let slide = Vector::from(board.steps[0].direction);
    let mover = usize::from(board.steps[0].moving[0] == board.pieces[1].id);
    let mut planted: Vec<(String, Parts, Code)> = Vec::new();
    let mut plant = |what: &str, parts: Parts, code: Code| {
        planted.push((what.to_owned(), parts, code));
    };

    // On the way: less than a grain, wherever on it.
    for at in [-20.7, -61.3, -111.1, -190.9, -238.0] {
        for volume in [0.06, 0.12] {
            let what = format!("a rib of {volume} mm³ at {at}");
            plant(&what, sliding(Some(&rib(at, volume))), Code::Collision);
        }
    }
    // In place.
    for (at, volume) in [([59.9, 39.9, 29.9], 0.06), ([30.0, 20.0, 0.1], 1.5)] {
        let post = crumb(at, volume).union(&block(
            [at[0] - 0.05, at[1] - 0.05, -1.0],
            [at[0] + 0.05, at[1] + 0.05, at[2]],
        ));
        let what = format!("a crumb of {volume} mm³ in the bar");
        plant(&what, sliding(Some(&post.unwrap())), Code::Overlap);
    }
    for (y, volume) in [(2.0, 0.5), (45.0, 2.0), (88.0, 20.0)] {
        let what = format!("a bump of {volume} mm³ on the shoulder at {y}");
        plant(
            &what,
            board.with(0, &crumb([0.0, y, 16.5], volume)),
            Code::Overlap,
        );
    }
    // Walls beside the seam.
    for (piece, side) in [(0, -1.0), (1, 1.0)] {
        for wall in [1.1, 0.6] {
            let (near, far) = (side * wall, side * (wall + 6.0));
            let (low, high) = (f64::min(near, far), f64::max(near, far));
            let pocket = block([low, 5.0, 9.0], [high, 85.0, 19.0]);
            let what = format!("a wall of {wall} mm in piece {piece}");
            plant(&what, board.without(piece, &pocket), Code::ThinWall);
        }
    }
    // Sockets that never open: closed where the tails come in, the thicker of the two first.
    for thick in [3.0, 0.4] {
        let stands = 1 - mover;
        let own = board.pieces[stands].in_place.bounds().unwrap();
        let (mut low, mut high) = (own.min, own.max);
        let axis = slide.map(f64::abs).imax();
        let entry = if slide[axis] > 0.0 {
            own.min[axis]
        } else {
            own.max[axis]
        };
        // A little apart, so that it lies beside the tails that are home.
        low[axis] = entry - if slide[axis] > 0.0 { thick } else { 0.0 };
        high[axis] = low[axis] + thick;
        let reach = block([-9.0, 0.0, 0.0], [9.0, 90.0, 18.0]).bounds().unwrap();
        let (low, high) = (
            Point::from(low.coords.zip_map(&reach.min.coords, f64::min)),
            Point::from(high.coords.zip_map(&reach.max.coords, f64::max)),
        );
        let lid = Solid::cuboid(low, high);
        let what = format!("sockets closed by {thick} mm");
        plant(&what, heaped(&board, stands, lid), Code::Collision);
    }
    // Joints that do not hold.
    for (reach, left) in [(0.0, "no"), (0.15, "hardly any")] {
        let tails = if board.pieces[0].in_place.bounds().unwrap().max.x > 1.0 {
            (0, block([reach, -1.0, -1.0], [40.0, 91.0, 19.0]))
        } else {
            (1, block([-40.0, -1.0, -1.0], [-reach, 91.0, 19.0]))
        };
        let what = format!("{left} tails");
        plant(&what, board.without(tails.0, &tails.1), Code::NotHeld);
    }
    let mut plain = board.clone();
    plain.seams[0].contacts[0].joint = JointKind::Plain;
    plant(
        "a contact that is said to be plain",
        plain,
        Code::PlainContact,
    );
    // On the bed.
    plant("a bed too narrow", board.on("60x300x300"), Code::DoesNotFit);
    plant("a bed too low", board.on("300x300x10"), Code::DoesNotFit);
    plant(
        "a piece on its edge",
        board.laid(0, Vector::x() * 0.7),
        Code::NeedsBrim,
    );
    plant(
        "a piece on its corner",
        board.laid(1, Vector::new(0.5, 0.6, 0.0)),
        Code::FirstLayer,
    );
    // Pieces that are none, or several.
    let crumb_off = crumb([-60.0, 45.0, 30.0], 8.0);
    plant(
        "a crumb beside a piece",
        heaped(&board, 0, crumb_off),
        Code::SeveralBodies,
    );
    let on_edge = block([-80.0, 90.0, 18.0], [-60.0, 100.0, 28.0]);
    plant(
        "a body that touches a piece along an edge",
        heaped(&board, 0, on_edge),
        Code::TouchesItself,
    );
    let through = block([-70.0, 80.0, 10.0], [-60.0, 100.0, 28.0]);
    plant(
        "a body through the surface",
        heaped(&board, 0, through),
        Code::TouchesItself,
    );
    // Steps that cannot be made.
    plant(
        "a slide the wrong way",
        board.moving((-slide).into()),
        Code::Collision,
    );
    plant(
        "a slide across",
        board.moving([0.0, 0.6, 0.8]),
        Code::Collision,
    );

    let missed: Vec<String> = planted
        .iter()
        .filter_map(|(what, parts, code)| {
            let found = parts.found();
            (!found.contains(code)).then(|| format!("{what}: {code:?} not in {found:?}"))
        })
        .collect();
    assert!(planted.len() >= 30, "{}", planted.len());
    assert!(missed.is_empty(), "{missed:#?}");
}
