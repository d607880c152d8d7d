//! Seams found and mended, and the search against brute force.
