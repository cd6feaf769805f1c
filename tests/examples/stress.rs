//! Splits random boxes with random holes and counts what goes wrong.
use planner::*;
use solid::*;

fn main() {
    let n: u64 = std::env::args().nth(1).and_then(|a| a.parse().ok()).unwrap_or(20);
    let first: u64 = std::env::args().nth(2).and_then(|a| a.parse().ok()).unwrap_or(0);
    for seed in first..first + n {
        let mut state = seed.wrapping_mul(0x9E3779B97F4A7C15) ^ 0xD1B54A32D192ED03;
        let mut next = move |low: f64, high: f64| {
            state ^= state << 13; state ^= state >> 7; state ^= state << 17;
            low + (high - low) * (state >> 11) as f64 / (1u64 << 53) as f64
        };
        for _ in 0..8 { next(0.0, 1.0); }
        let size = [next(30.0, 500.0), next(30.0, 500.0), next(12.0, 300.0)];
        let mut model = Solid::cuboid(Point::origin(), Point::from(size));
        let holes = next(0.0, 4.0) as usize;
        for _ in 0..holes {
            let axis = next(0.0, 3.0) as usize;
            let (mut low, mut high) = ([0.0; 3], [0.0; 3]);
            for k in 0..3 {
                if k == axis { low[k] = -1.0; high[k] = size[k] + 1.0; }
                else { let w = next(0.1, 0.5) * size[k]; low[k] = next(0.1 * size[k], 0.9 * size[k] - w); high[k] = low[k] + w; }
            }
            if n == 1 { println!("hole {low:.2?} {high:.2?}"); }
            model = model.difference(&Solid::cuboid(Point::from(low), Point::from(high))).unwrap();
        }
        let bed = Printer::rectangular("bed-1", next(120.0, 300.0), next(120.0, 300.0), next(120.0, 300.0));
        let t = std::time::Instant::now();
        match whole_program::split_and_judge(&model, &[bed.clone()], &Settings::default()) {
            Ok(j) => {
                let bad: Vec<_> = j.verdict.findings.iter().filter(|f| f.severity != inspection::Severity::Note).map(|f| format!("{:?} {} {:?} {}", f.severity, f.code, f.at_mm, f.message)).collect();
                println!("{seed}: {:.0?} holes {holes} bed {:.0?}: {} pieces {:.1?} {}", size, bed.size_mm(), j.build.pieces.len(), t.elapsed(), bad.len());
                if n == 1 {
                    for s in &j.build.seams { println!("{} o {:.1?} n {:.0?} slide {:.0?} travel {:.0} up {}", s.id, s.frame.origin.coords.as_slice(), s.frame.n.as_slice(), s.slide.as_slice(), s.travel_mm, s.tails_point_up);
                        for c in &s.contacts { println!("    {:?} {:.0}mm2 {} x{} w{} {}", c.pieces.map(|p| p + 1), c.area_mm2, c.joint, c.count, c.width_mm, c.reason); } }
                    for (k, p) in j.build.pieces.iter().enumerate() { println!("P{} {:?}", k + 1, p.solid.bounds().map(|b| (b.min, b.max))); }
                }
                for b in bad { println!("      {b}"); }
            }
            Err(e) => println!("{seed}: {size:.0?} {bed}: {e}"),
        }
    }
}
