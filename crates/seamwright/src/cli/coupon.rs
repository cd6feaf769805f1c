//! `coupon`: small test pieces that show which clearance suits a printer.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use joinery::{JointRules, coupon};
use solid::{Solid, Vector};

use crate::cli::args::CouponArgs;
use seamwright::{Failure, SplitFolder};

pub(crate) fn run(args: &CouponArgs) -> Result<ExitCode, Failure> {
    match (&args.folder, &args.seam) {
        (Some(folder), Some(seam)) => of_seam(args, folder, seam),
        _ => of_joint(args),
    }
}

fn of_joint(args: &CouponArgs) -> Result<ExitCode, Failure> {
    let out = args
        .out
        .clone()
        .unwrap_or_else(|| PathBuf::from(format!("coupon-{}", args.joint)));
    let pairs = coupon::plate(args.joint, &args.clearances, &JointRules::default())
        .map_err(|e| Failure::Usage(e.to_string()))?;
    let parts: Vec<&Solid> = pairs.iter().flat_map(|p| &p.parts).collect();
    let plate = Solid::gathered(parts.iter().copied());
    write(&out, &[("plate.stl".to_owned(), plate)])?;
    let volume: f64 = parts.iter().map(|s| s.volume_mm3()).sum();
    sayln!(
        "{}: {} pairs, each marked with its clearance in mm; {:.1} cm³ of plastic.\n\
         Print it as it lies. Slide each pair together by hand, the small end first. The right \
         clearance\ncloses without a gap at the shoulders and does not fall apart: give it with \
         --clearance, or write it\ninto printers.toml.",
        out.join("plate.stl").display(),
        pairs.len(),
        volume / 1000.0
    );
    Ok(ExitCode::SUCCESS)
}

fn of_seam(args: &CouponArgs, folder: &Path, seam: &str) -> Result<ExitCode, Failure> {
    let advice = "Give the folder of a split and the id of one of its seams.";
    let SplitFolder {
        report, assembly, ..
    } = SplitFolder::read(folder)?;
    let Some(entry) = assembly.seams().iter().find(|s| s.id.as_str() == seam) else {
        return Err(Failure::Usage(format!(
            "{} has no seam {seam}",
            folder.display()
        )));
    };
    let Some(contact) = entry.contacts.iter().find(|c| c.joint.slides()) else {
        return Err(Failure::Usage(format!(
            "no joint of {seam} slides, so there is no fit to try"
        )));
    };
    let [one, other] = [0, 1].map(|side| assembly.place(&contact.pieces[side]));
    let [below, above] = [one, other].map(|k| &assembly.pieces()[k]);
    let frame = entry
        .frame()
        .ok_or_else(|| Failure::input(folder, format!("seam {seam} has no normal"), advice))?;
    let cut = coupon::cut_out(&frame, &below.in_place, &above.in_place)
        .map_err(|e| Failure::input(folder, e, advice))?;
    let Some((a, b)) = cut else {
        return Err(Failure::Usage(format!(
            "no tail of {seam} stands over the seam"
        )));
    };
    // Each lies as its whole piece does.
    let lying = |part: Solid, k: usize| {
        let turn = report.pieces[k].motion().map(|m| m.inverse());
        let part = turn.map_or(part.clone(), |t| part.moved(&t));
        let low = part.bounds().map_or_else(Vector::zeros, |b| b.min.coords);
        part.shifted(-low)
    };
    let out = args
        .out
        .clone()
        .unwrap_or_else(|| PathBuf::from(format!("coupon-{seam}")));
    let files = [
        (format!("{seam}-{}.stl", below.id), lying(a, one)),
        (format!("{seam}-{}.stl", above.id), lying(b, other)),
    ];
    write(&out, &files)?;
    sayln!(
        "{}: the joint of {seam} between {} and {}",
        out.display(),
        below.id,
        above.id
    );
    Ok(ExitCode::SUCCESS)
}

fn write(out: &Path, files: &[(String, Solid)]) -> Result<(), Failure> {
    let mut folder = paperwork::OutputFolder::begin(out, paperwork::Replace::Nothing)?;
    for (name, solid) in files {
        let bytes = exchange::write_stl(solid).map_err(Failure::output)?;
        folder.write(name, &bytes)?;
    }
    folder.finish()?;
    Ok(())
}
