//! Colours of pieces.

/// One colour a piece, told apart also by colour-blind eyes.
///
/// Hues are the eight of Okabe & Ito (2008), *Color universal design*, black
/// left out; further pieces get them lighter and darker in turn.
///
/// ```
/// let colours = paperwork::piece_colours(40);
/// let mut seen = colours.clone();
/// seen.sort();
/// seen.dedup();
/// assert_eq!(seen.len(), 40);
/// ```
pub fn piece_colours(count: usize) -> Vec<[u8; 3]> {
    const HUES: [[u8; 3]; 7] = [
        [230, 159, 0],
        [86, 180, 233],
        [0, 158, 115],
        [240, 228, 66],
        [0, 114, 178],
        [213, 94, 0],
        [204, 121, 167],
    ];
    (0..count)
        .map(|k| {
            let round = k / HUES.len();
            // 0, then towards white and black in turn, ever smaller steps.
            let strength = match round {
                0 => 0.0,
                r => {
                    let step = 1.0 / (r.div_ceil(2) as f64 + 1.0);
                    (0.55 - 0.5 * step) * if r % 2 == 1 { 1.0 } else { -1.0 }
                }
            };
            HUES[k % HUES.len()].map(|c| {
                let c = f64::from(c);
                let to = if strength >= 0.0 { 255.0 } else { 0.0 };
                (c + (to - c) * strength.abs()).round() as u8
            })
        })
        .collect()
}
