//! Which joints each seam gets: one slide for its contacts, or halves that meet.

pub(crate) mod attempt;
pub(crate) mod bed_room;
pub(crate) mod earlier;
pub(crate) mod hand_room;
pub(crate) mod joining;
pub(crate) mod kept;
pub(crate) mod kept_seam;
pub(crate) mod leftovers;
pub(crate) mod load;
pub(crate) mod meeting;
pub(crate) mod seam;
pub(crate) mod seam_layout;
pub(crate) mod seam_task;
#[cfg(test)]
pub(crate) mod trial;
pub(crate) mod way;
