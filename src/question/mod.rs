//! A question solved for one version: values drawn, answers with their accepted
//! range, and the working a good teacher would write on the board.
//!
//! Takes a checked question and a choice of its values; never knows of pages.

mod answers;
mod assessment;
mod basis;
mod fairness;
mod figures;
mod follow;
pub mod kinds;
mod laws;
mod letting;
mod marks;
pub mod mistakes;
mod profile;
mod solution;
mod steps;
mod text;
mod words;

pub use answers::Answer;
pub use assessment::{Assessment, Cover, Listed, head_of, language_of};
pub use fairness::{Fairness, spread};
pub use follow::Led;
pub use kinds::{Form, Response, respond};
pub use marks::{Earns, Mark, MarkOfStep, MarkedStep};
pub use mistakes::{Keeps, Slip, Slips, Turn, meant, standing};
pub use profile::Profile;
pub use solution::Solution;
pub use steps::WorkedStep;
pub use words::joined;
