//! Three stories, each from an empty project to its result, in a host: solo takes of a producer's
//! session, a band's rehearsal with a crash, and comps a week apart.

mod desk;
mod player;
mod rehearsal;
mod solo;
mod weeks;
