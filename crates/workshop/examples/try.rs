use planner::*;
fn main() {
    let a: Vec<String> = std::env::args().collect();
    let t = std::time::Instant::now();
    let bytes = std::fs::read(&a[1]).unwrap();
    let n = u32::from_le_bytes(bytes[80..84].try_into().unwrap()) as usize;
    let mut soup = vec![];
    for k in 0..n { let o = 84 + 50*k + 12; let f = |i: usize| f32::from_le_bytes(bytes[o+4*i..o+4*i+4].try_into().unwrap()) as f64;
        soup.push([0,3,6].map(|i| solid::Point::new(f(i), f(i+1), f(i+2)))); }
    let m = solid::Solid::from_triangles(soup).unwrap();
    println!("read {:?}", t.elapsed());
    let settings = Settings::default();
    let printers: Vec<Printer> = vec![a[2].parse().unwrap()];
    let seams = find_cuts(&m, &printers, &settings).unwrap();
    println!("plan {:?}", t.elapsed());
    for s in &seams { println!("{} {} {:?} {} {}", s.id, String::from(s.cuts.clone()), s.normal, s.at_mm, s.reason); }
    let plan = Plan { format: PLAN_FORMAT.into(), version: 1, model: Default::default(), settings, printers, seams };
    let b = workshop::build(&m, &plan).unwrap();
    println!("build {:?}", t.elapsed());
    let mut vol = 0.0;
    for p in &b.pieces { vol += p.solid.volume_mm3(); println!("{} {:?} tri {} bodies {} {:?}", p.id, p.placement.as_ref().map(|p| p.size_mm.map(|x| x.round())), p.solid.triangles().len(), p.solid.bodies().len(), p.solid.bounds().map(|b| b.size_mm().map(|x| x.round()))); }
    for s in &b.seams { println!("{} slide {:?} travel {:.1} up {}", s.id, s.slide, s.travel_mm, s.tails_point_up); for c in &s.contacts { println!("   {:?} {:.0} mm2 {} x{} w{:.1} t{:.2} {}", c.pieces.map(|p| p+1), c.area_mm2, c.joint, c.count, c.width_mm, c.taper.to_degrees(), c.reason); } }
    for s in &b.steps { println!("{:?} onto {:?} by {} dir {:?} {:.0}", s.moving.iter().map(|p| p+1).collect::<Vec<_>>(), s.onto.iter().map(|p| p+1).collect::<Vec<_>>(), b.seams[s.seam].id, s.direction, s.travel_mm); }
    println!("{} remarks, vol {} vs {}", b.remarks.len(), vol, m.volume_mm3());
}
