//! Seams found and mended, and the search against brute force.

mod brute;
mod seams;
