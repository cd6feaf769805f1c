//! What a run remembers for the next.

use std::collections::BTreeMap;
use std::convert::Infallible;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use serde::Serialize;
use serde::de::DeserializeOwned;
use solid::Solid;

use crate::recall::digests::Digest;
use crate::recall::kind::Recalled;

/// Results by the digest of all that they come from.
type Results = BTreeMap<Digest, Arc<[u8]>>;

/// What an earlier run of the same program came to, and what this one does.
///
/// A result is recalled only where everything that it comes from is the same to the bit:
/// what a run with an earlier one's results comes to is what it would come to without.
/// Cloning is cheap: clones remember the same.
///
/// ```
/// use design::{Recalled, Recall};
/// use solid::{Point, Solid};
///
/// let block = Solid::cuboid(Point::origin(), Point::new(1.0, 2.0, 3.0));
/// let first = Recall::begun();
/// let of = |recall: &Recall| {
///     let from = (recall.digest(&block), 0.5);
///     recall.of(Recalled::Walls, &from, || block.volume_mm3() * 0.5)
/// };
/// assert_eq!(of(&first), 3.0);
/// let second = Recall::begun().after(&first.to_bytes().unwrap());
/// assert_eq!(of(&second), 3.0);
/// assert_eq!((second.judged().served, second.judged().asked), (1, 1));
/// assert_eq!(second.to_bytes(), first.to_bytes());
/// ```
#[derive(Clone, Debug)]
pub struct Recall {
    /// None where nothing is remembered.
    program: Option<Digest>,
    before: Arc<Results>,
    now: Arc<Mutex<BTreeMap<Digest, Asked>>>,
}

/// What was asked for.
#[derive(Debug)]
struct Asked {
    kind: Recalled,
    /// Whether an earlier run had it.
    served: bool,
    result: Arc<[u8]>,
}

/// How many results were asked for, and how many an earlier run had.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Served {
    /// All.
    pub asked: usize,
    /// Those of an earlier run.
    pub served: usize,
}

/// The first bytes of a file of results; the number changes with its form.
const MAGIC: &[u8] = b"seamwright recall 1\n";

impl Recall {
    /// One that remembers nothing: all is made anew.
    pub fn none() -> Self {
        Self {
            program: None,
            before: Arc::default(),
            now: Arc::default(),
        }
    }

    /// One that has no earlier results. Where the program's own file cannot be read, nothing
    /// is remembered: it could not be told whose results they are.
    pub fn begun() -> Self {
        Self {
            program: Digest::of_program(),
            ..Self::none()
        }
    }

    /// With the results in a file that an earlier run wrote, besides those that it has. What
    /// another program wrote, or was changed since, is left out.
    pub fn after(self, file: &[u8]) -> Self {
        let Some(earlier) = self.program.and_then(|program| read(file, &program)) else {
            return self;
        };
        let mut before = Arc::unwrap_or_clone(self.before);
        before.extend(earlier);
        Self {
            before: Arc::new(before),
            ..self
        }
    }

    /// One for which all that this one has or made is of an earlier run.
    pub fn anew(&self) -> Self {
        let mut before = (*self.before).clone();
        before.extend(self.results());
        Self {
            program: self.program,
            before: Arc::new(before),
            now: Arc::default(),
        }
    }

    /// A result by all that it comes from: an earlier run's, or `made` now.
    pub fn of<T: Serialize + DeserializeOwned>(
        &self,
        kind: Recalled,
        from: &impl Serialize,
        made: impl FnOnce() -> T,
    ) -> T {
        let made = || Ok::<T, Infallible>(made());
        match self.of_fallible(kind, from, made) {
            Ok(result) => result,
            Err(never) => match never {},
        }
    }

    /// Like [`of`](Self::of), of what may fail: a failure is not remembered.
    ///
    /// # Errors
    ///
    /// Those of `made`.
    pub fn of_fallible<T: Serialize + DeserializeOwned, E>(
        &self,
        kind: Recalled,
        from: &impl Serialize,
        made: impl FnOnce() -> Result<T, E>,
    ) -> Result<T, E> {
        if self.program.is_none() {
            return made();
        }
        let Some(origin) = Digest::of_origin(kind, from) else {
            return made();
        };
        let known = self.known(&origin);
        if let Some((bytes, served)) = known
            && let Ok(result) = postcard::from_bytes(&bytes)
        {
            self.keep(origin, (kind, served), bytes);
            return Ok(result);
        }
        let result = made()?;
        if let Ok(bytes) = postcard::to_stdvec(&result) {
            self.keep(origin, (kind, false), bytes.into());
        }
        Ok(result)
    }

    /// A result that there is already, and whether it is of an earlier run.
    fn known(&self, origin: &Digest) -> Option<(Arc<[u8]>, bool)> {
        let earlier = self.before.get(origin).map(|bytes| (bytes.clone(), true));
        earlier.or_else(|| Some((self.asked().get(origin)?.result.clone(), false)))
    }

    /// The first word on a result stands.
    fn keep(&self, origin: Digest, (kind, served): (Recalled, bool), result: Arc<[u8]>) {
        let entry = Asked {
            kind,
            served,
            result,
        };
        self.asked().entry(origin).or_insert(entry);
    }

    /// Which two triangles of a surface touch though they are no neighbours.
    pub fn touches_itself(&self, surface: &Solid) -> Option<[usize; 2]> {
        let from = self.program.map(|_| Digest::of_surface(surface));
        self.of(Recalled::Surface, &from, || surface.touches_itself())
    }

    /// What tells a solid from any other, as a part of what a result comes from.
    pub fn digest(&self, solid: &Solid) -> Option<Digest> {
        self.program.map(|_| Digest::of_solid(solid))
    }

    /// All that was asked for, as a file for the next run; `None` where nothing is
    /// remembered.
    pub fn to_bytes(&self) -> Option<Vec<u8>> {
        let program = self.program?;
        let results = self.results();
        let each = results.iter();
        let each: BTreeMap<&Digest, &[u8]> = each.map(|(of, bytes)| (of, &**bytes)).collect();
        let content = postcard::to_stdvec(&(program, each)).ok()?;
        let sum = postcard::to_stdvec(&Digest::of(&content)).ok()?;
        Some([MAGIC, &sum, &content].concat())
    }

    /// How many looks at pieces served again.
    pub fn judged(&self) -> Served {
        self.counted(Recalled::judges)
    }

    /// How many pictures served again.
    pub fn drawn(&self) -> Served {
        self.counted(|kind| !kind.judges())
    }

    fn counted(&self, of: impl Fn(Recalled) -> bool) -> Served {
        let asked = self.asked();
        let of_kind = asked.values().filter(|entry| of(entry.kind));
        of_kind.fold(Served::default(), |sum, entry| Served {
            asked: sum.asked + 1,
            served: sum.served + usize::from(entry.served),
        })
    }

    fn results(&self) -> Results {
        let asked = self.asked();
        let each = asked.iter();
        each.map(|(origin, entry)| (*origin, entry.result.clone()))
            .collect()
    }

    fn asked(&self) -> MutexGuard<'_, BTreeMap<Digest, Asked>> {
        self.now.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// The results in a file, where this program wrote them and nobody changed them.
fn read(file: &[u8], program: &Digest) -> Option<Results> {
    let rest = file.strip_prefix(MAGIC)?;
    let (sum, content): (Digest, &[u8]) = postcard::take_from_bytes(rest).ok()?;
    if Digest::of(content) != sum {
        return None;
    }
    let (of, results): (Digest, BTreeMap<Digest, Vec<u8>>) = postcard::from_bytes(content).ok()?;
    let results = results.into_iter();
    (of == *program).then(|| results.map(|(of, bytes)| (of, bytes.into())).collect())
}

#[cfg(test)]
mod tests {
    use solid::Point;

    use super::*;

    fn asked(recall: &Recall, from: &[u32]) -> (u32, bool) {
        let mut made = false;
        let result = recall.of(Recalled::Look, &from, || {
            made = true;
            from.iter().sum()
        });
        (result, made)
    }

    #[test]
    fn what_comes_from_the_same_serves_again_and_only_then() {
        let first = Recall::begun();
        assert_eq!(asked(&first, &[1, 2]), (3, true));
        let second = Recall::begun().after(&first.to_bytes().unwrap());
        assert_eq!(asked(&second, &[1, 2]), (3, false));
        assert_eq!(asked(&second, &[2, 1]), (3, true));
        let other = second.of(Recalled::Picture, &[1, 2], || 7u32);
        assert_eq!(other, 7, "of another kind");
        assert_eq!(
            second.judged(),
            Served {
                asked: 2,
                served: 1
            }
        );
        assert_eq!(
            second.drawn(),
            Served {
                asked: 1,
                served: 0
            }
        );
    }

    #[test]
    fn only_what_was_asked_for_is_handed_on() {
        let first = Recall::begun();
        asked(&first, &[1]);
        asked(&first, &[2]);
        let second = first.anew();
        assert_eq!(asked(&second, &[2]), (2, false));
        let alone = Recall::begun();
        asked(&alone, &[2]);
        assert_eq!(second.to_bytes(), alone.to_bytes());
    }

    #[test]
    fn a_file_that_was_changed_is_no_memory() {
        let first = Recall::begun();
        asked(&first, &[1, 2]);
        let bytes = first.to_bytes().unwrap();
        for k in 0..bytes.len() {
            let mut changed = bytes.clone();
            changed[k] ^= 1;
            let again = Recall::begun().after(&changed);
            assert_eq!(asked(&again, &[1, 2]), (3, true), "byte {k}");
            let again = Recall::begun().after(&bytes[..k]);
            assert_eq!(asked(&again, &[1, 2]), (3, true), "cut at {k}");
        }
    }

    #[test]
    fn one_that_remembers_nothing_makes_all() {
        let recall = Recall::none();
        let block = Solid::cuboid(Point::origin(), Point::new(1.0, 2.0, 3.0));
        assert_eq!(recall.digest(&block), None);
        assert_eq!(asked(&recall, &[1]), (1, true));
        assert_eq!(asked(&recall, &[1]), (1, true));
        assert_eq!(recall.to_bytes(), None);
    }

    #[test]
    fn a_corner_that_moves_by_a_bit_is_another_solid() {
        let to = |x: f64| Solid::cuboid(Point::origin(), Point::new(x, 2.0, 3.0));
        let recall = Recall::begun();
        assert_eq!(recall.digest(&to(1.0)), recall.digest(&to(1.0)));
        assert_ne!(
            recall.digest(&to(1.0)),
            recall.digest(&to(1.0f64.next_up()))
        );
    }
}
