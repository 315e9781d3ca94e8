//! What lies on the disk: which entries a folder of the content has, whether each may be read, and the text of a file.
//!
//! `folder` lists one folder, `content` knows what belongs where in `content/`, `home` keeps links from leading out or to a
//! key, `text` makes bytes into text. What the files mean is for the readers of each kind.

pub(in crate::read) mod content;
pub(in crate::read) mod folder;
pub(in crate::read) mod home;
pub(in crate::read) mod text;
