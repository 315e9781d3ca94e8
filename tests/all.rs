//! All integration tests in one program. Each room's tests stand in a module of their own.

mod render;
