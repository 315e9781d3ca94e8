//! Where things lie in the drawings of the pages: a route, a line of months, a piece beside a door.
//!
//! Only places and sizes are worked out here, in whole units and without any page. What is drawn there, in which
//! colors and words, is the theme's (`drawings.html`, `drawings.css`). The list of steps below the drawing says the same in words.
//!
//! - `layers` gives each step of a route a row and a column, and each string that only passes a slot of its own, so that no string runs over
//!   a label. `route` makes tags and paths of that, with the lines of `labels`.
//! - `months` puts a window on a line of months.
//! - `scale` puts a piece beside a person and a door.

mod labels;
mod layers;
pub mod months;
pub mod route;
pub mod scale;
