//! The names of the gates that the program itself knows: each is met by another part of a job's record. Every other name is the
//! owner's own, and is met by what is in hand (`[have]`).

/// Met by the pose that was chosen.
pub const POSE: &str = "pose";
/// Met by payments.
pub const DEPOSIT: &str = "deposit";
/// Met by the tag's number, or a permit in its place.
pub const TAG: &str = "tag";
/// Met by the hunter's signature on the tag of a migratory bird.
pub const SIGNATURE: &str = "signature";

/// All of them.
pub const KNOWN: [&str; 4] = [POSE, DEPOSIT, TAG, SIGNATURE];
