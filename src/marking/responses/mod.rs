//! Responses: files that people filled in, read with a person's tolerance and no guess.
//!
//! `bytes` finds out what a file is, `rows` gives its rows one by one whatever it is,
//! `number` reads a cell as a number, `cell` as what a learner gave, `head` knows the
//! columns, `survey` looks at a whole file once before it is marked, `fault` says what is
//! wrong and in which row and column. A text file is read as a stream; a spreadsheet and
//! a file in UTF-16 are held in memory.

mod bytes;
mod cell;
mod fault;
mod head;
mod number;
mod rows;
mod survey;

pub use cell::{Decimal, Entry, Response};
pub use fault::{Fault, FaultKind, in_row};
pub use head::Head;
pub use number::Given as GivenNumber;
pub(super) use number::number_in;
pub use rows::{Cell, RawRow, Rows};
pub use survey::{Learner, Opened, Row, Survey, read, survey, wrong_code};
