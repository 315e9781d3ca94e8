//! Chance, and bytes bent by it.

/// The same row of numbers for the same seed (splitmix64, Steele, Lea and Flood 2014).
pub struct Dice(pub u64);

impl Dice {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    pub fn below(&mut self, sides: usize) -> usize {
        (self.next() % sides.max(1) as u64) as usize
    }

    pub fn one<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.below(of.len())]
    }
}

/// Pieces that mean something to a reader of texts. No three quote marks: what they swallow becomes words of the owner's.
const PIECES: [&str; 24] = [
    "=",
    "[",
    "]",
    "[[",
    "\"",
    "'",
    "\n",
    "\r\n",
    ".",
    ",",
    "#",
    "{",
    "}",
    "\\u{0}",
    "0",
    "-1",
    "1e9",
    "2026-02-30",
    "9999-12-31",
    "99999999999999999999",
    "\u{1F983}",
    "\u{202e}",
    "\u{1b}]0;owned\u{7}",
    "\u{9b}31m",
];

/// A text with one to five small wounds.
pub fn text(good: &[u8], dice: &mut Dice) -> Vec<u8> {
    let mut bytes = good.to_vec();
    for _ in 0..=dice.below(5) {
        let at = dice.below(bytes.len() + 1);
        match dice.below(8) {
            0 => bytes.truncate(at),
            1 => drop(bytes.drain(at..(at + dice.below(12)).min(bytes.len()))),
            2 | 3 => drop(bytes.get_mut(at).map(|byte| *byte = dice.below(256) as u8)),
            4 => {
                let lines: Vec<&[u8]> = good.split_inclusive(|byte| *byte == b'\n').collect();
                if !lines.is_empty() {
                    let line = dice.one(&lines).to_vec();
                    bytes.splice(at..at, line);
                }
            }
            _ => drop(bytes.splice(at..at, dice.one(&PIECES).bytes())),
        }
    }
    bytes
}

/// A picture with one to six wounds, more of them where headers lie.
pub fn picture(good: &[u8], dice: &mut Dice) -> Vec<u8> {
    let mut file = good.to_vec();
    for _ in 0..1 + dice.below(6) {
        if file.is_empty() {
            break;
        }
        let reach = if dice.below(2) == 0 { file.len().min(1200) } else { file.len() };
        let at = dice.below(reach);
        let run = 1 + dice.below(40);
        match dice.below(7) {
            0 => file.truncate(at.max(16)),
            1 => drop(file.drain(at..(at + run).min(file.len()))),
            2 => {
                let piece: Vec<u8> = file[at..(at + run).min(file.len())].to_vec();
                file.splice(at..at, piece);
            }
            3 => file[at] = *dice.one(&[0, 0xFF, 0x7F, 0x80]),
            4 => file[at] ^= 1 << dice.below(8),
            5 => {
                let end = (at + 4).min(file.len());
                file[at..end].fill(0xFF);
            }
            _ => file[at] = dice.below(256) as u8,
        }
    }
    file
}
