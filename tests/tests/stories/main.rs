//! Stories, each from an empty project to its result, in a host: solo takes of a producer's
//! session, a band's rehearsal with a crash, comps a week apart, and two tunes in one project.

mod desk;
mod hearing;
mod player;
mod rehearsal;
mod solo;
mod two_tunes;
mod weeks;
