//! What of a body some of its joints alone would leave together.

use design::{Assembly, ContactEntry, PieceId, SeamEntry};
use solid::DisjointSets;

/// A part of a body that is linked to the rest of it by none of some joints.
pub(crate) struct Part<'a> {
    /// Its pieces, by their order.
    pub(crate) pieces: Vec<&'a PieceId>,
    /// Where it meets the rest.
    pub(crate) meets: Vec<(&'a SeamEntry, &'a ContactEntry)>,
}

impl Part<'_> {
    /// Its pieces in a row.
    pub(crate) fn names(&self) -> String {
        let names: Vec<&str> = self.pieces.iter().map(|id| id.as_str()).collect();
        names.join(", ")
    }

    /// The seams at which it meets the rest, in a row.
    pub(crate) fn seams(&self) -> String {
        self.seams_where(|_| true)
    }

    /// Those of them at which some contact is of a kind, in a row.
    pub(crate) fn seams_where(&self, is: impl Fn(&ContactEntry) -> bool) -> String {
        let meets = self.meets.iter().filter(|(_, contact)| is(contact));
        let mut ids: Vec<&str> = meets.map(|(seam, _)| seam.id.as_str()).collect();
        ids.dedup();
        ids.join(", ")
    }
}

/// The parts into which bodies come where only contacts that hold link pieces, and keys;
/// all but the largest of each body.
pub(crate) fn parts(assembly: &Assembly, holds: impl Fn(&ContactEntry) -> bool) -> Vec<Part<'_>> {
    let count = assembly.pieces().len();
    let (mut joined, mut bodies) = (DisjointSets::of(count), DisjointSets::of(count));
    let seams = assembly.seams().iter();
    let contacts: Vec<(&SeamEntry, &ContactEntry)> = seams
        .flat_map(|seam| seam.contacts.iter().map(move |c| (seam, c)))
        .collect();
    for (_, contact) in &contacts {
        let [a, b] = contact.pieces.each_ref().map(|id| assembly.place(id));
        bodies.unite(a, b);
        let keys = assembly.places(&contact.keys);
        if holds(contact) || !keys.is_empty() {
            joined.unite(a, b);
        }
        for key in keys {
            joined.unite(a, key);
            bodies.unite(a, key);
        }
    }
    let of: Vec<usize> = (0..count).map(|k| joined.find(k)).collect();
    let body_of: Vec<usize> = (0..count).map(|k| bodies.find(k)).collect();
    let volume = |part: usize| -> f64 {
        let own = (0..count).filter(|&k| of[k] == part);
        own.map(|k| assembly.pieces()[k].in_place.volume_mm3())
            .sum()
    };
    let mut all: Vec<(usize, f64)> = of.iter().map(|&part| (part, 0.0)).collect();
    all.sort_unstable_by_key(|(part, _)| *part);
    all.dedup_by_key(|(part, _)| *part);
    for (part, volume_mm3) in &mut all {
        *volume_mm3 = volume(*part);
    }
    // Of parts as large as each other the first is the rest.
    let is_larger = |one: &(usize, f64), other: &(usize, f64)| {
        let order = one.1.total_cmp(&other.1).then(other.0.cmp(&one.0));
        body_of[one.0] == body_of[other.0] && order.is_gt()
    };
    let smaller = all
        .iter()
        .filter(|part| all.iter().any(|other| is_larger(other, part)));
    let each = smaller.map(|&(part, _)| {
        let own = (0..count).filter(|&k| of[k] == part);
        let leads_out = |(_, c): &&(&SeamEntry, &ContactEntry)| {
            let [a, b] = c.pieces.each_ref().map(|id| of[assembly.place(id)]);
            a != b && [a, b].contains(&part)
        };
        Part {
            pieces: own.map(|k| &assembly.pieces()[k].id).collect(),
            meets: contacts.iter().filter(leads_out).copied().collect(),
        }
    });
    each.collect()
}
