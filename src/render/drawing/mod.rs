//! Where things lie in the drawings of the pages: a route, a line of months, a piece beside a door.
//!
//! Only places and sizes are worked out here, without any page. What is drawn there, in which
//! colors and words, is the theme's (`drawings.html`, `drawings.css`).

mod labels;
mod layers;
pub mod months;
pub mod route;
pub mod scale;
